package io.github.tidewarden.review;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.core.util.DefaultIndenter;
import com.fasterxml.jackson.core.util.DefaultPrettyPrinter;
import com.fasterxml.jackson.core.util.Separators;
import com.fasterxml.jackson.databind.json.JsonMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.JsonNodeFactory;
import com.fasterxml.jackson.databind.node.ObjectNode;
import io.github.tidewarden.config.RoomFill;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.review.Happening.Sort;
import io.github.tidewarden.review.TankNight.Totals;
import io.github.tidewarden.review.Trips.Group;
import io.github.tidewarden.review.Trips.Trip;
import io.github.tidewarden.review.Windows.Window;
import java.time.Instant;
import java.util.List;
import java.util.function.Function;
import org.jspecify.annotations.Nullable;

/** A review as JSON. Every key is always there; what is not known is null. */
final class JsonReview {

  /** Rises when a key changes its meaning or goes. */
  static final int FORMAT = 1;

  private static final JsonNodeFactory NODES = JsonNodeFactory.instance;
  private static final JsonMapper MAPPER = JsonMapper.builder().build();

  private final ReviewedSite site;
  private final ObjectNode root = NODES.objectNode();

  JsonReview(ReviewedSite site, List<Night> nights) {
    this.site = site;
    root.put("format", FORMAT);
    root.put("site", site.name());
    root.put("zone", site.zone().getId());
    root.set("rooms", array(site.rooms(), JsonReview::room));
    root.set("nights", array(nights, this::night));
  }

  private static ObjectNode room(RoomFill fill) {
    ObjectNode node = NODES.objectNode();
    node.put("room", fill.room());
    node.put("made-mg-per-h", Figures.decimal(fill.milligramsPerHour(), 1));
    node.set(
        "leak",
        array(
            fill.limits(),
            limit -> {
              ObjectNode one = NODES.objectNode();
              one.put("ppb", Figures.decimal(limit.ppb(), 1));
              one.put(
                  "after-min",
                  Double.isInfinite(limit.minutes()) ? null : Figures.decimal(limit.minutes(), 1));
              one.put("harmless-mg-per-h", Figures.decimal(limit.harmlessMilligramsPerHour(), 1));
              return one;
            }));
    return node;
  }

  private ObjectNode night(Night night) {
    ObjectNode node = NODES.objectNode();
    node.put("night", night.span().night().toString());
    put(node, "from", night.span().from());
    put(node, "to", night.span().to());
    node.put("records", night.records());
    put(node, "last-record", night.last());
    node.set("site", array(night.site(), happening -> happening(happening, true)));
    node.set("tanks", array(night.tanks(), tank -> tank(tank, Verdict.of(tank, night))));
    return node;
  }

  private ObjectNode tank(TankNight tank, Verdict verdict) {
    ObjectNode node = NODES.objectNode();
    node.put("tank", tank.name());
    node.put("reference", tank.reference());
    node.put("outcome", verdict.outcome().word());
    node.put("summary", verdict.sentence());
    ArrayNode reasons = node.putArray("reasons");
    verdict.reasons().forEach(reasons::add);
    node.set("ozone", totals(tank));
    WaterNight water = tank.water();
    node.set("water", water == null ? null : JsonWater.water(water));
    node.set("probes", array(tank.probes(), ProbeNight::json));
    node.set("carbon", tank.care().carbonJson());
    node.set("residual-oxidant", tank.care().residualJson());
    node.set("skimmer", tank.care().skimmerJson());
    node.set("held", array(tank.held(), JsonWater::held));
    List<Latch> latches = tank.latches();
    if (latches == null) {
      node.putNull("latched");
    } else {
      node.set("latched", array(latches, latch -> latch(latch, tank.name())));
    }
    node.set("windows", array(tank.windows(), window -> window(window, tank)));
    node.set("runs", array(tank.runs(), JsonReview::run));
    node.set("trips", array(tank.trips(), group -> group(group, tank)));
    node.set("lost", happenings(tank, Sort.SILENT));
    node.set("held-back", happenings(tank, Sort.REFUSED));
    node.set("gaps", happenings(tank, Sort.GAP));
    node.set("devices", happenings(tank, Sort.DEVICE));
    node.set("faults", happenings(tank, Sort.FAULT));
    node.set("notices", happenings(tank, Sort.NOTICE));
    node.set("acts", array(tank.acts(), JsonReview::act));
    return node;
  }

  private static ObjectNode totals(TankNight tank) {
    Totals totals = tank.totals();
    ObjectNode node = NODES.objectNode();
    node.put("counted-ms", totals.countedMillis());
    node.put("earlier-ms", totals.earlierMillis());
    node.put("allowance-ms", totals.allowanceMillis());
    node.put("counted-mg", totals.milligrams());
    node.put("known-mg", totals.knownMilligrams());
    node.put("counted-mg-per-l", tank.milligramsPerLitre());
    return node;
  }

  private ObjectNode latch(Latch latch, String tank) {
    ObjectNode node = NODES.objectNode();
    node.put("name", latch.name());
    put(node, "since", latch.since());
    node.put("why", latch.why());
    texts(node, "stops", latch.stops());
    Act reset = latch.reset();
    if (reset == null) {
      node.putNull("reset");
    } else {
      put(node.putObject("reset").put("by", reset.by()), "at", reset.at());
    }
    texts(node, "command", Command.reset(site.configFile(), tank, latch.name()));
    return node;
  }

  private static ObjectNode window(Window window, TankNight tank) {
    ObjectNode node = NODES.objectNode();
    node.put("window", window.id());
    node.put("outcome", window.outcome().word());
    put(node, "from", window.from());
    put(node, "to", window.to());
    put(node, "opened", window.opened());
    put(node, "closed", window.closed());
    put(node, "restarted", window.restarted());
    node.put("runs", tank.begun(window));
    node.put("why", window.why());
    node.set("redox", redox(window.redox()));
    return node;
  }

  private static ObjectNode run(RunStory run) {
    ObjectNode node = NODES.objectNode();
    node.put("run", run.number());
    node.put("window", run.window());
    put(node, "recorded", run.first());
    put(node, "began", run.began());
    put(node, "ended", run.ended());
    node.put("account", run.account().word());
    node.put("account-why", run.settledWhy());
    node.put("ran-ms", run.ranMillis());
    node.put("counted-ms", run.countedMillis());
    node.put("counted-mg", run.milligrams());
    texts(node, "causes", run.causes());
    node.set("redox", redox(run.redox()));
    return node;
  }

  private static ObjectNode redox(Redox redox) {
    ObjectNode node = NODES.objectNode();
    node.put("start-mv", redox.start());
    node.put("peak-mv", redox.peak());
    node.put("end-mv", redox.end());
    node.put("corrected-peak-mv", redox.correctedPeak());
    return node;
  }

  private static ObjectNode group(Group group, TankNight tank) {
    ObjectNode node = trip(group.first(), tank);
    node.set("consequences", array(group.consequences(), trip -> trip(trip, tank)));
    return node;
  }

  private static ObjectNode trip(Trip trip, TankNight tank) {
    ObjectNode node = NODES.objectNode();
    node.put("name", trip.name());
    put(node, "at", trip.at());
    node.put("why", trip.why());
    node.put("first-out", trip.firstOut());
    texts(node, "stops", trip.stops());
    RunStory ended = tank.endedBy(trip);
    node.put("ended-run", ended == null ? null : ended.number());
    node.put("latched", trip.latched() != null);
    put(node, "latched-at", trip.latched());
    put(node, "cleared", trip.cleared());
    put(node, "lost", trip.lost());
    return node;
  }

  private static ArrayNode happenings(TankNight tank, Sort sort) {
    return array(tank.of(sort), happening -> happening(happening, false));
  }

  private static ObjectNode happening(Happening happening, boolean withSort) {
    ObjectNode node = NODES.objectNode();
    if (withSort) {
      node.put("sort", happening.sort().word());
    } else {
      node.put("name", happening.name());
    }
    put(node, "at", happening.at());
    put(node, "until", happening.until());
    node.put("what", happening.what());
    if (!withSort) {
      node.put("latched", happening.latched());
    }
    return node;
  }

  private static ObjectNode act(Act act) {
    ObjectNode node = NODES.objectNode();
    put(node, "at", act.at());
    node.put("act", act.act());
    node.put("name", act.name());
    node.put("by", act.by());
    node.put("text", act.text());
    node.put("what", act.what());
    return node;
  }

  private static <T> ArrayNode array(List<T> items, Function<T, ObjectNode> made) {
    ArrayNode array = NODES.arrayNode();
    items.forEach(item -> array.add(made.apply(item)));
    return array;
  }

  private static void texts(ObjectNode node, String name, List<String> texts) {
    ArrayNode array = node.putArray(name);
    texts.forEach(array::add);
  }

  static void put(ObjectNode node, String name, @Nullable Mark mark) {
    put(node, name, mark == null ? null : mark.at());
  }

  static void put(ObjectNode node, String name, @Nullable Instant instant) {
    node.put(name, instant == null ? null : Figures.recordTime(instant));
  }

  @Override
  public String toString() {
    DefaultIndenter indent = new DefaultIndenter("  ", "\n");
    DefaultPrettyPrinter printer =
        new DefaultPrettyPrinter(
            Separators.createDefaultInstance()
                .withObjectFieldValueSpacing(Separators.Spacing.AFTER));
    printer.indentObjectsWith(indent);
    printer.indentArraysWith(indent);
    try {
      return MAPPER.writer(printer).writeValueAsString(root) + "\n";
    } catch (JsonProcessingException e) {
      throw new IllegalStateException("a tree that cannot be written", e);
    }
  }
}

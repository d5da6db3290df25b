package io.github.tidewarden.config;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import io.github.tidewarden.control.SkimmerSpec;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.interlock.InterlockSpec;
import io.github.tidewarden.interlock.PickUp;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.quantity.UnitCode;
import io.github.tidewarden.schedule.WindowSpec;
import java.math.BigDecimal;
import java.time.Instant;
import java.util.Arrays;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/** What a configuration would do, for a machine: the facts of {@link CheckText} as JSON. */
public final class CheckJson {
  private static final ObjectMapper JSON = new ObjectMapper();

  private CheckJson() {}

  /**
   * One JSON object with the keys that the site page "Configuration" lists.
   *
   * @param now from which the next nights are reckoned
   */
  public static String of(Configuration configuration, Instant now) {
    ObjectNode root = object();
    root.put("site", configuration.site().name());
    root.put("zone", configuration.site().zone().getId());
    root.put("zone-data", CheckText.zoneData());
    root.put("config-digest", configuration.digest());
    ArrayNode tanks = root.putArray("tanks");
    configuration
        .site()
        .tanks()
        .forEach(
            tank -> tank(tanks.addObject(), CheckFacts.of(tank, configuration.site().zone(), now)));
    ArrayNode rooms = root.putArray("rooms");
    for (RoomFill fill : RoomFill.of(configuration.site().tanks(), configuration.air())) {
      RoomText.put(
          rooms
              .addObject()
              .put("room", fill.room())
              .put("room-mg-per-h", decimal(fill.milligramsPerHour(), UnitCode.MILLIGRAM_PER_HOUR)),
          fill);
    }
    ArrayNode notices = root.putArray("notices");
    configuration.notices().forEach(notices::add);
    return write(root);
  }

  /** The complaints about a configuration that is refused. */
  public static String of(ConfigException refused) {
    ObjectNode root = object();
    ArrayNode complaints = root.putArray("complaints");
    for (Complaint complaint : refused.complaints()) {
      complaints
          .addObject()
          .put("line", complaint.line())
          .put("column", complaint.column())
          .put("wrong", complaint.wrong())
          .put("right", complaint.right());
    }
    return write(root);
  }

  private static void tank(ObjectNode node, CheckFacts facts) {
    node.put("tank", facts.tank().name());
    node.put("water-l", Figures.decimal(facts.tank().waterLitres(), UnitCode.LITRES.decimals()));
    node.put("room", facts.tank().room());
    CheckFacts.Ozone ozone = facts.ozone();
    if (ozone != null) {
      ozone(node.putObject("ozone"), ozone);
      carbon(node.withObject("ozone"), facts);
      silence(node.withObject("ozone"), facts, TankFunction.OZONE);
    }
    CheckFacts.Exchange exchange = facts.exchange();
    if (exchange != null) {
      exchange(node.putObject("exchange"), exchange);
      silence(node.withObject("exchange"), facts, TankFunction.EXCHANGE);
    }
    SkimmerSpec skimmer = facts.tank().care().skimmer();
    if (skimmer != null) {
      ObjectNode skimmerNode = node.putObject("skimmer");
      putIfThere(skimmerNode, "air", skimmer.air());
      putIfThere(skimmerNode, "cup", skimmer.cup());
      skimmer
          .afterNanos()
          .forEach((work, nanos) -> skimmerNode.put(work.key() + "-s", seconds(nanos)));
    }
    ArrayNode interlocks = node.putArray("interlocks");
    facts.guards().forEach(guard -> interlock(interlocks.addObject(), guard));
    ObjectNode without = node.putObject("without");
    facts.without().forEach(without::put);
    ArrayNode devices = node.putArray("devices");
    for (CheckFacts.Device device : facts.devices()) {
      devices
          .addObject()
          .put("name", device.spec().name())
          .put("drop-out-s", device.spec().dropOutSeconds())
          .put("confirms", device.confirm() != null);
    }
  }

  private static void ozone(ObjectNode node, CheckFacts.Ozone ozone) {
    OzoneSpec spec = ozone.spec();
    node.put("rated-mg-per-h", decimal(spec.ratedMilligramsPerHour(), UnitCode.MILLIGRAM_PER_HOUR));
    node.put("most-min", minutes(spec.mostPerNightNanos()));
    node.put("most-mg", decimal(ozone.mostMilligrams(), UnitCode.MILLIGRAM));
    node.put("reference", spec.reference());
    node.put("start-below-mv", decimal(spec.startBelowMillivolts(), UnitCode.MILLIVOLT));
    node.put("stop-above-mv", decimal(spec.stopAboveMillivolts(), UnitCode.MILLIVOLT));
    node.put("ceiling-mv", decimal(spec.ceilingMillivolts(), UnitCode.MILLIVOLT));
    if (spec.firstDoseNanos() > 0) {
      node.put("first-dose-s", seconds(spec.firstDoseNanos()));
    }
    node.putObject(PickUp.NAME)
        .put("jump-mv", decimal(PickUp.JUMP_MILLIVOLTS, UnitCode.MILLIVOLT))
        .put("on-s", seconds(PickUp.WITHIN_OF_ON.toNanos()))
        .put("off-s", seconds(PickUp.WITHIN_OF_OFF.toNanos()));
    node.putObject("calibration")
        .put("required", spec.probeAge().required())
        .put("warn-after-s", seconds(spec.probeAge().warnNanos()))
        .put("forbid-after-s", seconds(spec.probeAge().forbidNanos()));
    windows(node, spec.windows());
    ArrayNode nights = node.putArray("nights");
    for (CheckFacts.Night night : ozone.nights()) {
      ObjectNode nightNode =
          nights
              .addObject()
              .put("night", night.date().toString())
              .put("most-min", minutes(night.mostNanos()))
              .put("most-mg", decimal(night.mostMilligrams(), UnitCode.MILLIGRAM));
      ArrayNode openings = nightNode.putArray("open");
      for (CheckFacts.Opening opening : night.openings()) {
        openings
            .addObject()
            .put("from", Figures.recordTime(opening.start()))
            .put("to", Figures.recordTime(opening.end()))
            .put("clocks-change", !opening.asUsual());
      }
    }
  }

  private static void carbon(ObjectNode node, CheckFacts facts) {
    ObjectNode carbons = node.putObject("carbon");
    facts
        .tank()
        .care()
        .carbon()
        .forEach(
            (carbon, life) ->
                carbons
                    .putObject(carbon.word())
                    .put("remind-after-s", seconds(life.remindNanos()))
                    .put("forbid-after-s", seconds(life.forbidNanos())));
    ArrayNode advice = node.putArray("carbon-unsaid");
    facts.unsaidCarbon().forEach(carbon -> advice.add(carbon.word()));
  }

  private static void windows(ObjectNode node, List<WindowSpec> specs) {
    ArrayNode windows = node.putArray("windows");
    for (WindowSpec window : specs) {
      ArrayNode days =
          windows
              .addObject()
              .put("from", window.from().toString())
              .put("to", window.to().toString())
              .putArray("days");
      window.days().stream().sorted().map(WindowReader::word).forEach(days::add);
    }
  }

  private static void silence(ObjectNode node, CheckFacts facts, TankFunction function) {
    ObjectNode silence = node.putObject("rests-when-silent-s");
    facts
        .needed(function)
        .forEach(sensor -> silence.put(sensor.name(), seconds(sensor.staleNanos())));
  }

  private static void exchange(ObjectNode node, CheckFacts.Exchange exchange) {
    ExchangeSpec spec = exchange.spec();
    node.put("kind", PlanJson.kind(spec));
    node.put("per-day-l", decimal(spec.litresPerDay(), UnitCode.LITRES));
    node.put("portions-per-day", exchange.plan().portionsPerDay());
    node.put("portion-l", decimal(exchange.portionLitres(), UnitCode.LITRES));
    node.put("portion-min", decimal(exchange.portionMinutes(), UnitCode.MINUTES));
    node.put(
        "evaporation-per-day-l",
        decimal(exchange.spec().evaporationLitresPerDay(), UnitCode.LITRES));
    node.put(
        "new-after-week-percent", decimal(100 * exchange.plan().newAfterWeek(), UnitCode.PERCENTS));
    windows(node, spec.windows());
    node.put("drain-ml-per-min", millilitresPerMinute(spec.drain()));
    node.put("fill-ml-per-min", millilitresPerMinute(spec.fill()));
    ExchangeSpec.Level level = spec.level();
    if (level != null) {
      node.put("level", level.sensor());
    }
    ExchangeSpec.Bin bin = spec.bin();
    ObjectNode binNode =
        node.putObject("new-water")
            .put("bin", bin.name())
            .put("holds-l", decimal(bin.holdsLitres(), UnitCode.LITRES))
            .put("salinity-psu", decimal(bin.salinityPsu(), UnitCode.PSU))
            .put("mixed-for-s", seconds(bin.mixNanos()))
            .put("confirmed-by-keeper", bin.salinitySensor() == null);
    putIfThere(binNode, "volume-sensor", bin.volumeSensor());
    putIfThere(binNode, "salinity-sensor", bin.salinitySensor());
    putIfThere(binNode, "temperature-sensor", bin.temperatureSensor());
    ArrayNode shares = node.putArray("shares");
    spec.shares().forEach(shares::add);
    node.put("while-ozone", spec.whileOzone());
    node.put("top-off-held", exchange.topOffHeld());
  }

  private static BigDecimal millilitresPerMinute(ExchangeSpec.Pump pump) {
    return decimal(1000 * pump.litresPerMinute(), UnitCode.MILLILITRE_PER_MINUTE);
  }

  private static void putIfThere(ObjectNode node, String key, @Nullable String text) {
    if (text != null) {
      node.put(key, text);
    }
  }

  private static void interlock(ObjectNode node, CheckFacts.Guarding guard) {
    InterlockSpec spec = guard.spec();
    node.put("name", spec.name());
    node.put("cause", guard.cause());
    node.put("notice", spec.notice());
    node.put("for-s", seconds(spec.forNanos()));
    node.put("rest-s", seconds(spec.restNanos()));
    if (guard.clear() != null) {
      node.put("clear", guard.clear());
    }
    if (guard.latch() != null) {
      node.put("latch", guard.latch());
      node.put("latch-after-s", seconds(spec.latchForNanos()));
    }
    if (spec.latchAtCount() > 0) {
      node.put("latch-at-trip", spec.latchAtCount());
    }
    ArrayNode stops = node.putArray("stops");
    Arrays.stream(TankFunction.values())
        .filter(spec.stops()::contains)
        .forEach(function -> stops.add(function.word()));
  }

  static BigDecimal decimal(double value, UnitCode unit) {
    return Figures.decimal(value, unit.decimals());
  }

  private static BigDecimal minutes(long nanos) {
    return Figures.decimal(
        nanos / (double) TimeUnit.MINUTES.toNanos(1), UnitCode.MINUTES.decimals());
  }

  private static double seconds(long nanos) {
    return nanos / (double) TimeUnit.SECONDS.toNanos(1);
  }

  static ObjectNode object() {
    return JSON.createObjectNode();
  }

  static String write(ObjectNode root) {
    try {
      return JSON.writerWithDefaultPrettyPrinter().writeValueAsString(root);
    } catch (JsonProcessingException e) {
      throw new IllegalStateException("a tree of plain values can be written", e);
    }
  }
}

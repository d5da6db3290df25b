package io.github.tidewarden.rehearsal;

import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.science.Dilution;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.TreeMap;
import java.util.function.Function;
import java.util.function.ToDoubleFunction;
import java.util.stream.Collectors;

/**
 * What a keeper should look at, and change, after a rehearsal in which nothing was made to fail: a
 * night after faults begins with what they have latched. The bounds are a rough sense of what
 * matters, and no limits of the daemon.
 */
final class RehearsalAdvice {
  /** A share that was missed by more than this on the mean is told, as a share. */
  private static final double MISSED = 0.02;

  /** Pumps that differ by more than this, as a share, are told. */
  private static final double APART = 0.03;

  /** Salinity that has moved by more than this from the first night to the last is told, PSU. */
  private static final double SALT_MOVED_PSU = 0.3;

  /** In fewer nights nothing is seen of where a nutrient goes. */
  private static final int WEEK = 7;

  /** A nutrient that has grown by more than this, as a share, is told. */
  private static final double NUTRIENT_GREW = 0.05;

  /** From here on ozone in the air of a room is told, ppb: the daemon's own notice. */
  private static final double ROOM_PPB = 50;

  /** An allowance that is spent to this share in every night is too short. */
  private static final double SPENT = 0.98;

  /** What to do about what stopped or was told, by its name. */
  private static final Map<String, String> REMEDIES =
      Map.ofEntries(
          Map.entry("air-lost", "clean the way of the skimmer's air, or see its `low`"),
          Map.entry("circulation-lost", "see to the return pump and its sensor"),
          Map.entry("room-ozone", "air the room, or put carbon on the skimmer's outlet"),
          Map.entry("room-ozone-notice", "air the room, or put carbon on the skimmer's outlet"),
          Map.entry("redox-ceiling", "end the dose lower: a lower `stop-above`"),
          Map.entry("redox-low", "see to the probes, and to what pulls redox down"),
          Map.entry("probes-apart", "clean and calibrate the probes"),
          Map.entry("probes-apart-notice", "clean and calibrate the probes"),
          Map.entry("leak", "find the water on the floor"),
          Map.entry("level-high", "see to top-off and to the weir, or to `keep-between`"),
          Map.entry("level-low", "see to top-off, or to `keep-between`"),
          Map.entry("new-water-low", "fill the bin sooner, or take a larger one"),
          Map.entry("skimmer-cup-full", "empty the cup more often, or tune the skimmer drier"),
          Map.entry("waste-full", "empty the waste more often, or take a larger one"),
          Map.entry("salinity-off", "measure the new water's salinity, and see to top-off"),
          Map.entry("salinity-drifts", "measure the new water's salinity, and see to top-off"),
          Map.entry("drain-drifts", "measure what the drain pump moves, and `calibrate` it"),
          Map.entry("fill-drifts", "measure what the fill pump moves, and `calibrate` it"),
          Map.entry("top-off-seeps", "try the hold on top-off, and `calibrate` both pumps"),
          Map.entry("drain-blocked", "see to the drain pump and its hose"),
          Map.entry("fill-dry", "see to the fill pump, its hose and the bin"),
          Map.entry("pumps-apart", "measure what both pumps move, and `calibrate` them"),
          Map.entry("out-and-in-apart", "measure what both pumps move, and `calibrate` them"),
          Map.entry("top-off-released", "portions keep top-off held: fewer or smaller ones"),
          Map.entry(
              "missed", "a window passed in which nothing could be given; see what stood then"),
          Map.entry("share-missed", "longer windows, or a smaller `per-day`"),
          Map.entry("no-ozone", "see what redox is against the band when a window opens"),
          Map.entry("reset-refused", "what is latched has its cause still"));

  /** What a dose lifts redox by is told from what the water does alone by more than this, mV. */
  private static final double ALONE_MILLIVOLTS = 3;

  private final List<String> lines = new ArrayList<>();
  private final List<RehearsedNight> nights;
  private final BrokenDevices broken;

  /** What redox would have been without any ozone, mV. */
  private final Range alone;

  /** Whether it comes to the ceiling by that. */
  private final boolean ceilingAlone;

  private RehearsalAdvice(List<RehearsedNight> nights, TankSpec tank, TankModel model) {
    this.nights = nights;
    broken = new BrokenDevices(tank, model);
    alone = model.redox().withoutOzone(nights.size());
    OzoneSpec ozone = tank.ozone();
    ceilingAlone = ozone != null && alone.most() > ozone.ceilingMillivolts() - ALONE_MILLIVOLTS;
  }

  /** What to look at at one tank; nothing where all went as it should. */
  static List<String> of(TankSpec tank, TankModel model, Rehearsal.Outcome outcome) {
    if (!outcome.storms().isEmpty()) {
      return List.of("what faults do is told above; rehearse without them for what to change");
    }
    RehearsalAdvice advice =
        new RehearsalAdvice(Objects.requireNonNull(outcome.nights().get(tank.name())), tank, model);
    advice.lines.addAll(advice.broken.lines());
    if (tank.ozone() != null && !advice.broken.spoil(TankFunction.OZONE)) {
      advice.redox(tank.ozone());
      advice.ozone(tank.ozone());
    }
    if (tank.exchange() != null
        && !advice.broken.spoil(TankFunction.EXCHANGE)
        && !advice.broken.spoil(TankFunction.TOP_OFF)) {
      advice.water(tank.exchange());
      advice.salt();
      advice.nutrient(tank, model);
    }
    advice.incidents();
    return advice.lines;
  }

  private void redox(OzoneSpec ozone) {
    Range probe = all(RehearsedNight::probeMillivolts);
    if (isHighAlone(ozone)) {
      highAlone(ozone);
      if (probe.most() <= alone.most() + ALONE_MILLIVOLTS) {
        return; // no dose lifted it higher
      }
    }
    double over = probe.most() - Math.max(alone.most(), ozone.stopAboveMillivolts());
    double room = ozone.ceilingMillivolts() - ozone.stopAboveMillivolts();
    if (probe.most() >= ozone.ceilingMillivolts() && !ceilingAlone) {
      lines.add(
          "redox reaches the ceiling: end the dose lower in the band, or give less at a time");
    } else if (over > room / 2) {
      lines.add(
          "redox runs on for %s mV after the dose: `stop-above` lower by that much"
              .formatted(decimal(over, 0)));
    }
  }

  /** The water comes to the end of the band, or further, without a dose. */
  private boolean isHighAlone(OzoneSpec ozone) {
    return alone.most() >= ozone.stopAboveMillivolts();
  }

  private void highAlone(OzoneSpec ozone) {
    double under = ozone.ceilingMillivolts() - alone.most();
    lines.add(
        "redox is %s to %s mV without any ozone, %s: no dose lifts it there, and no setting lowers it. Measure it with a probe that you trust and see to `reference`; if it is true the water needs no ozone at such times: find what else oxidises, and do not raise band or ceiling"
            .formatted(
                decimal(alone.least(), 0),
                decimal(alone.most(), 0),
                under > 0
                    ? decimal(under, 0) + " mV under the ceiling"
                    : decimal(-under, 0) + " mV over the ceiling"));
  }

  private void ozone(OzoneSpec ozone) {
    Range probe = all(RehearsedNight::probeMillivolts);
    double most = ozone.mostPerNightNanos();
    Range nanos = each(RehearsedNight::ozoneNanos);
    double peak = each(night -> night.probeMillivolts().most()).most();
    boolean isTold = isHighAlone(ozone) && nanos.mean() < 60e9;
    if (!isTold && probe.least() >= ozone.startBelowMillivolts()) {
      lines.add(
          "redox is never under `start-below`, %s mV at the lowest: no ozone is needed, or the band"
                  .formatted(decimal(probe.least(), 0))
              + " is too low");
    } else if (!isTold && nanos.mean() < 60e9) {
      lines.add("hardly any ozone is given: is redox below the band when a window opens?");
    } else if (peak < ozone.stopAboveMillivolts() && nanos.least() >= SPENT * most) {
      lines.add(
          "all ozone of a night is given and redox does not come to the band's end: more of it, a"
              + " lower band, or less organics in the water");
    }
    double ppb = all(RehearsedNight::roomPpb).most();
    if (ppb >= ROOM_PPB) {
      lines.add(
          "the air of the room has %s ppb of ozone at times: %s"
              .formatted(decimal(ppb, 0), REMEDIES.get("room-ozone")));
    }
  }

  private void water(ExchangeSpec exchange) {
    double out = each(RehearsedNight::outLitres).mean();
    double in = each(RehearsedNight::inLitres).mean();
    if (out < (1 - MISSED) * exchange.litresPerDay()) {
      lines.add(
          "%s %% of the share is missed: longer windows, or another reason below"
              .formatted(decimal(100 - 100 * out / exchange.litresPerDay(), 1)));
    }
    if (Math.abs(out - in) > APART * Math.max(out, in)) {
      lines.add(
          "%s L go out and %s L come in a night: %s"
              .formatted(decimal(out, 2), decimal(in, 2), REMEDIES.get("pumps-apart")));
    }
    ExchangeSpec.Level level = exchange.level();
    Range seen = all(RehearsedNight::levelMillimetres);
    if (level != null
        && (seen.least() < level.lowMillimetres() || seen.most() > level.highMillimetres())) {
      lines.add(
          "the level leaves `keep-between`, %s to %s mm: see to top-off and to what comes down"
              .formatted(decimal(seen.least(), 1), decimal(seen.most(), 1)));
    }
  }

  private void salt() {
    double moved = nights.get(nights.size() - 1).psuAtEnd() - nights.get(0).psu().mean();
    if (Math.abs(moved) > SALT_MOVED_PSU) {
      lines.add(
          "salinity %s by %s PSU: measure the new water's, and see what takes salt out or fresh water in"
              .formatted(moved > 0 ? "rises" : "falls", decimal(Math.abs(moved), 2)));
    }
  }

  private void nutrient(TankSpec tank, TankModel model) {
    double litres = Objects.requireNonNull(tank.exchange()).litresPerDay();
    double first = nights.get(0).nutrient().mean();
    double end = nights.get(nights.size() - 1).nutrientAtEnd();
    if (nights.size() >= WEEK && end > (1 + NUTRIENT_GREW) * first) {
      double settles =
          Dilution.settledContinuous(
              0, model.water().nutrientMilligramsPerLitreDay(), litres / tank.waterLitres());
      lines.add(
          "what feeding adds grows from %s to %s mg/L and settles at %s: a larger `per-day`, or less food"
              .formatted(decimal(first, 1), decimal(end, 1), decimal(settles, 1)));
    }
  }

  private void incidents() {
    Map<String, Integer> all = new TreeMap<>();
    nights.forEach(
        night -> night.incidents().forEach((name, count) -> all.merge(name, count, Integer::sum)));
    all.keySet().removeIf(broken::explain);
    Map<String, List<String>> byRemedy =
        all.keySet().stream()
            .collect(Collectors.groupingBy(this::remedy, TreeMap::new, Collectors.toList()));
    byRemedy.forEach((remedy, names) -> lines.add(String.join(", ", names) + ": " + remedy));
  }

  private String remedy(String name) {
    if (name.equals("redox-ceiling") && ceilingAlone) {
      return "redox is there without any ozone, see above";
    }
    if (name.endsWith("-silent")) {
      return "see to the sensor, its network and its `stale-after`";
    }
    if (name.endsWith("-unconfirmed") || name.endsWith("-on-unasked")) {
      return "the device does not do what it is told: mend it before anything else";
    }
    return REMEDIES.getOrDefault(name, "stopped or told: `review` and the page on it say more");
  }

  private Range all(Function<RehearsedNight, Range> of) {
    return nights.stream().map(of).reduce(Range.NOTHING, Range::with);
  }

  private Range each(ToDoubleFunction<RehearsedNight> of) {
    Range range = Range.NOTHING;
    for (RehearsedNight night : nights) {
      range = range.with(of.applyAsDouble(night));
    }
    return range;
  }

  private static String decimal(double value, int decimals) {
    return Double.isNaN(value) ? "?" : Figures.decimal(value, decimals).toPlainString();
  }
}

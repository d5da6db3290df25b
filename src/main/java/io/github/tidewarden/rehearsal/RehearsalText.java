package io.github.tidewarden.rehearsal;

import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.quantity.UnitCode;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.TreeMap;
import java.util.concurrent.TimeUnit;
import java.util.function.Function;
import java.util.stream.Collectors;

/** What a rehearsal came to, for a keeper: each tank's figures, then what to look at. */
public final class RehearsalText {
  private static final double NANOS_PER_MINUTE = TimeUnit.MINUTES.toNanos(1);

  /** A share that was missed by more than this on the mean is told, as a share. */
  private static final double MISSED = 0.02;

  private final List<String> lines = new ArrayList<>();

  private RehearsalText() {}

  /**
   * Tells it.
   *
   * @param tookNanos how long it took in real time, ns
   */
  public static String of(Rehearsal.Task task, Rehearsal.Outcome outcome, long tookNanos) {
    RehearsalText text = new RehearsalText();
    text.lines.add(
        task.spec().name()
            + ": "
            + task.nights()
            + (task.nights() == 1 ? " night" : " nights")
            + " from "
            + task.first()
            + ", seed "
            + task.seed()
            + (task.faults()
                ? ", every other night with faults, the first among them"
                : ", nothing wrong with any device"));
    text.lines.add(
        "The tanks are typical ones; yours is another. Figures are of the water itself.");
    for (TankSpec tank : task.spec().tanks()) {
      text.tank(tank, Objects.requireNonNull(outcome.nights().get(tank.name())));
    }
    text.lines.add("");
    text.lines.add(
        outcome.broken().isEmpty()
            ? "of what must never happen nothing was seen"
            : "what must never happen and did, a fault of this program:");
    outcome.broken().forEach(text::line);
    if (!outcome.broken().isEmpty()) {
      text.line("again: " + again(task));
    }
    if (task.faults()) {
      text.faults(outcome);
    }
    double seconds = tookNanos / 1e9;
    text.lines.add("");
    text.lines.add(
        "run: %s s, %s nights a second, %s events a second"
            .formatted(
                Figures.decimal(seconds, 1),
                Figures.decimal(task.nights() / seconds, 2),
                Math.round(outcome.events() / seconds)));
    return String.join("\n", text.lines);
  }

  /** The one command that shows it again. */
  private static String again(Rehearsal.Task task) {
    return "rehearse --config FILE --nights "
        + task.nights()
        + " --seed "
        + task.seed()
        + " --from "
        + task.first()
        + (task.faults() ? " --faults" : "");
  }

  private void faults(Rehearsal.Outcome outcome) {
    lines.add(
        "in nights after faults "
            + outcome.recoveries()
            + (outcome.recoveries() == 1 ? " function" : " functions")
            + " that nothing had latched"
            + (outcome.recoveries() == 1 ? " was" : " were")
            + " seen to work again, or told above");
    lines.add("the faults:");
    outcome
        .storms()
        .forEach(
            (night, drawn) -> {
              line("night of " + night);
              drawn.forEach(one -> line("  " + one));
            });
  }

  private void tank(TankSpec tank, List<RehearsedNight> nights) {
    lines.add("");
    lines.add(tank.name());
    List<String> advice = new ArrayList<>();
    if (tank.ozone() != null) {
      ozone(tank.ozone(), nights, advice);
    }
    if (tank.exchange() != null) {
      water(tank.exchange(), nights, advice);
    }
    incidents(nights, advice);
    line("look at: " + (advice.isEmpty() ? "nothing" : String.join("; ", advice)));
  }

  private void ozone(OzoneSpec ozone, List<RehearsedNight> nights, List<String> advice) {
    Range minutes = Range.NOTHING;
    for (RehearsedNight night : nights) {
      minutes = minutes.with(night.ozoneNanos() / NANOS_PER_MINUTE);
    }
    Range probe = all(nights, RehearsedNight::probeMillivolts);
    double most = ozone.mostPerNightNanos() / NANOS_PER_MINUTE;
    line(
        "ozone: %s to %s min a night, %s on the mean, of at most %s; %s on the mean"
            .formatted(
                decimal(minutes.least(), 1),
                decimal(minutes.most(), 1),
                decimal(minutes.mean(), 1),
                decimal(most, 0),
                Figures.brief(
                    minutes.mean() / 60 * ozone.ratedMilligramsPerHour(), UnitCode.MILLIGRAM)));
    line(
        "redox (ORP) against %s: %s mV of the water at most, %s mV at the highest probe: %s mV over the band, %s mV under the ceiling"
            .formatted(
                ozone.reference(),
                decimal(all(nights, RehearsedNight::redoxMillivolts).most(), 0),
                decimal(probe.most(), 0),
                decimal(Math.max(0, probe.most() - ozone.stopAboveMillivolts()), 0),
                decimal(ozone.ceilingMillivolts() - probe.most(), 0)));
    if (probe.most() >= ozone.ceilingMillivolts()) {
      advice.add(
          "redox reaches the ceiling: end the dose lower in the band, or give less at a time");
    }
    if (minutes.mean() < 1) {
      advice.add("hardly any ozone is given: is redox below the band when a window opens?");
    }
  }

  private void water(ExchangeSpec exchange, List<RehearsedNight> nights, List<String> advice) {
    Range out = Range.NOTHING;
    Range in = Range.NOTHING;
    for (RehearsedNight night : nights) {
      out = out.with(night.outLitres());
      in = in.with(night.inLitres());
    }
    line(
        "water: %s to %s L out a night, %s on the mean, of %s; %s L in on the mean"
            .formatted(
                decimal(out.least(), 2),
                decimal(out.most(), 2),
                decimal(out.mean(), 2),
                decimal(exchange.litresPerDay(), 2),
                decimal(in.mean(), 2)));
    ExchangeSpec.Level level = exchange.level();
    if (level != null) {
      Range seen = all(nights, RehearsedNight::levelMillimetres);
      line(
          "level: %s to %s mm, to be kept between %s and %s"
              .formatted(
                  decimal(seen.least(), 1),
                  decimal(seen.most(), 1),
                  decimal(level.lowMillimetres(), 0),
                  decimal(level.highMillimetres(), 0)));
    }
    Range psu = all(nights, RehearsedNight::psu);
    line(
        "salinity: %s to %s PSU; what feeding adds (nitrate, say): %s mg/L in the first night, %s in the last"
            .formatted(
                decimal(psu.least(), 2),
                decimal(psu.most(), 2),
                decimal(nights.get(0).nutrient().mean(), 1),
                decimal(nights.get(nights.size() - 1).nutrient().mean(), 1)));
    if (out.mean() < (1 - MISSED) * exchange.litresPerDay()) {
      advice.add(
          "%s %% of the share is missed: longer windows, or another reason below"
              .formatted(decimal(100 - 100 * out.mean() / exchange.litresPerDay(), 1)));
    }
  }

  private void incidents(List<RehearsedNight> nights, List<String> advice) {
    Map<String, Integer> all = new TreeMap<>();
    nights.forEach(
        night -> night.incidents().forEach((name, count) -> all.merge(name, count, Integer::sum)));
    long without = nights.stream().filter(night -> night.incidents().isEmpty()).count();
    line(
        "nights without incident: "
            + without
            + " of "
            + nights.size()
            + (all.isEmpty()
                ? ""
                : "; "
                    + all.entrySet().stream()
                        .map(one -> one.getKey() + " " + one.getValue() + "x")
                        .collect(Collectors.joining(", "))));
    if (!all.isEmpty()) {
      advice.add("what stopped or was told: " + String.join(", ", all.keySet()));
    }
  }

  private static Range all(List<RehearsedNight> nights, Function<RehearsedNight, Range> of) {
    return nights.stream().map(of).reduce(Range.NOTHING, Range::with);
  }

  private static String decimal(double value, int decimals) {
    return Double.isNaN(value) ? "?" : Figures.decimal(value, decimals).toPlainString();
  }

  private void line(String text) {
    lines.add("  " + text);
  }
}

package io.github.tidewarden.rehearsal;

import io.github.tidewarden.config.TankModelFile;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.quantity.UnitCode;
import java.util.ArrayList;
import java.util.LinkedHashMap;
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

  private final List<String> lines = new ArrayList<>();

  private RehearsalText() {}

  /**
   * Tells it.
   *
   * @param tookNanos how long it took in real time, ns
   * @param again the command that shows it again
   */
  public static String of(
      Rehearsal.Task task, Rehearsal.Outcome outcome, long tookNanos, String again) {
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
                : faultsOfDevices(task)));
    TankModelFile file = task.models().file();
    text.lines.add(
        (file == null
                ? "The tanks are typical ones; yours is another."
                : "The tanks are those of "
                    + file.name()
                    + " (SHA-256 "
                    + file.digest()
                    + "), and typical where it says nothing.")
            + " Figures are of the water itself.");
    for (TankSpec tank : task.spec().tanks()) {
      text.tank(tank, task.models(), outcome);
    }
    text.lines.add("");
    text.lines.add(
        outcome.broken().isEmpty()
            ? "of what must never happen nothing was seen"
            : "what must never happen and did, a fault of this program:");
    outcome.broken().forEach(text::line);
    if (!outcome.broken().isEmpty()) {
      text.line("again: " + again);
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

  private static String faultsOfDevices(Rehearsal.Task task) {
    boolean sound =
        task.spec().tanks().stream()
            .allMatch(tank -> task.models().apply(tank).fittings().faults().isEmpty());
    return sound
        ? ", nothing wrong with any device"
        : ", with what the tank model says is wrong with devices";
  }

  private void tank(TankSpec tank, TankModels models, Rehearsal.Outcome outcome) {
    TankModelFile file = models.file();
    Map<String, String> said = file == null ? Map.of() : file.of(tank.name()).told();
    List<RehearsedNight> nights = Objects.requireNonNull(outcome.nights().get(tank.name()));
    lines.add("");
    lines.add(tank.name());
    model(said);
    if (tank.ozone() != null) {
      ozone(tank.ozone(), nights);
    }
    if (tank.exchange() != null) {
      water(tank.exchange(), nights);
    }
    incidents(nights);
    List<String> advice = RehearsalAdvice.of(tank, models.apply(tank), outcome);
    line(advice.isEmpty() ? "look at: nothing" : "look at:");
    advice.forEach(one -> line("  " + one));
  }

  /** A line for each section of the file. */
  private void model(Map<String, String> said) {
    Map<String, List<String>> sections = new LinkedHashMap<>();
    said.forEach(
        (path, value) -> {
          int dot = path.lastIndexOf('.');
          sections
              .computeIfAbsent(path.substring(0, dot), section -> new ArrayList<>())
              .add(path.substring(dot + 1) + " " + value);
        });
    sections.forEach(
        (section, figures) -> line("tank model, " + section + ": " + String.join(", ", figures)));
  }

  private void ozone(OzoneSpec ozone, List<RehearsedNight> nights) {
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
    Range peaks = Range.NOTHING;
    for (RehearsedNight night : nights) {
      peaks = peaks.with(night.probeMillivolts().most());
    }
    line(
        "peak of a night: %s to %s mV at the highest probe, %s on the mean"
            .formatted(
                decimal(peaks.least(), 0), decimal(peaks.most(), 0), decimal(peaks.mean(), 0)));
    line(
        "air of the room: at most %s ppb of ozone"
            .formatted(decimal(all(nights, RehearsedNight::roomPpb).most(), 1)));
  }

  private void water(ExchangeSpec exchange, List<RehearsedNight> nights) {
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
    RehearsedNight last = nights.get(nights.size() - 1);
    line(
        "salinity: %s to %s PSU, %s at the end"
            .formatted(
                decimal(psu.least(), 2), decimal(psu.most(), 2), decimal(last.psuAtEnd(), 2)));
    line(
        "what feeding adds (nitrate, say): %s mg/L in the first night, %s in the last, %s at the end"
            .formatted(
                decimal(nights.get(0).nutrient().mean(), 1),
                decimal(last.nutrient().mean(), 1),
                decimal(last.nutrientAtEnd(), 1)));
  }

  private void incidents(List<RehearsedNight> nights) {
    Map<String, Map<String, Integer>> all = new TreeMap<>();
    for (RehearsedNight night : nights) {
      night
          .causes()
          .forEach(
              (kind, names) ->
                  names.forEach(
                      (name, count) ->
                          all.computeIfAbsent(kind, word -> new TreeMap<>())
                              .merge(name, count, Integer::sum)));
    }
    Map<String, Integer> trips = all.remove(Kind.TRIP.word());
    line("trips by cause: " + (trips == null ? "none" : told(trips)));
    all.forEach((kind, names) -> line(kind + ": " + told(names)));
    long without = nights.stream().filter(night -> night.causes().isEmpty()).count();
    line("nights without incident: " + without + " of " + nights.size());
  }

  private static String told(Map<String, Integer> names) {
    return names.entrySet().stream()
        .map(one -> one.getKey() + " " + one.getValue() + "x")
        .collect(Collectors.joining(", "));
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

package io.github.tidewarden.config;

import static io.github.tidewarden.quantity.UnitCode.LITRES;
import static io.github.tidewarden.quantity.UnitCode.MILLIGRAM;
import static io.github.tidewarden.quantity.UnitCode.MILLIGRAM_PER_HOUR;
import static io.github.tidewarden.quantity.UnitCode.MILLIVOLT;
import static io.github.tidewarden.quantity.UnitCode.PERCENTS;

import io.github.tidewarden.control.Carbon;
import io.github.tidewarden.control.CarbonLife;
import io.github.tidewarden.control.SkimmerSpec;
import io.github.tidewarden.control.SkimmerWork;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.dosing.ProbeAge;
import io.github.tidewarden.gate.HardLimits;
import io.github.tidewarden.interlock.Arming;
import io.github.tidewarden.interlock.InterlockSpec;
import io.github.tidewarden.interlock.PickUp;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.quantity.UnitCode;
import io.github.tidewarden.schedule.WindowSpec;
import java.time.DayOfWeek;
import java.time.Instant;
import java.time.ZoneId;
import java.time.zone.ZoneRulesProvider;
import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import java.util.concurrent.TimeUnit;
import java.util.function.Function;
import java.util.stream.Collectors;

/** What a configuration would do, in plain words: the text of {@code check}. */
public final class CheckText {
  private final ZoneId zone;
  private final List<String> lines = new ArrayList<>();

  private CheckText(ZoneId zone) {
    this.zone = zone;
  }

  /**
   * Tells what each tank would get in a night and what guards it.
   *
   * @param now from which the next nights are reckoned
   * @return lines that end with a newline each
   */
  public static String of(Configuration configuration, Instant now) {
    ZoneId zone = configuration.site().zone();
    CheckText text = new CheckText(zone);
    text.line(
        0,
        configuration.site().name()
            + ": "
            + count(configuration.site().tanks().size(), "tank")
            + ", times in "
            + zone
            + " (time-zone data "
            + zoneData()
            + ")");
    text.hardLimits(configuration.site().hardLimits());
    configuration.site().tanks().forEach(tank -> text.tank(CheckFacts.of(tank, zone, now)));
    text.rooms(RoomFill.of(configuration.site().tanks(), configuration.air()));
    if (!configuration.notices().isEmpty()) {
      text.line(0, "");
      text.line(0, "To know:");
      configuration.notices().forEach(notice -> text.line(1, notice));
    }
    return String.join("\n", text.lines) + "\n";
  }

  /** The release of the time-zone data that windows are reckoned with, such as 2025b. */
  public static String zoneData() {
    return ZoneRulesProvider.getVersions("UTC").lastKey();
  }

  private void hardLimits(HardLimits hard) {
    line(
        0,
        "hard limits: ceiling "
            + Figures.brief(hard.redoxCeilingMillivolts(), MILLIVOLT)
            + " against "
            + References.OF_LIMITS
            + ", ozone "
            + Figures.span(hard.ozonePer24hNanos())
            + " in any 24 h, drop-out "
            + hard.longestDropOutSeconds()
            + " s, exchange "
            + Figures.brief(hard.exchangePer24hPercent(), PERCENTS)
            + " in any 24 h, imbalance "
            + Figures.brief(hard.imbalancePercent(), PERCENTS));
  }

  private void rooms(List<RoomFill> fills) {
    for (RoomFill fill : fills) {
      line(0, "");
      line(0, "the air of " + fill.room());
      RoomText.of(fill).forEach(told -> line(1, told));
    }
  }

  private void tank(CheckFacts facts) {
    line(0, "");
    String room = facts.tank().room();
    line(
        0,
        facts.tank().name()
            + ", "
            + Figures.brief(facts.tank().waterLitres(), LITRES)
            + (room.isEmpty() ? "" : ", in the air of " + room));
    CheckFacts.Ozone ozone = facts.ozone();
    if (ozone == null) {
      line(1, "No ozone.");
    } else {
      ozone(facts, ozone);
      line(2, silence(facts, TankFunction.OZONE));
    }
    CheckFacts.Exchange exchange = facts.exchange();
    if (exchange == null) {
      line(1, "No exchange.");
    } else {
      exchange(facts, exchange);
    }
    SkimmerSpec skimmer = facts.tank().care().skimmer();
    if (skimmer != null) {
      line(1, skimmer(skimmer));
    }
    if (!facts.guards().isEmpty()) {
      line(1, "Interlocks");
      facts.guards().forEach(guard -> line(2, guard(guard)));
    }
    if (!facts.without().isEmpty()) {
      line(1, "Without");
      facts.without().forEach((guard, reason) -> line(2, guard + ": " + reason));
    }
    if (!facts.devices().isEmpty()) {
      line(1, "Devices");
      facts.devices().forEach(device -> line(2, device(device)));
    }
  }

  private void ozone(CheckFacts facts, CheckFacts.Ozone ozone) {
    OzoneSpec spec = ozone.spec();
    line(
        1,
        "Ozone, "
            + Figures.brief(spec.ratedMilligramsPerHour(), MILLIGRAM_PER_HOUR)
            + ": at most "
            + amount(spec.mostPerNightNanos(), ozone.mostMilligrams())
            + " in a night");
    spec.windows().forEach(window -> line(2, window(window)));
    ozone.nights().forEach(night -> line(2, night(night)));
    line(
        2,
        "redox (ORP) against "
            + spec.reference()
            + ": starts with every probe under "
            + Figures.brief(spec.startBelowMillivolts(), MILLIVOLT)
            + ", ends with any at "
            + Figures.brief(spec.stopAboveMillivolts(), MILLIVOLT)
            + ", ceiling "
            + Figures.brief(spec.ceilingMillivolts(), MILLIVOLT));
    line(
        2,
        "probes: "
            + String.join(", ", spec.probes())
            + "; from start to start at least "
            + Figures.span(spec.shortestOnNanos() + spec.shortestOffNanos())
            + "; "
            + pickUp());
    if (spec.firstDoseNanos() > 0) {
      line(
          2,
          "doses end by what earlier ones taught; while nothing is known the first takes "
              + Figures.span(spec.firstDoseNanos())
              + ", and each further one at most twice as long");
    }
    if (spec.probeAge().required()) {
      line(2, calibration(spec.probeAge()));
    }
    facts.tank().care().carbon().forEach((carbon, life) -> line(2, carbon(carbon, life)));
    if (!facts.unsaidCarbon().isEmpty()) {
      line(2, unsaid(facts.unsaidCarbon()));
    }
  }

  private static String calibration(ProbeAge age) {
    return "needs a calibration of every probe (`tidewarden calibrate probe`); one of "
        + days(age.warnNanos())
        + " is told of, and with one of "
        + days(age.forbidNanos())
        + " no ozone starts";
  }

  private static String carbon(Carbon carbon, CarbonLife life) {
    return "carbon on "
        + carbon.word()
        + ": from "
        + Figures.span(life.remindNanos())
        + " of ozone since it was changed (`tidewarden note carbon "
        + carbon.word()
        + "`) it is told, from "
        + Figures.span(life.forbidNanos())
        + " on, and while nobody has said when, no ozone starts";
  }

  private static String unsaid(List<Carbon> carbons) {
    return "advice: nothing is said of carbon on "
        + joined(carbons, Carbon::word, " and ")
        + ", so nobody counts its hours; say `carbon: { "
        + joined(carbons, carbon -> carbon.word() + ": {}", ", ")
        + " }`, or why not under `without: { "
        + joined(carbons, carbon -> carbon.guard() + ": ...", ", ")
        + " }`";
  }

  private static String joined(
      List<Carbon> carbons, Function<Carbon, String> word, String between) {
    return carbons.stream().map(word).collect(Collectors.joining(between));
  }

  private static String days(long nanos) {
    return Figures.brief(nanos / (double) TimeUnit.DAYS.toNanos(1), UnitCode.DAYS);
  }

  private void exchange(CheckFacts facts, CheckFacts.Exchange exchange) {
    List<String> text = ExchangeText.of(facts, exchange);
    line(1, text.get(0));
    exchange.spec().windows().forEach(window -> line(2, window(window)));
    text.stream().skip(1).forEach(told -> line(2, told));
  }

  private static String skimmer(SkimmerSpec skimmer) {
    List<String> parts = new ArrayList<>();
    skimmer
        .afterNanos()
        .forEach(
            (work, nanos) ->
                parts.add(
                    "reminds of "
                        + gerund(work)
                        + " after "
                        + Figures.span(nanos)
                        + " (`tidewarden note skimmer "
                        + work.word()
                        + "`)"));
    if (skimmer.air() != null) {
      parts.add("what cleaning does to its air is told by " + skimmer.air());
    }
    if (skimmer.cup() != null) {
      parts.add("its cup is " + skimmer.cup());
    }
    return "Skimmer: " + (parts.isEmpty() ? "of nothing it is reminded" : String.join("; ", parts));
  }

  private static String gerund(SkimmerWork work) {
    return switch (work) {
      case CLEANED -> "cleaning";
      case TUNED -> "tuning";
      case EMPTIED -> "emptying the cup";
    };
  }

  private static String window(WindowSpec window) {
    return "window " + window.from() + " to " + window.to() + ", " + days(window.days());
  }

  private static String days(Set<DayOfWeek> days) {
    if (days.size() == DayOfWeek.values().length) {
      return "every night";
    }
    return "nights of "
        + days.stream().sorted().map(WindowReader::word).collect(Collectors.joining(", "));
  }

  private String night(CheckFacts.Night night) {
    String open =
        night.openings().stream().map(this::opening).collect(Collectors.joining(", and "));
    return "night of "
        + night.date()
        + ": "
        + (night.openings().isEmpty()
            ? "no window"
            : open + "; at most " + amount(night.mostNanos(), night.mostMilligrams()));
  }

  private String opening(CheckFacts.Opening opening) {
    return Figures.dateClock(opening.start(), zone)
        + " to "
        + Figures.dateClock(opening.end(), zone)
        + ", "
        + opening.minutes()
        + " min"
        + (opening.asUsual() ? "" : " (the clocks change)");
  }

  private static String amount(long nanos, double milligrams) {
    return Figures.span(nanos) + ", " + Figures.brief(milligrams, MILLIGRAM);
  }

  /** Whose silence puts a function to rest, and after how long. */
  static String silence(CheckFacts facts, TankFunction function) {
    return "rests when one of these is silent: "
        + facts.needed(function).stream()
            .map(sensor -> sensor.name() + " " + Figures.span(sensor.staleNanos()))
            .collect(Collectors.joining(", "));
  }

  private static String pickUp() {
    return PickUp.NAME
        + " (all "
        + Figures.brief(PickUp.JUMP_MILLIVOLTS, MILLIVOLT)
        + " up or down within "
        + Figures.span(PickUp.WITHIN_OF_ON.toNanos())
        + " of ozone on): no ozone; latched when half of it is undone within "
        + Figures.span(PickUp.WITHIN_OF_OFF.toNanos())
        + " of ozone off";
  }

  private static String guard(CheckFacts.Guarding guard) {
    InterlockSpec spec = guard.spec();
    StringBuilder text = new StringBuilder(spec.name()).append(": ").append(guard.cause());
    if (!spec.stops().isEmpty()) {
      text.append(": no ")
          .append(
              spec.stops().stream()
                  .sorted()
                  .map(TankFunction::word)
                  .collect(Collectors.joining(", ")));
    }
    text.append(spec.notice() ? "; told" : "; trips")
        .append(after(spec.forNanos()))
        .append(armed(spec.arming()));
    if (guard.clear() != null) {
      text.append("; over with ").append(guard.clear());
    }
    if (spec.restNanos() > 0) {
      text.append("; rests ").append(Figures.span(spec.restNanos())).append(" more");
    }
    return text.append(latch(guard)).toString();
  }

  private static String latch(CheckFacts.Guarding guard) {
    InterlockSpec spec = guard.spec();
    if (guard.latch() == null) {
      return "";
    }
    String worse = guard.latch().equals(guard.cause()) ? "" : " with " + guard.latch();
    String count =
        spec.latchAtCount() == 0 ? "" : ", or at trip " + spec.latchAtCount() + " of a night";
    return "; latched" + worse + after(spec.latchForNanos()) + count;
  }

  /** A cause that stands forbids all the same, whatever the arming. */
  private static String armed(Arming arming) {
    return switch (arming) {
      case ALWAYS -> "";
      case WANTED -> " while it is wanted";
      case RUNNING -> " while it runs";
    };
  }

  private static String after(long nanos) {
    return nanos == 0 ? " at once" : " after " + Figures.span(nanos);
  }

  private static String device(CheckFacts.Device device) {
    return device.spec().name()
        + ": rests by itself "
        + device.spec().dropOutSeconds()
        + " s after the last word"
        + (device.confirm() == null
            ? "; gives no confirmation"
            : "; confirms within " + Figures.span(device.confirm().withinNanos()));
  }

  private static String count(int number, String word) {
    return number + " " + word + (number == 1 ? "" : "s");
  }

  private void line(int indent, String text) {
    lines.add("  ".repeat(indent) + text);
  }
}

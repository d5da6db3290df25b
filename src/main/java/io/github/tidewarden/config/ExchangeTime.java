package io.github.tidewarden.config;

import static io.github.tidewarden.quantity.UnitCode.MINUTES;
import static io.github.tidewarden.quantity.UnitCode.PERCENTS;

import io.github.tidewarden.exchange.DailyShare;
import io.github.tidewarden.exchange.Exchange;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.exchange.Rates;
import io.github.tidewarden.quantity.Figures;
import java.time.DayOfWeek;
import java.util.List;

/**
 * Whether a day's share can be given in its windows, with pumps that move what is configured. A
 * portion is begun only where the whole of it fits what is left of a window, so each window counts
 * for as many whole portions as it holds once top-off is held.
 */
final class ExchangeTime {
  private static final double NANOS_PER_MINUTE = 60e9;

  private static final double HELD_MINUTES = Exchange.HELD_BEFORE.toNanos() / NANOS_PER_MINUTE;

  private final ExchangeSpec spec;
  private final List<WindowReader.Placed> windows;
  private final Exchange rule;

  /** For an exchange that is in portions only if it has a level. */
  ExchangeTime(ExchangeSpec spec, List<WindowReader.Placed> windows) {
    this.spec = spec;
    this.windows = windows;
    rule = new Exchange(spec);
  }

  /** How long each of the equal portions of a day takes when nothing holds it up, min. */
  static double portionMinutes(ExchangeSpec spec) {
    return new ExchangeTime(spec, List.of())
        .minutes(spec.litresPerDay() / DailyShare.portions(spec));
  }

  /**
   * How long what is due in the night of this evening takes when nothing holds it up, min; 0 where
   * no window opens, or where a figure is wrong.
   */
  static double nightMinutes(ExchangeSpec spec, DayOfWeek evening) {
    boolean opens = spec.windows().stream().anyMatch(window -> window.days().contains(evening));
    boolean measured = spec.kind() == ExchangeSpec.Kind.PAIRED || spec.level() != null;
    double minutes = opens && measured ? portionMinutes(spec) * DailyShare.portions(spec) : 0;
    return Double.isFinite(minutes) ? minutes : 0;
  }

  /** Complains about a window that is too short for a portion, or a share that is too large. */
  void check(Section section, double waterLitres) {
    int portions = DailyShare.portions(spec);
    if (portions < 1) {
      return; // a figure is wrong, and has been complained about
    }
    double minutes = minutes(spec.litresPerDay() / portions);
    List<WindowReader.Placed> tooShort =
        windows.stream().filter(window -> window.minutes() < HELD_MINUTES + minutes).toList();
    for (WindowReader.Placed window : tooShort) {
      section.complain(
          window.place(),
          "this window of "
              + window.minutes()
              + " min is shorter than one portion, which takes "
              + Figures.brief(minutes, MINUTES)
              + ", and top-off is held for "
              + Figures.brief(HELD_MINUTES, MINUTES)
              + " before",
          "at least " + (int) Math.ceil(HELD_MINUTES + minutes) + " min");
    }
    if (tooShort.isEmpty() && portions > held(minutes)) {
      section.complain(
          section.place("per-day"),
          "`per-day` of "
              + Figures.brief(100 * spec.litresPerDay() / waterLitres, PERCENTS)
              + " is "
              + portions
              + " portions of "
              + Figures.brief(minutes, MINUTES)
              + ", and the windows of a night hold "
              + held(minutes),
          longest(waterLitres));
    }
  }

  /** The longest share that fits. */
  private String longest(double waterLitres) {
    double litres = held(minutes(spec.portionLitres())) * spec.portionLitres();
    double percent = Math.floor(100 * 100 * litres / waterLitres) / 100;
    return percent > 0
        ? "at most " + Figures.brief(percent, PERCENTS) + ", or longer windows"
        : "longer windows";
  }

  /** How many portions of so many minutes the windows of a night hold, in the night of fewest. */
  private int held(double minutes) {
    int fewest = Integer.MAX_VALUE;
    for (DayOfWeek evening : DayOfWeek.values()) {
      List<WindowReader.Placed> open =
          windows.stream().filter(placed -> placed.window().days().contains(evening)).toList();
      if (!open.isEmpty()) {
        int held = open.stream().mapToInt(window -> fit(window, minutes)).sum();
        fewest = Math.min(fewest, held);
      }
    }
    return fewest;
  }

  private static int fit(WindowReader.Placed window, double minutes) {
    return (int) Math.max(0, (window.minutes() - HELD_MINUTES) / minutes);
  }

  /** How long a portion takes; so long that no window holds it where that is past all measure. */
  private double minutes(double litres) {
    long nanos = rule.wholeNanos(litres, Rates.configured(spec));
    return nanos > 0 ? nanos / NANOS_PER_MINUTE : Double.MAX_VALUE;
  }
}

package io.github.tidewarden.config;

import static io.github.tidewarden.config.OzoneReader.SHORTEST_OFF;
import static io.github.tidewarden.config.OzoneReader.SHORTEST_ON;

import io.github.tidewarden.control.Carbon;
import io.github.tidewarden.control.CarbonLife;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.dosing.ProbeAge;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.quantity.UnitCode;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.SensorSpec;
import java.time.Duration;
import java.util.List;
import java.util.concurrent.TimeUnit;
import java.util.function.Consumer;

/** Tells of each default that a keeper has made looser, which is allowed for a few of them. */
final class Loosened {
  private Loosened() {}

  /** Sensors that may be older, or that are believed further, than is standard. */
  static void sensors(List<Sensor> sensors, Consumer<String> notices) {
    for (Sensor sensor : sensors) {
      SensorSpec spec = sensor.spec();
      Measure measure = spec.measure();
      if (spec.staleNanos() > measure.staleNanos()) {
        time("stale-after", " of " + sensor.name(), spec.staleNanos(), measure.staleNanos())
            .tell(notices);
      }
      if (spec.plausibleLow() < measure.plausibleLow()
          || spec.plausibleHigh() > measure.plausibleHigh()) {
        UnitCode unit = Sensor.unit(measure);
        new Change(
                "plausible",
                " of " + sensor.name(),
                range(spec.plausibleLow(), spec.plausibleHigh(), unit),
                range(measure.plausibleLow(), measure.plausibleHigh(), unit))
            .tell(notices);
      }
    }
  }

  /** Doses that may follow each other sooner, or probes that may be older, than is standard. */
  static void ozone(OzoneSpec spec, Consumer<String> notices) {
    if (spec.shortestOnNanos() < SHORTEST_ON) {
      time("shortest-on", "", spec.shortestOnNanos(), SHORTEST_ON).tell(notices);
    }
    if (spec.shortestOffNanos() < SHORTEST_OFF) {
      time("shortest-off", "", spec.shortestOffNanos(), SHORTEST_OFF).tell(notices);
    }
    ProbeAge age = spec.probeAge();
    if (age.warnNanos() > ProbeAge.WARN.toNanos()) {
      days("warn-after", age.warnNanos(), ProbeAge.WARN).tell(notices);
    }
    if (age.forbidNanos() > ProbeAge.FORBID.toNanos()) {
      days("forbid-after", age.forbidNanos(), ProbeAge.FORBID).tell(notices);
    }
  }

  /** Carbon that is believed to last longer than is standard. */
  static void carbon(Carbon carbon, CarbonLife life, Consumer<String> notices) {
    String of = " of the carbon on " + carbon.word();
    if (life.remindNanos() > CarbonLife.REMIND.toNanos()) {
      time("remind-after", of, life.remindNanos(), CarbonLife.REMIND.toNanos()).tell(notices);
    }
    if (life.forbidNanos() > CarbonLife.FORBID.toNanos()) {
      time("forbid-after", of, life.forbidNanos(), CarbonLife.FORBID.toNanos()).tell(notices);
    }
  }

  /** The limit of an interlock that stops nothing. */
  static void limit(
      InterlockDraft draft, InterlockDraft.Limit limit, double value, Consumer<String> notices) {
    new Change(
            limit.key(),
            " of " + draft.name,
            Figures.brief(value, limit.unit()),
            Figures.brief(limit.value(), limit.unit()))
        .tell(notices);
  }

  /** The delay of an interlock that stops nothing. */
  static void delay(InterlockDraft draft, long nanos, Consumer<String> notices) {
    time("for", " of " + draft.name, nanos, draft.forNanos).tell(notices);
  }

  /** What was set, of what, to what, and what would be standard. */
  private record Change(String key, String of, String set, String standard) {
    void tell(Consumer<String> notices) {
      notices.accept(
          "`" + key + "`" + of + " is " + set + ", looser than the standard " + standard);
    }
  }

  private static Change time(String key, String of, long nanos, long standard) {
    return new Change(key, of, Figures.span(nanos), Figures.span(standard));
  }

  private static Change days(String key, long nanos, Duration standard) {
    return new Change(key, " of `calibration`", days(nanos), days(standard.toNanos()));
  }

  private static String days(long nanos) {
    return Figures.brief(nanos / (double) TimeUnit.DAYS.toNanos(1), UnitCode.DAYS);
  }

  private static String range(double low, double high, UnitCode unit) {
    return Figures.brief(low, unit) + " to " + Figures.brief(high, unit);
  }
}

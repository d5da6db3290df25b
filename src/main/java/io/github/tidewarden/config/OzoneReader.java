package io.github.tidewarden.config;

import static io.github.tidewarden.quantity.UnitCode.MILLIGRAM_PER_HOUR;
import static io.github.tidewarden.quantity.UnitCode.MILLIVOLT;
import static io.github.tidewarden.quantity.UnitCode.SECONDS;

import io.github.tidewarden.control.Carbon;
import io.github.tidewarden.control.CarbonLife;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.dosing.ProbeAge;
import io.github.tidewarden.gate.HardLimits;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Amount;
import io.github.tidewarden.quantity.Dimension;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.quantity.UnitCode;
import io.github.tidewarden.schedule.WindowSpec;
import io.github.tidewarden.science.Electrodes;
import io.github.tidewarden.science.Electrodes.Reference;
import io.github.tidewarden.sensing.Measure;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/** Reads {@code ozone} of a tank. */
final class OzoneReader {
  private static final String GENERATOR = "generator";
  private static final long QUANTUM = TimeUnit.MINUTES.toNanos(5);

  /** Standard shortest dose, ns. */
  static final long SHORTEST_ON = TimeUnit.MINUTES.toNanos(5);

  /** Standard shortest rest between two doses, ns. */
  static final long SHORTEST_OFF = TimeUnit.MINUTES.toNanos(10);

  private static final Limits SHORTEST = Limits.between(SECONDS, 1, 86_400);
  private static final Limits AGE = Limits.between(SECONDS, 86_400, 180 * 86_400);
  private static final long SHORTEST_DOSE = TimeUnit.SECONDS.toNanos(30);
  private static final Limits FIRST_DOSE = Limits.between(SECONDS, 30, 300);
  private static final Limits POSITIVE_MILLIVOLTS = Limits.positive(MILLIVOLT);
  private static final double NANOS_PER_HOUR = 3.6e12;

  private static final Limits HOURS_RUN = Limits.between(SECONDS, 3_600, 20_000 * 3_600.0);

  /**
   * What was read.
   *
   * @param carbon how long each carbon lasts of which something is said
   */
  record Ozone(
      OzoneSpec spec,
      RedoxLimits redox,
      @Nullable Actuator generator,
      Map<Carbon, CarbonLife> carbon) {}

  private final Section section;
  private final HardLimits hard;

  OzoneReader(Section section, HardLimits hard) {
    this.section = section;
    this.hard = hard;
  }

  Ozone read(String tank, double waterLitres, List<Sensor> sensors, Actuator.Site site) {
    Section generatorSection =
        section.section(GENERATOR, "{ kind: relay, topic: ..., rated-output: 50 mg/h }");
    Actuator generator =
        generatorSection == null
            ? null
            : Actuator.read(generatorSection, tank, GENERATOR, TankFunction.OZONE, site);
    double rated =
        generatorSection == null ? Double.NaN : ratedOutput(generatorSection, waterLitres);
    List<WindowSpec> windows = WindowReader.read(section);
    Optional<String> name =
        section
            .required("reference", References.OF_LIMITS)
            .map(value -> value.oneOf(References.BY_NAME.keySet()));
    Reference reference = name.map(References.BY_NAME::get).orElse(null);
    RedoxLimits redox = redox(reference);
    List<String> probes =
        sensors.stream().filter(s -> s.measure() == Measure.REDOX).map(Sensor::name).toList();
    long most = mostPerNight(rated);
    OzoneSpec spec =
        new OzoneSpec(
            GENERATOR,
            rated,
            windows,
            most,
            probes,
            name.orElse(""),
            redox.startBelowMillivolts(),
            redox.stopAboveMillivolts(),
            redox.ceilingMillivolts(),
            section.nanos("shortest-on", SHORTEST, SHORTEST_ON),
            section.nanos("shortest-off", SHORTEST, SHORTEST_OFF),
            Math.min(QUANTUM, most),
            probeAge(),
            firstDose());
    complainAboutPlausible(sensors, redox);
    return new Ozone(spec, redox, generator, carbon());
  }

  /** Whether one is required is told by {@code without}, which is read later. */
  private ProbeAge probeAge() {
    Section ages = section.optionalSection("calibration");
    if (ages == null) {
      return ProbeAge.NOT_REQUIRED;
    }
    long warn = ages.nanos("warn-after", AGE, ProbeAge.WARN.toNanos());
    long forbid = ages.nanos("forbid-after", AGE, ProbeAge.FORBID.toNanos());
    if (warn < forbid) {
      return new ProbeAge(false, warn, forbid);
    }
    ages.complain(
        ages.place(),
        "`warn-after` of " + days(warn) + " is not before `forbid-after`",
        "under " + days(forbid));
    return ProbeAge.NOT_REQUIRED;
  }

  private Map<Carbon, CarbonLife> carbon() {
    Map<Carbon, CarbonLife> lives = new EnumMap<>(Carbon.class);
    Section carbon = section.optionalSection("carbon");
    if (carbon == null) {
      return lives;
    }
    for (Carbon one : Carbon.values()) {
      Section life = carbon.optionalSection(one.word());
      if (life != null) {
        lives.put(one, life(life));
      }
    }
    return lives;
  }

  private static CarbonLife life(Section section) {
    long remind = section.nanos("remind-after", HOURS_RUN, CarbonLife.REMIND.toNanos());
    long forbid = section.nanos("forbid-after", HOURS_RUN, CarbonLife.FORBID.toNanos());
    if (remind < forbid) {
      return new CarbonLife(remind, forbid);
    }
    section.complain(
        section.place(),
        "`remind-after` of " + Figures.span(remind) + " is not before `forbid-after`",
        "under " + Figures.span(forbid));
    return CarbonLife.STANDARD;
  }

  /** How long the first dose is of a tank that learns; 0 where nothing is learned. */
  private long firstDose() {
    Section learning = section.optionalSection("learning");
    return learning == null ? 0 : learning.nanos("first-dose", FIRST_DOSE, SHORTEST_DOSE);
  }

  private static String days(long nanos) {
    return Figures.brief(nanos / (double) TimeUnit.DAYS.toNanos(1), UnitCode.DAYS);
  }

  private double ratedOutput(Section generator, double waterLitres) {
    double rated = generator.number("rated-output", Limits.positive(MILLIGRAM_PER_HOUR), "50 mg/h");
    double most = HardLimits.MAX_MILLIGRAMS_PER_HOUR_LITRE * waterLitres;
    if (rated > most) {
      generator.complain(
          generator.place("rated-output"),
          "`rated-output` of "
              + Figures.brief(rated, MILLIGRAM_PER_HOUR)
              + " is over "
              + HardLimits.MAX_MILLIGRAMS_PER_HOUR_LITRE
              + " mg/h for each litre of this tank's water",
          "at most " + Figures.brief(most, MILLIGRAM_PER_HOUR));
    }
    return rated;
  }

  private RedoxLimits redox(@Nullable Reference reference) {
    double ceiling = section.number("ceiling", POSITIVE_MILLIVOLTS, "400 mV");
    double low = Double.NaN;
    if (reference != null) {
      complainAboutCeiling(reference, ceiling);
      low = Electrodes.limitAgainst(reference, StandardInterlocks.REDOX_LOW_MILLIVOLTS);
    }
    Section band = section.section("band", "{ start-below: 340 mV, stop-above: 365 mV }");
    if (band == null) {
      return new RedoxLimits(ceiling, Double.NaN, Double.NaN, low);
    }
    double start = band.number("start-below", POSITIVE_MILLIVOLTS, "340 mV");
    double stop = band.number("stop-above", POSITIVE_MILLIVOLTS, "365 mV");
    if (start >= stop) {
      band.complain(
          band.place("start-below"),
          "`start-below` of " + millivolts(start) + " is not below `stop-above`",
          "under " + millivolts(stop));
    }
    if (stop >= ceiling) {
      band.complain(
          band.place("stop-above"),
          "`stop-above` of " + millivolts(stop) + " is not below `ceiling`",
          "under " + millivolts(ceiling));
    }
    if (start <= low) {
      band.complain(
          band.place("start-below"),
          "`start-below` of " + millivolts(start) + " is never reached: `redox-low` forbids ozone",
          "over " + millivolts(low));
    }
    return new RedoxLimits(ceiling, start, stop, low);
  }

  private void complainAboutCeiling(Reference reference, double ceiling) {
    double most = Electrodes.limitAgainst(reference, HardLimits.MAX_REDOX_CEILING_MILLIVOLTS);
    double hardLimit = Electrodes.limitAgainst(reference, hard.redoxCeilingMillivolts());
    if (ceiling >= most) {
      section.complain(
          section.place("ceiling"),
          "`ceiling` of "
              + millivolts(ceiling)
              + " is not below the highest hard limit that is compiled in",
          "under " + millivolts(most) + " against this reference");
    } else if (ceiling >= hardLimit) {
      section.complain(
          section.place("ceiling"),
          "`ceiling` of " + millivolts(ceiling) + " is not below the hard limit `redox-ceiling`",
          "under " + millivolts(hardLimit) + " against this reference");
    }
  }

  /** A probe that can never be believed at the latch would make the latch a dead letter. */
  private void complainAboutPlausible(List<Sensor> sensors, RedoxLimits redox) {
    double needed = redox.ceilingMillivolts() + StandardInterlocks.OVER_CEILING_MILLIVOLTS;
    for (Sensor sensor : sensors) {
      if (sensor.measure() == Measure.REDOX && sensor.spec().plausibleHigh() <= needed) {
        section.complain(
            section.place("ceiling"),
            "what is plausible for `"
                + sensor.name()
                + "` ends below the latch at "
                + millivolts(needed),
            "a `plausible` range of the probe that reaches further");
      }
    }
  }

  private long mostPerNight(double ratedMilligramsPerHour) {
    Limits limits = Limits.between(SECONDS, 1, hard.ozonePer24hNanos() / 1e9);
    Value value = section.required("most-per-night", "60 min").orElse(null);
    if (value == null) {
      return 0;
    }
    if (!value.measures(Dimension.MASS)) {
      Amount amount = value.amount(limits);
      return amount == null ? 0 : amount.nanos();
    }
    Amount mass = value.amount(Limits.positive(UnitCode.MILLIGRAM));
    if (mass == null || Double.isNaN(ratedMilligramsPerHour)) {
      return 0;
    }
    double nanos = mass.in(UnitCode.MILLIGRAM) / ratedMilligramsPerHour * NANOS_PER_HOUR;
    if (!limits.allow(nanos / 1e9)) {
      value.complain(
          "`most-per-night` of "
              + mass
              + " takes the generator "
              + Figures.brief(nanos / 1e9 / 60, UnitCode.MINUTES),
          limits.words());
      return 0;
    }
    return (long) nanos;
  }

  private static String millivolts(double value) {
    return Figures.brief(value, MILLIVOLT);
  }
}

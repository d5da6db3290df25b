package io.github.tidewarden.config;

import static io.github.tidewarden.quantity.UnitCode.LITRES;
import static io.github.tidewarden.quantity.UnitCode.MILLILITRE_PER_MINUTE;
import static io.github.tidewarden.quantity.UnitCode.MILLIMETRE;
import static io.github.tidewarden.quantity.UnitCode.PERCENTS;
import static io.github.tidewarden.quantity.UnitCode.PSU;

import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.gate.HardLimits;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.science.SeaWater;
import io.github.tidewarden.sensing.Measure;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/** Reads {@code exchange} of a tank. */
final class ExchangeReader {
  private static final Limits SALT_FACTOR = Limits.between(PERCENTS, 100, 200);

  /** Twice what noise, waves and rounding make of a level. */
  private static final double LEAST_MILLIMETRES = 3;

  /** How long new water mixes before it is used: common practice, no published source. */
  private static final long MIX_NANOS = TimeUnit.HOURS.toNanos(4);

  private static final Limits EVAPORATION = Limits.between(PERCENTS, 0, 10);

  /** What evaporates from a tank in a day, % of its water: common practice, no published source. */
  private static final double EVAPORATION_PERCENT = 1;

  /** The only word: what is not allowed is left out. */
  private static final List<String> WHILE_OZONE = List.of("allowed");

  private static final Map<String, ExchangeSpec.Kind> KINDS =
      Map.of("portions", ExchangeSpec.Kind.PORTIONS, "paired", ExchangeSpec.Kind.PAIRED);

  /**
   * What was read.
   *
   * @param needsLevel whether it certainly cannot do without a level
   */
  record Exchange(ExchangeSpec spec, List<Actuator> pumps, boolean needsLevel) {}

  private final Section section;
  private final HardLimits hard;

  ExchangeReader(Section section, HardLimits hard) {
    this.section = section;
    this.hard = hard;
  }

  Exchange read(String tank, double waterLitres, List<Sensor> sensors, Actuator.Site site) {
    Optional<ExchangeSpec.Kind> given =
        section
            .optional("kind")
            .map(value -> value.oneOf(List.of("portions", "paired")))
            .map(KINDS::get);
    ExchangeSpec.Kind kind = given.orElse(ExchangeSpec.Kind.PORTIONS);
    List<WindowReader.Placed> windows = WindowReader.placed(section);
    double perDay = perDay() / 100 * waterLitres;
    double portion = portion(waterLitres, perDay);
    ExchangeSpec.Level level = level(sensors);
    complainAboutLevel(level, portion);
    List<Actuator> pumps = new ArrayList<>();
    ExchangeSpec.Pump drain = pump("drain", tank, portion, waterLitres, site, pumps);
    ExchangeSpec.Pump fill = pump("fill", tank, portion, waterLitres, site, pumps);
    ExchangeSpec spec =
        new ExchangeSpec(
            kind,
            perDay,
            portion,
            windows.stream().map(WindowReader.Placed::window).toList(),
            drain,
            fill,
            level,
            bin(tank, sensors),
            section.number("evaporation", EVAPORATION, EVAPORATION_PERCENT) / 100 * waterLitres,
            waterLitres * hard.imbalancePercent() / 100,
            section.optional("while-ozone").map(value -> value.oneOf(WHILE_OZONE)).isPresent(),
            first(Measure.SALINITY, sensors),
            first(Measure.TEMPERATURE, sensors),
            List.of());
    if (kind == ExchangeSpec.Kind.PAIRED || level != null) {
      new ExchangeTime(spec, windows).check(section, waterLitres);
    }
    boolean portions = kind == ExchangeSpec.Kind.PORTIONS;
    return new Exchange(spec, pumps, portions && given.isPresent() == section.has("kind"));
  }

  private double perDay() {
    double percent =
        section.number(
            "per-day", Limits.positive(PERCENTS, HardLimits.MAX_EXCHANGE_PER_24H_PERCENT), "3 %");
    if (percent > hard.exchangePer24hPercent()) {
      section.complain(
          section.place("per-day"),
          "`per-day` of "
              + Figures.brief(percent, PERCENTS)
              + " is over the hard limit `exchange-per-24h`",
          "at most " + Figures.brief(hard.exchangePer24hPercent(), PERCENTS));
    }
    return percent;
  }

  private double portion(double waterLitres, double perDayLitres) {
    double portion = section.number("portion", Limits.positive(LITRES), "0.5 L");
    double most = waterLitres * HardLimits.MAX_PORTION_PERCENT / 100;
    if (portion > most) {
      section.complain(
          section.place("portion"),
          "`portion` of "
              + Figures.brief(portion, LITRES)
              + " is over "
              + Figures.brief(HardLimits.MAX_PORTION_PERCENT, PERCENTS)
              + " of the water",
          "at most " + Figures.brief(most, LITRES));
      return Double.NaN;
    }
    if (portion > perDayLitres) {
      section.complain(
          section.place("portion"),
          "`portion` of " + Figures.brief(portion, LITRES) + " is more than `per-day`",
          "at most " + Figures.brief(perDayLitres, LITRES));
    }
    return portion;
  }

  private ExchangeSpec.Pump pump(
      String name,
      String tank,
      double portion,
      double waterLitres,
      Actuator.Site site,
      List<Actuator> pumps) {
    Section pump = section.section(name, "{ kind: pump, topic: ..., rate: 250 mL/min }");
    if (pump == null) {
      return new ExchangeSpec.Pump(name, Double.NaN);
    }
    Actuator actuator = Actuator.read(pump, tank, name, TankFunction.EXCHANGE, site);
    double rate = pump.number("rate", Limits.positive(MILLILITRE_PER_MINUTE), "250 mL/min") / 1000;
    if (actuator != null) {
      pumps.add(actuator);
      complainAboutOverrun(pump, actuator, rate, portion, waterLitres);
    }
    return new ExchangeSpec.Pump(name, rate);
  }

  /** A pump that is cut off only by its drop-out moves this much too much. */
  private void complainAboutOverrun(
      Section pump, Actuator actuator, double rate, double portion, double waterLitres) {
    double overrun = rate * actuator.spec().dropOutSeconds() / 60;
    double limit = waterLitres * hard.imbalancePercent() / 100;
    if (portion + overrun >= limit) {
      pump.complain(
          pump.place("rate"),
          "a portion of "
              + Figures.brief(portion, LITRES)
              + " and what the pump moves until it drops out, "
              + Figures.brief(overrun, LITRES)
              + ", reach the hard limit `imbalance`",
          "together under " + Figures.brief(limit, LITRES));
    }
  }

  /** What moves the level by little more than its noise can be neither seen nor judged. */
  private void complainAboutLevel(ExchangeSpec.@Nullable Level level, double portion) {
    double least = level == null ? 0 : LEAST_MILLIMETRES * level.litresPerMillimetre();
    if (portion < least) {
      section.complain(
          section.place("portion"),
          "`portion` of "
              + Figures.brief(portion, LITRES)
              + " moves the level by less than "
              + Figures.brief(LEAST_MILLIMETRES, MILLIMETRE)
              + ", too little to be seen",
          "at least " + Figures.brief(least, LITRES));
    }
  }

  /** The first level sensor, which must tell how much water is in its millimetre; else null. */
  private static ExchangeSpec.@Nullable Level level(List<Sensor> sensors) {
    Sensor level =
        sensors.stream()
            .filter(sensor -> sensor.measure() == Measure.LEVEL)
            .findFirst()
            .orElse(null);
    if (level == null) {
      return null;
    }
    level.declared().required("volume-per-mm", "120 mL");
    return new ExchangeSpec.Level(
        level.name(), level.litresPerMillimetre(), level.low(), level.high());
  }

  private ExchangeSpec.Bin bin(String tank, List<Sensor> sensors) {
    Section newWater = section.section("new-water", "{ holds: 120 L, salinity: 35 PSU }");
    if (newWater == null) {
      return new ExchangeSpec.Bin(tank, Double.NaN, Double.NaN, Double.NaN, 0, null, null, null);
    }
    return new ExchangeSpec.Bin(
        tank,
        newWater.number("holds", Limits.positive(LITRES), "120 L"),
        newWater.number("salinity", Limits.positive(PSU, SeaWater.MAX_PSU), "35 PSU"),
        newWater.number("salt-factor", SALT_FACTOR, 100) / 100,
        MIX_NANOS,
        first(Measure.VOLUME, sensors),
        null,
        null);
  }

  private static @Nullable String first(Measure measure, List<Sensor> sensors) {
    return sensors.stream()
        .filter(sensor -> sensor.measure() == measure)
        .map(Sensor::name)
        .findFirst()
        .orElse(null);
  }
}

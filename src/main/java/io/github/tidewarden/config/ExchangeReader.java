package io.github.tidewarden.config;

import static io.github.tidewarden.quantity.UnitCode.LITRES;
import static io.github.tidewarden.quantity.UnitCode.MILLILITRE_PER_MINUTE;
import static io.github.tidewarden.quantity.UnitCode.MILLIMETRE;
import static io.github.tidewarden.quantity.UnitCode.PERCENTS;

import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.gate.HardLimits;
import io.github.tidewarden.gate.Lease;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.sensing.Measure;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.jspecify.annotations.Nullable;

/** Reads {@code exchange} of a tank. */
final class ExchangeReader {
  /** Twice what noise, waves and rounding make of a level. */
  private static final double LEAST_MILLIMETRES = 3;

  private static final Limits EVAPORATION = Limits.between(PERCENTS, 0, 10);

  /**
   * Of a portion: with more, a pump that rested early and is reckoned to have run on would seem to
   * have moved too little, a quarter of what it should.
   */
  private static final double MOST_BY_A_COMMAND = 2 / 3.0;

  /** What evaporates from a tank in a day, % of its water: common practice, no published source. */
  private static final double EVAPORATION_PERCENT = 1;

  /** The only word: what is not allowed is left out. */
  private static final List<String> WHILE_OZONE = List.of("allowed");

  private static final Map<String, ExchangeSpec.Kind> KINDS =
      Map.of("portions", ExchangeSpec.Kind.PORTIONS, "paired", ExchangeSpec.Kind.PAIRED);

  /**
   * The tank that it is of.
   *
   * @param shares the equipment that it shares
   * @param sensors those of what it shares, then those in its water and its bin; none of its room's
   * @param inDoubt whether it could not be told what some sensor measures
   */
  record Tank(
      String name,
      double waterLitres,
      SharesReader.Shares shares,
      List<Sensor> sensors,
      boolean inDoubt) {}

  /**
   * What was read.
   *
   * @param needsLevel whether it certainly cannot do without a level
   */
  record Exchange(
      ExchangeSpec spec, List<Actuator> pumps, BinReader.NewWater newWater, boolean needsLevel) {}

  private final Section section;
  private final HardLimits hard;
  private final Tank tank;
  private final double waterLitres;

  ExchangeReader(Section section, HardLimits hard, Tank tank) {
    this.section = section;
    this.hard = hard;
    this.tank = tank;
    waterLitres = tank.waterLitres();
  }

  Exchange read(Actuator.Site site) {
    Optional<ExchangeSpec.Kind> given =
        section
            .optional("kind")
            .map(value -> value.oneOf(List.of("portions", "paired")))
            .map(KINDS::get);
    ExchangeSpec.Kind kind = given.orElse(ExchangeSpec.Kind.PORTIONS);
    List<WindowReader.Placed> windows = WindowReader.placed(section);
    double perDay = perDay() / 100 * waterLitres;
    double portion = portion(perDay);
    ExchangeSpec.Level level = level();
    boolean needsLevel =
        kind == ExchangeSpec.Kind.PORTIONS && given.isPresent() == section.has("kind");
    complainAboutLevel(level, portion, needsLevel);
    List<Actuator> pumps = new ArrayList<>();
    ExchangeSpec.Pump drain = pump("drain", portion, site, pumps);
    ExchangeSpec.Pump fill = pump("fill", portion, site, pumps);
    BinReader.NewWater newWater = newWater();
    ExchangeSpec spec =
        new ExchangeSpec(
            kind,
            perDay,
            portion,
            windows.stream().map(WindowReader.Placed::window).toList(),
            drain,
            fill,
            level,
            newWater.bin(),
            section.number("evaporation", EVAPORATION, EVAPORATION_PERCENT) / 100 * waterLitres,
            waterLitres * hard.imbalancePercent() / 100,
            section.optional("while-ozone").map(value -> value.oneOf(WHILE_OZONE)).isPresent(),
            inTank(Measure.SALINITY, newWater),
            inTank(Measure.TEMPERATURE, newWater),
            tank.shares().units().stream().map(Shared::name).toList());
    if (kind == ExchangeSpec.Kind.PAIRED || level != null) {
      new ExchangeTime(spec, windows).check(section, waterLitres);
    }
    return new Exchange(spec, pumps, newWater, needsLevel);
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
      return Double.NaN;
    }
    return percent;
  }

  private double portion(double perDayLitres) {
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
      String name, double portion, Actuator.Site site, List<Actuator> pumps) {
    Section pump = section.section(name, "{ kind: pump, topic: ..., rate: 250 mL/min }");
    if (pump == null) {
      return new ExchangeSpec.Pump(name, Double.NaN);
    }
    Actuator actuator = Actuator.read(pump, tank.name(), name, TankFunction.EXCHANGE, site);
    double rate = pump.number("rate", Limits.positive(MILLILITRE_PER_MINUTE), "250 mL/min") / 1000;
    if (actuator != null) {
      pumps.add(actuator);
      complainAboutOverrun(pump, actuator, rate, portion);
    }
    return new ExchangeSpec.Pump(name, rate);
  }

  /**
   * A pump that is cut off only by its drop-out moves this much too much; and what one command may
   * move at most, delivered late, has to be small beside a portion.
   */
  private void complainAboutOverrun(Section pump, Actuator actuator, double rate, double portion) {
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
      return;
    }
    double lease = rate * Lease.boundSeconds(actuator.spec().dropOutSeconds()) / 60;
    if (lease > MOST_BY_A_COMMAND * portion) {
      pump.complain(
          pump.place("rate"),
          "a pump that the link leaves behind may move "
              + Figures.brief(lease, LITRES)
              + " by its last command, over two thirds of a portion of "
              + Figures.brief(portion, LITRES)
              + ": one short loss of the link would look like a blocked pump",
          "a slower pump, a shorter `drop-out`, or a `portion` of at least "
              + Figures.brief(Math.ceil(1000 * lease / MOST_BY_A_COMMAND) / 1000, LITRES));
    }
  }

  /**
   * Portions are measured by a level. What moves it by little more than its noise can be neither
   * seen nor judged.
   */
  private void complainAboutLevel(
      ExchangeSpec.@Nullable Level level, double portion, boolean needsLevel) {
    if (level == null && needsLevel && !tank.inDoubt()) {
      section.complain(
          section.place(),
          "`exchange` in portions needs a sensor that measures `level`, and the tank has none",
          "declare it; only `kind: paired` may go without one");
    }
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

  /** What the water is measured by, which must tell how much is in its millimetre; else null. */
  private ExchangeSpec.@Nullable Level level() {
    List<Sensor> levels =
        tank.sensors().stream().filter(sensor -> sensor.measure() == Measure.LEVEL).toList();
    String name = levelSensor(levels.stream().map(Sensor::name).toList());
    Sensor level =
        levels.stream().filter(sensor -> sensor.name().equals(name)).findFirst().orElse(null);
    if (level == null) {
      return null;
    }
    level.declared().required("volume-per-mm", "120 mL");
    return new ExchangeSpec.Level(
        level.name(), level.litresPerMillimetre(), level.low(), level.high());
  }

  /** The only level, or the one of several that is named; null for none. */
  private @Nullable String levelSensor(List<String> levels) {
    String first = levels.isEmpty() ? null : levels.get(0);
    Optional<Value> given = section.optional("level-sensor");
    if (given.isPresent()) {
      if (first == null) {
        given
            .get()
            .complain(
                "the tank has no sensor that measures `level`",
                "declare one, or take `level-sensor` out");
        return null;
      }
      String named = given.get().oneOf(levels);
      return named == null ? first : named;
    }
    if (levels.size() > 1) {
      section.complain(
          section.place(),
          "the tank has " + levels.size() + " levels: " + String.join(", ", levels),
          "say by which its water is measured: `level-sensor: " + first + "`");
    }
    return first;
  }

  private BinReader.NewWater newWater() {
    Shared unit = tank.shares().withBin();
    if (unit != null && unit.newWater() != null) {
      complainAboutTwoBins(unit);
      complainAboutTemperature(unit.newWater(), section.place());
      return unit.newWater();
    }
    Section declared =
        tank.shares().inDoubt()
            ? section.optionalSection("new-water")
            : section.section("new-water", BinReader.EXAMPLE);
    if (declared == null) {
      return BinReader.missing(tank.name());
    }
    BinReader.NewWater own = BinReader.read(tank.name(), declared, tank.sensors());
    complainAboutTemperature(own, declared.place("temperature-sensor"));
    return own;
  }

  private void complainAboutTwoBins(Shared unit) {
    if (section.has("new-water")) {
      section.complain(
          section.keyPlace("new-water"),
          "`new-water` stands here, and the tank shares that of `" + unit.name() + "`",
          "keep one of them");
    }
  }

  private void complainAboutTemperature(BinReader.NewWater newWater, Place place) {
    if (newWater.bin().temperatureSensor() != null
        && inTank(Measure.TEMPERATURE, newWater) == null
        && !tank.inDoubt()) {
      section.complain(
          place,
          "the tank has no temperature to compare that of its new water with",
          "declare a sensor of the tank that measures `temperature`, or take `temperature-sensor`"
              + " out");
    }
  }

  /** The first sensor of a measure that stands in the tank, and not in the bin; null for none. */
  private @Nullable String inTank(Measure measure, BinReader.NewWater newWater) {
    return tank.sensors().stream()
        .filter(sensor -> sensor.measure() == measure && !newWater.has(sensor))
        .map(Sensor::name)
        .findFirst()
        .orElse(null);
  }
}

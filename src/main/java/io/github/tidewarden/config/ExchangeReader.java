package io.github.tidewarden.config;

import static io.github.tidewarden.quantity.UnitCode.LITRES;
import static io.github.tidewarden.quantity.UnitCode.MILLILITRE_PER_MINUTE;
import static io.github.tidewarden.quantity.UnitCode.PERCENTS;
import static io.github.tidewarden.quantity.UnitCode.PSU;

import io.github.tidewarden.gate.HardLimits;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Figures;
import java.util.ArrayList;
import java.util.List;
import org.jspecify.annotations.Nullable;

/** Checks {@code exchange} of a tank, which is not carried out yet, and reads its pumps. */
final class ExchangeReader {
  private static final double MAX_SALINITY_PSU = 50;

  private final Section section;
  private final HardLimits hard;

  ExchangeReader(Section section, HardLimits hard) {
    this.section = section;
    this.hard = hard;
  }

  /** The pumps, so that they can be put to rest. */
  List<Actuator> read(String tank, double waterLitres, Actuator.Site site) {
    WindowReader.read(section);
    double portion = portion(waterLitres);
    List<Actuator> pumps = new ArrayList<>();
    for (String name : List.of("drain", "fill")) {
      Section pump = section.section(name, "{ kind: pump, topic: ..., rate: 250 mL/min }");
      if (pump != null) {
        Actuator actuator = Actuator.read(pump, tank, name, TankFunction.EXCHANGE, site);
        if (actuator != null) {
          pumps.add(actuator);
        }
        complainAboutOverrun(pump, actuator, portion, waterLitres);
      }
    }
    Section newWater = section.section("new-water", "{ holds: 120 L, salinity: 35 PSU }");
    if (newWater != null) {
      newWater.number("holds", Limits.positive(LITRES), "120 L");
      newWater.number("salinity", Limits.positive(PSU, MAX_SALINITY_PSU), "35 PSU");
    }
    return pumps;
  }

  private double portion(double waterLitres) {
    double perDayPercent =
        section.number(
            "per-day", Limits.positive(PERCENTS, HardLimits.MAX_EXCHANGE_PER_24H_PERCENT), "3 %");
    if (perDayPercent > hard.exchangePer24hPercent()) {
      section.complain(
          section.place("per-day"),
          "`per-day` of "
              + Figures.brief(perDayPercent, PERCENTS)
              + " is over the hard limit `exchange-per-24h`",
          "at most " + Figures.brief(hard.exchangePer24hPercent(), PERCENTS));
    }
    double portion = section.number("portion", Limits.positive(LITRES), "0.5 L");
    double most = waterLitres * HardLimits.MAX_PORTION_PERCENT / 100;
    double perDay = waterLitres * perDayPercent / 100;
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
    if (portion > perDay) {
      section.complain(
          section.place("portion"),
          "`portion` of " + Figures.brief(portion, LITRES) + " is more than `per-day`",
          "at most " + Figures.brief(perDay, LITRES));
    }
    return portion;
  }

  /** A pump that is cut off only by its drop-out moves this much too much. */
  private void complainAboutOverrun(
      Section pump, @Nullable Actuator actuator, double portion, double waterLitres) {
    double rate = pump.number("rate", Limits.positive(MILLILITRE_PER_MINUTE), "250 mL/min");
    if (actuator == null) {
      return;
    }
    double overrun = rate / 1000 * actuator.spec().dropOutSeconds() / 60;
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
}

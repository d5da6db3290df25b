package io.github.tidewarden.config;

import static io.github.tidewarden.quantity.UnitCode.LITRES;
import static io.github.tidewarden.quantity.UnitCode.MILLILITRE;
import static io.github.tidewarden.quantity.UnitCode.MILLILITRE_PER_MINUTE;
import static io.github.tidewarden.quantity.UnitCode.MINUTES;
import static io.github.tidewarden.quantity.UnitCode.PERCENTS;
import static io.github.tidewarden.quantity.UnitCode.PSU;

import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.interlock.InterlockSpec;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Figures;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.Collectors;

/** The exchange of a tank in plain words, as {@code check} tells it. */
final class ExchangeText {
  private static final double MILLILITRES_PER_LITRE = 1000;
  private static final double MINUTES_PER_DAY = 1440;

  private final CheckFacts facts;
  private final CheckFacts.Exchange exchange;
  private final ExchangeSpec spec;
  private final List<String> lines = new ArrayList<>();

  private ExchangeText(CheckFacts facts, CheckFacts.Exchange exchange) {
    this.facts = facts;
    this.exchange = exchange;
    spec = exchange.spec();
  }

  /** What it comes to, then one line each about how; the windows are told by others. */
  static List<String> of(CheckFacts facts, CheckFacts.Exchange exchange) {
    ExchangeText text = new ExchangeText(facts, exchange);
    text.amount();
    text.pumpsAndLevel();
    text.newWater();
    text.company();
    text.guards();
    return text.lines;
  }

  private void amount() {
    PlanFacts.Exchange plan = exchange.plan();
    lines.add(
        "Exchange: "
            + Figures.brief(spec.litresPerDay(), LITRES)
            + " a day"
            + (plan.everyDay() ? "" : " on " + plan.daysPerWeek() + " days of a week")
            + ", "
            + Figures.brief(100 * spec.litresPerDay() / facts.tank().waterLitres(), PERCENTS)
            + " of the water, in "
            + plan.portionsPerDay()
            + (plan.portionsPerDay() == 1 ? " portion of " : " portions of ")
            + Figures.brief(exchange.portionLitres(), LITRES)
            + (paired() ? ", out and in at once" : ", out and then in"));
    lines.add(
        "new after a week: "
            + Figures.brief(100 * plan.newAfterWeek(), PERCENTS)
            + " of the water");
  }

  private void pumpsAndLevel() {
    lines.add(
        "pumps: "
            + pump(spec.drain())
            + ", "
            + pump(spec.fill())
            + "; a portion takes "
            + Figures.brief(exchange.portionMinutes(), MINUTES));
    ExchangeSpec.Level level = spec.level();
    lines.add(
        level == null
            ? "nothing measures what goes out and comes in: it is counted by the pumps' rates"
            : "measured by the level of "
                + level.sensor()
                + ", "
                + Figures.brief(level.litresPerMillimetre() * MILLILITRES_PER_LITRE, MILLILITRE)
                + " in a millimetre; it must report at least every 10 s");
    if (level != null) {
      evaporation();
    }
    if (paired() && spec.bin().volumeSensor() == null) {
      lines.add(
          "nothing measures how much both heads move, so the share is as far off as they are:"
              + " calibrate both (`tidewarden calibrate --tank "
              + facts.tank().name()
              + " ...`)");
    }
  }

  /**
   * What is taken to evaporate while portions are under way is left to top-off. Where less does,
   * that much more goes out than comes in each day, and the salinity settles where what the
   * exchange brings back makes that good: {@code new water * litres / litres a day}, PSU.
   */
  private void evaporation() {
    double minutes = exchange.portionMinutes() * exchange.plan().portionsPerDay();
    double litres = spec.evaporationLitresPerDay() * minutes / MINUTES_PER_DAY;
    lines.add(
        spec.evaporationLitresPerDay() == 0
            ? "nothing is taken to evaporate while a portion is under way"
            : Figures.brief(spec.evaporationLitresPerDay(), LITRES)
                + " are taken to evaporate in a day, "
                + Figures.brief(litres, LITRES)
                + " of it while portions are under way; if nothing did, the salinity would settle "
                + Figures.brief(spec.bin().salinityPsu() * litres / spec.litresPerDay(), PSU)
                + " lower: measure what top-off uses in a week, and say `evaporation`");
  }

  private static String pump(ExchangeSpec.Pump pump) {
    double rate = pump.litresPerMinute() * MILLILITRES_PER_LITRE;
    return pump.name() + " " + Figures.brief(rate, MILLILITRE_PER_MINUTE);
  }

  private void newWater() {
    ExchangeSpec.Bin bin = spec.bin();
    boolean own = bin.name().equals(facts.tank().name());
    lines.add(
        "new water: "
            + Figures.brief(bin.salinityPsu(), PSU)
            + ", "
            + Figures.brief(bin.holdsLitres(), LITRES)
            + " in "
            + (own ? "a full bin" : "the full bin of " + bin.name())
            + ", "
            + (bin.volumeSensor() == null
                ? "what is left of it counted"
                : "what is left of it told by " + bin.volumeSensor()));
    lines.add(
        bin.salinitySensor() == null
            ? "waits until a keeper has confirmed each batch of new water (`tidewarden batch --tank "
                + facts.tank().name()
                + " ...`) and it has mixed for "
                + Figures.span(bin.mixNanos())
            : "waits for no keeper to confirm new water: " + bin.salinitySensor() + " measures it");
  }

  private void company() {
    if (!spec.shares().isEmpty()) {
      lines.add(
          "shares " + String.join(", ", spec.shares()) + ": one tank at a time has a portion");
    }
    if (facts.tank().ozone() != null) {
      lines.add(
          spec.whileOzone()
              ? "may go together with ozone"
              : "never together with ozone: the one waits for the other");
    }
    lines.add(
        exchange.topOffHeld()
            ? "top-off is held during a portion and 10 min after it, at most 2 h"
            : "nothing holds top-off during a portion");
  }

  private void guards() {
    lines.add(
        "stopped by "
            + facts.guards().stream()
                .map(CheckFacts.Guarding::spec)
                .filter(guard -> guard.stops().contains(TankFunction.EXCHANGE))
                .map(InterlockSpec::name)
                .collect(Collectors.joining(", ")));
    lines.add(CheckText.silence(facts, TankFunction.EXCHANGE));
  }

  private boolean paired() {
    return spec.kind() == ExchangeSpec.Kind.PAIRED;
  }
}

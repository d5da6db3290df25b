package io.github.tidewarden.config;

import static io.github.tidewarden.quantity.UnitCode.DAYS;
import static io.github.tidewarden.quantity.UnitCode.DEGREE_CELSIUS;
import static io.github.tidewarden.quantity.UnitCode.LITRES;
import static io.github.tidewarden.quantity.UnitCode.MILLIGRAM;
import static io.github.tidewarden.quantity.UnitCode.MILLIGRAM_PER_LITRE;
import static io.github.tidewarden.quantity.UnitCode.PERCENTS;
import static io.github.tidewarden.quantity.UnitCode.PSU;

import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.quantity.Figures;
import java.util.ArrayList;
import java.util.List;

/** What a configuration comes to in a week and a year, in plain words: the text of {@code plan}. */
public final class PlanText {
  private final List<String> lines = new ArrayList<>();

  private PlanText() {}

  /**
   * Tells what each tank's exchange and ozone come to when every night gives what is configured.
   *
   * @return lines that end with a newline each
   */
  public static String of(Configuration configuration) {
    PlanText text = new PlanText();
    text.line(0, configuration.site().name() + ", when every night gives what is configured");
    List<RoomFill> fills = RoomFill.of(configuration.site().tanks(), configuration.air());
    configuration.site().tanks().forEach(tank -> text.tank(PlanFacts.of(tank, fills)));
    return String.join("\n", text.lines);
  }

  private void tank(PlanFacts facts) {
    line(0, "");
    line(0, facts.tank().name() + ", " + Figures.brief(facts.tank().waterLitres(), LITRES));
    PlanFacts.Exchange exchange = facts.exchange();
    if (exchange == null) {
      line(1, "No exchange.");
    } else {
      exchange(exchange);
    }
    PlanFacts.Ozone ozone = facts.ozone();
    if (ozone == null) {
      line(1, "No ozone.");
    } else {
      ozone(ozone);
    }
  }

  private void ozone(PlanFacts.Ozone ozone) {
    line(
        1,
        "Ozone: at most "
            + Figures.brief(ozone.mostMilligrams(), MILLIGRAM)
            + " a night, "
            + Figures.brief(ozone.milligramsPerLitreNight(), MILLIGRAM_PER_LITRE)
            + " of water");
    RoomFill fill = ozone.fill();
    if (fill == null) {
      line(2, "should it leak: no `room` is named, so nobody knows where it goes");
    } else {
      RoomText.of(fill).forEach(told -> line(2, told));
    }
  }

  private void exchange(PlanFacts.Exchange exchange) {
    ExchangeSpec spec = exchange.spec();
    ExchangeSpec.Bin bin = spec.bin();
    line(
        1,
        "Exchange: "
            + Figures.brief(spec.litresPerDay(), LITRES)
            + " a day"
            + (exchange.everyDay() ? "" : " on " + exchange.daysPerWeek() + " days of a week")
            + ", "
            + Figures.brief(exchange.litresPerWeek(), LITRES)
            + " a week");
    line(
        2,
        "new after a week: "
            + Figures.brief(100 * exchange.newAfterWeek(), PERCENTS)
            + " of the water, compounded: "
            + (spec.kind() == ExchangeSpec.Kind.PAIRED
                ? "out and in at once"
                : exchange.portionsPerDay() + " equal portions a day"));
    line(
        2,
        "new water: a full bin of "
            + Figures.brief(bin.holdsLitres(), LITRES)
            + " lasts "
            + Figures.brief(exchange.binDays(), DAYS)
            + " until it is low");
    line(
        2,
        "salt: "
            + PlanJson.decimal(exchange.saltKilogramsPerYear()).toPlainString()
            + " kg a year: "
            + PlanJson.decimal(exchange.dryGramsPerLitre()).toPlainString()
            + " g of dry salt in a litre of "
            + Figures.brief(bin.salinityPsu(), PSU)
            + " at "
            + Figures.brief(PlanFacts.CELSIUS, DEGREE_CELSIUS)
            + ", times `salt-factor` of "
            + Figures.brief(100 * bin.saltFactor(), PERCENTS));
  }

  private void line(int indent, String text) {
    lines.add("  ".repeat(indent) + text);
  }
}

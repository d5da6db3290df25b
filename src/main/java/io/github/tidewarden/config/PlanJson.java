package io.github.tidewarden.config;

import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.quantity.UnitCode;
import java.math.BigDecimal;
import java.util.List;
import java.util.Locale;

/** What a configuration comes to, for a machine: the facts of {@link PlanText} as JSON. */
public final class PlanJson {
  /** Of grams in a litre and kilograms in a year: finer than a factor of the mix is known. */
  private static final int SALT_DECIMALS = 2;

  private PlanJson() {}

  /** One JSON object with the keys that the site page "Configuration" lists. */
  public static String of(Configuration configuration) {
    ObjectNode root = CheckJson.object();
    root.put("site", configuration.site().name());
    root.put("config-digest", configuration.digest());
    ArrayNode tanks = root.putArray("tanks");
    List<RoomFill> fills = RoomFill.of(configuration.site().tanks(), configuration.air());
    configuration
        .site()
        .tanks()
        .forEach(tank -> tank(tanks.addObject(), PlanFacts.of(tank, fills)));
    return CheckJson.write(root);
  }

  private static void tank(ObjectNode node, PlanFacts facts) {
    node.put("tank", facts.tank().name());
    node.put("water-l", CheckJson.decimal(facts.tank().waterLitres(), UnitCode.LITRES));
    PlanFacts.Exchange exchange = facts.exchange();
    if (exchange != null) {
      exchange(node.putObject("exchange"), exchange);
    }
    PlanFacts.Ozone ozone = facts.ozone();
    if (ozone != null) {
      ozone(node.putObject("ozone"), ozone);
    }
  }

  private static void ozone(ObjectNode node, PlanFacts.Ozone ozone) {
    node.put("most-mg", CheckJson.decimal(ozone.mostMilligrams(), UnitCode.MILLIGRAM));
    node.put(
        "most-mg-per-l",
        CheckJson.decimal(ozone.milligramsPerLitreNight(), UnitCode.MILLIGRAM_PER_LITRE));
    RoomFill fill = ozone.fill();
    if (fill != null) {
      RoomText.put(node, fill);
    }
  }

  private static void exchange(ObjectNode node, PlanFacts.Exchange exchange) {
    ExchangeSpec spec = exchange.spec();
    ExchangeSpec.Bin bin = spec.bin();
    node.put("kind", kind(spec));
    node.put("per-day-l", CheckJson.decimal(spec.litresPerDay(), UnitCode.LITRES));
    node.put("days-per-week", exchange.daysPerWeek());
    node.put("portions-per-day", exchange.portionsPerDay());
    node.put("per-week-l", CheckJson.decimal(exchange.litresPerWeek(), UnitCode.LITRES));
    node.put("new-after-week-percent", percent(exchange.newAfterWeek()));
    node.put("bin-l", CheckJson.decimal(bin.holdsLitres(), UnitCode.LITRES));
    node.put("bin-d", CheckJson.decimal(exchange.binDays(), UnitCode.DAYS));
    node.put("salinity-psu", CheckJson.decimal(bin.salinityPsu(), UnitCode.PSU));
    node.put("celsius", CheckJson.decimal(PlanFacts.CELSIUS, UnitCode.DEGREE_CELSIUS));
    node.put("dry-salt-g-per-l", decimal(exchange.dryGramsPerLitre()));
    node.put("salt-factor-percent", percent(bin.saltFactor()));
    node.put("salt-kg-per-year", decimal(exchange.saltKilogramsPerYear()));
  }

  /** The word that a configuration uses. */
  static String kind(ExchangeSpec spec) {
    return spec.kind().name().toLowerCase(Locale.ROOT);
  }

  /** Grams of salt in a litre or kilograms in a year, as they are written. */
  static BigDecimal decimal(double salt) {
    return Figures.decimal(salt, SALT_DECIMALS);
  }

  private static BigDecimal percent(double fraction) {
    return CheckJson.decimal(100 * fraction, UnitCode.PERCENTS);
  }
}

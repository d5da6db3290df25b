package io.github.tidewarden.config;

import io.github.tidewarden.science.Electrodes;
import io.github.tidewarden.science.Electrodes.Reference;
import java.util.LinkedHashMap;
import java.util.Map;

/** The reference electrodes by the names that a configuration uses. */
final class References {
  /** The electrode that the compiled-in and the site's limits are against. */
  static final String OF_LIMITS = "Ag/AgCl 3 M KCl";

  private static final double CELSIUS = 25;

  /** By name, in the order in which complaints list them. */
  static final Map<String, Reference> BY_NAME = new LinkedHashMap<>();

  static {
    BY_NAME.put(OF_LIMITS, Reference.SILVER_CHLORIDE_3_M);
    BY_NAME.put("Ag/AgCl 3.5 M KCl", Reference.SILVER_CHLORIDE_3_5_M);
    BY_NAME.put("Ag/AgCl saturated KCl", Reference.SILVER_CHLORIDE_SATURATED);
    BY_NAME.put("calomel saturated KCl", Reference.CALOMEL_SATURATED);
    BY_NAME.put("SHE", Reference.STANDARD_HYDROGEN);
  }

  private References() {}

  /**
   * A limit against Ag/AgCl 3 M KCl as it reads against another electrode at 25 degC, mV; NaN stays
   * NaN.
   */
  static double limitAgainst(Reference reference, double millivolts) {
    if (Double.isNaN(millivolts)) {
      return millivolts;
    }
    return Electrodes.convertMillivolts(
        millivolts, Reference.SILVER_CHLORIDE_3_M, reference, CELSIUS);
  }
}

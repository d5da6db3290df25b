package io.github.tidewarden.science;

/** Physical constants and molar masses shared by the formulas of this package. */
final class Gas {
  private Gas() {}

  /** Molar gas constant, J/(mol K): exact in the SI of 2019 (CODATA 2018), to ten digits. */
  static final double MOLAR_GAS_CONSTANT = 8.314462618;

  /** 0 degC in K, by definition. */
  static final double ZERO_CELSIUS_KELVIN = 273.15;

  /** The standard atmosphere in Pa, by definition. */
  static final double ATMOSPHERE_PASCALS = 101_325;

  /** Molar mass of ozone, g/mol: three times 15.9994 (IUPAC 2005 standard atomic weight). */
  static final double OZONE_GRAMS_PER_MOLE = 47.998;
}

package io.github.tidewarden.science;

/** Ozone that goes into water, and how long it stays ozone there. */
public final class OzoneInWater {
  private OzoneInWater() {}

  private static final double HENRY_MOLES_PER_CUBIC_METRE_PASCAL = 1.0e-4;
  private static final double HENRY_KELVIN = 2800;
  private static final double REFERENCE_KELVIN = 298.15;
  private static final double BROMINE_GRAMS_PER_MOLE = 79.904;
  private static final double BROMIDE_LITRES_PER_MOLE_SECOND = 160;
  private static final double BROMIDE_OF_SEA_SALT = 0.0019134;

  /**
   * Ozone that water holds for each pascal of ozone above it, mol/(m3 Pa): {@code 1.0e-4 exp(2800
   * (1/T - 1/298.15))}. For fresh water; measured values run from 0.8 to 1.3 of it, and salt lowers
   * it.
   *
   * <p>Source: the evaluated row in Sander, Atmos. Chem. Phys. 23 (2023) 10901.
   *
   * @param celsius temperature, 0 to 40 degC
   * @throws IllegalArgumentException when the temperature is not a number or out of bounds
   */
  public static double henryMolesPerCubicMetrePascal(double celsius) {
    return HENRY_MOLES_PER_CUBIC_METRE_PASCAL
        * Math.exp(HENRY_KELVIN * (1 / kelvin(celsius) - 1 / REFERENCE_KELVIN));
  }

  /**
   * Ozone in water over ozone in the gas above it, by volume, without a unit: Henry's constant
   * times {@code R T}.
   *
   * @param celsius temperature, 0 to 40 degC
   * @throws IllegalArgumentException when the temperature is not a number or out of bounds
   */
  public static double waterOverGas(double celsius) {
    return henryMolesPerCubicMetrePascal(celsius) * Gas.MOLAR_GAS_CONSTANT * kelvin(celsius);
  }

  /**
   * Bromide in sea water, mg/L: 0.0019134 of its salt. Source: the reference composition of Millero
   * et al. 2008.
   *
   * @param psu salinity, 0 to {@value SeaWater#MAX_PSU}
   * @param celsius temperature at which the litre is measured, {@value SeaWater#MIN_CELSIUS} to
   *     {@value SeaWater#MAX_CELSIUS} degC
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public static double bromideMilligramsPerLitre(double psu, double celsius) {
    return 1000 * BROMIDE_OF_SEA_SALT * SeaWater.dryGramsPerLitre(psu, celsius);
  }

  /**
   * Seconds until half of the ozone has turned bromide into bromine: {@code ln 2 / (k [Br-])}, with
   * k = 160 L/(mol s) at 20 to 25 degC. Some 5 s in sea water: what reaches the animals is bromine.
   *
   * <p>Source: Haag and Hoigne, Environ. Sci. Technol. 17 (1983) 261; the constant is from memory.
   *
   * @param bromideMilligramsPerLitre 0.001 to 1000 mg/L
   * @throws IllegalArgumentException when the amount is not a number or out of bounds
   */
  public static double halfLifeSeconds(double bromideMilligramsPerLitre) {
    double molesPerLitre =
        Bounds.within("bromide in mg/L", bromideMilligramsPerLitre, 0.001, 1000)
            / 1000
            / BROMINE_GRAMS_PER_MOLE;
    return Math.log(2) / (BROMIDE_LITRES_PER_MOLE_SECOND * molesPerLitre);
  }

  private static double kelvin(double celsius) {
    return Bounds.within("temperature in degC", celsius, 0, 40) + Gas.ZERO_CELSIUS_KELVIN;
  }
}

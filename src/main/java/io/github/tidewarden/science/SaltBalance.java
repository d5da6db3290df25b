package io.github.tidewarden.science;

/**
 * The salt of a tank: what its salinity becomes when water goes, comes or is exchanged. Source:
 * mass balance with the densities of {@link SeaWater}; the water is well mixed and all of one
 * temperature.
 *
 * <p>Salinity is salt per mass, so masses are balanced. The keeper's rule {@code S2 = S1 V1 / V2}
 * takes it as salt per volume, which makes 1 % of evaporation 0.03 % too salty: less than a probe
 * sees, but the mass costs nothing more and holds for waters of any two salinities.
 *
 * @param waterLitres the tank's water, 0.001 to 1e8 L
 * @param psu its salinity, 0 to 42
 * @param celsius its temperature, -2 to 40 degC
 */
public record SaltBalance(double waterLitres, double psu, double celsius) {

  private static final double LEAST_LITRES = 1e-3;
  private static final double MAX_LITRES = 1e8;
  private static final double MAX_PORTIONS = 1e6;
  private static final double MAX_MIX_FACTOR = 2;
  private static final double DAYS_PER_YEAR = 365;
  private static final double GRAMS_PER_KILOGRAM = 1000;

  /**
   * Checks the bounds.
   *
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public SaltBalance {
    Bounds.within("water in L", waterLitres, LEAST_LITRES, MAX_LITRES);
    Bounds.within("salinity in PSU", psu, 0, SeaWater.MAX_PSU);
    Bounds.within("temperature in degC", celsius, SeaWater.MIN_CELSIUS, SeaWater.MAX_CELSIUS);
  }

  /**
   * Salinity after evaporation, PSU.
   *
   * @param litres fresh water that has gone, 0 to half of the tank's water
   * @throws IllegalArgumentException when it is not a number or out of bounds
   */
  public double afterEvaporationPsu(double litres) {
    Bounds.within("evaporation in L", litres, 0, waterLitres / 2);
    return mixedPsu(waterLitres, psu, -litres, 0);
  }

  /**
   * Salinity after fresh water was added, PSU.
   *
   * @param litres fresh water that came, 0 to 1e8 L
   * @throws IllegalArgumentException when it is not a number or out of bounds
   */
  public double afterFreshWaterPsu(double litres) {
    Bounds.within("fresh water in L", litres, 0, MAX_LITRES);
    return mixedPsu(waterLitres, psu, litres, 0);
  }

  /**
   * Salinity after an exchange portion by portion, PSU: each drains and is then made up with as
   * many litres of new water, the last one with what is left.
   *
   * @param litres exchanged in all, 0 to a million portions
   * @param portionLitres a portion, 0.001 L to the whole water
   * @param newPsu salinity of the new water, 0 to 42
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public double afterExchangePsu(double litres, double portionLitres, double newPsu) {
    Bounds.within("portion in L", portionLitres, LEAST_LITRES, waterLitres);
    Bounds.within("salinity of the new water in PSU", newPsu, 0, SeaWater.MAX_PSU);
    Bounds.within("portions", litres / portionLitres, 0, MAX_PORTIONS);
    double mixed = psu;
    for (double left = litres; left > 0; left -= portionLitres) {
      double portion = Math.min(left, portionLitres);
      mixed = mixedPsu(waterLitres - portion, mixed, portion, newPsu);
    }
    return mixed;
  }

  /**
   * Salinity after skimmate was taken and made up with fresh water, PSU. Skimmate is counted as
   * salty as the tank.
   *
   * @param litres skimmate taken, 0 to the whole water
   * @throws IllegalArgumentException when it is not a number or out of bounds
   */
  public double afterSkimmatePsu(double litres) {
    Bounds.within("skimmate in L", litres, 0, waterLitres);
    return mixedPsu(waterLitres - litres, psu, litres, 0);
  }

  /**
   * Salt mix that a year of new water takes, kg for 365 days.
   *
   * @param litresPerDay new water a day, 0 to 1e8 L
   * @param psu its salinity, 0 to 42
   * @param celsius its temperature, -2 to 40 degC
   * @param mixFactor kilograms of the mix for one of dry sea salt, 1 to 2: 1 for dry salt, more for
   *     the water of hydration in a mix
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public static double kilogramsPerYear(
      double litresPerDay, double psu, double celsius, double mixFactor) {
    Bounds.within("new water in L/d", litresPerDay, 0, MAX_LITRES);
    Bounds.within("factor of the mix", mixFactor, 1, MAX_MIX_FACTOR);
    double dryGrams = DAYS_PER_YEAR * litresPerDay * SeaWater.dryGramsPerLitre(psu, celsius);
    return mixFactor * dryGrams / GRAMS_PER_KILOGRAM;
  }

  private double mixedPsu(double litres, double ofPsu, double otherLitres, double otherPsu) {
    double mass = litres * SeaWater.densityKilogramsPerCubicMetre(ofPsu, celsius);
    double otherMass = otherLitres * SeaWater.densityKilogramsPerCubicMetre(otherPsu, celsius);
    return (mass * ofPsu + otherMass * otherPsu) / (mass + otherMass);
  }
}

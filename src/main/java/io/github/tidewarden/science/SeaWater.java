package io.github.tidewarden.science;

import java.util.function.DoubleUnaryOperator;

/**
 * Sea water by salinity and temperature: density (EOS-80), conductivity (PSS-78), specific gravity
 * and the salt in it. Salinity is practical (PSS-78), temperature is on the scale of 1990; the
 * formulas are on that of 1968, which reads 1.00024 times as much.
 *
 * <p>Source: UNESCO Technical Papers in Marine Science 44 (1983), with the salt of TEOS-10.
 */
public final class SeaWater {
  private SeaWater() {}

  /** Coldest water that the formulas cover, degC. */
  public static final double MIN_CELSIUS = -2;

  /** Warmest water that the formulas cover, degC. */
  public static final double MAX_CELSIUS = 40;

  /** Saltiest water that the formulas cover. */
  public static final double MAX_PSU = 42;

  /** Freshest water whose conductivity the scale of 1978 covers. */
  public static final double MIN_CONDUCTIVITY_PSU = 2;

  private static final double MAX_DECIBARS = 10_000;
  private static final double MAX_MILLISIEMENS_PER_CENTIMETRE = 120;
  private static final double T68_PER_T90 = 1.00024;

  /** Conductivity at 35 PSU, 15 degC (scale of 1968) and no pressure. Source: GSW-C gsw_c3515. */
  private static final double STANDARD_MILLISIEMENS_PER_CENTIMETRE = 42.914;

  /**
   * Grams of dry salt in a kilogram of sea water, for each unit of practical salinity. Source: the
   * reference composition (Millero et al. 2008) of TEOS-10, 35.16504 g/kg at 35 PSU.
   */
  private static final double DRY_GRAMS_PER_KILOGRAM_PSU = 35.16504 / 35;

  private static final int HALVINGS = 64;

  /**
   * Density at the surface, kg/m3, which is also g/L.
   *
   * @param psu salinity, 0 to {@value #MAX_PSU}
   * @param celsius temperature, {@value #MIN_CELSIUS} to {@value #MAX_CELSIUS} degC
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public static double densityKilogramsPerCubicMetre(double psu, double celsius) {
    return densityKilogramsPerCubicMetre(psu, celsius, 0);
  }

  /**
   * Density under pressure, kg/m3.
   *
   * @param psu salinity, 0 to {@value #MAX_PSU}
   * @param celsius temperature, {@value #MIN_CELSIUS} to {@value #MAX_CELSIUS} degC
   * @param decibars pressure over the atmosphere, 0 to 10,000 dbar; about 1 dbar a metre of depth
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public static double densityKilogramsPerCubicMetre(double psu, double celsius, double decibars) {
    Bounds.within("salinity in PSU", psu, 0, MAX_PSU);
    return Eos80.density(psu, t68(celsius), pressure(decibars));
  }

  /**
   * Salinity of a conductivity, PSU.
   *
   * @param millisiemensPerCentimetre conductivity at that temperature, not compensated to 25 degC,
   *     0 to 120 mS/cm
   * @param celsius temperature, {@value #MIN_CELSIUS} to {@value #MAX_CELSIUS} degC; the scale was
   *     fitted up to 35 degC, and its published check value is at 40
   * @param decibars pressure over the atmosphere, 0 to 10,000 dbar; 0 in a tank
   * @throws IllegalArgumentException when a number is not one or out of bounds, or the salinity is
   *     not from {@value #MIN_CONDUCTIVITY_PSU} to {@value #MAX_PSU}
   */
  public static double salinityFromConductivityPsu(
      double millisiemensPerCentimetre, double celsius, double decibars) {
    Bounds.within(
        "conductivity in mS/cm", millisiemensPerCentimetre, 0, MAX_MILLISIEMENS_PER_CENTIMETRE);
    double ratio = millisiemensPerCentimetre / STANDARD_MILLISIEMENS_PER_CENTIMETRE;
    return Bounds.within(
        "salinity in PSU",
        Pss78.salinity(ratio, t68(celsius), pressure(decibars)),
        MIN_CONDUCTIVITY_PSU,
        MAX_PSU);
  }

  /**
   * Conductivity of a salinity, mS/cm: the inverse of {@link #salinityFromConductivityPsu}.
   *
   * @param psu salinity, {@value #MIN_CONDUCTIVITY_PSU} to {@value #MAX_PSU}
   * @param celsius temperature, {@value #MIN_CELSIUS} to {@value #MAX_CELSIUS} degC
   * @param decibars pressure over the atmosphere, 0 to 10,000 dbar; 0 in a tank
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public static double conductivityMillisiemensPerCentimetre(
      double psu, double celsius, double decibars) {
    Bounds.within("salinity in PSU", psu, MIN_CONDUCTIVITY_PSU, MAX_PSU);
    double t68 = t68(celsius);
    pressure(decibars);
    double ratio =
        whereIncreasing(
            atRatio -> Pss78.salinity(atRatio, t68, decibars),
            psu,
            0,
            MAX_MILLISIEMENS_PER_CENTIMETRE / STANDARD_MILLISIEMENS_PER_CENTIMETRE);
    return ratio * STANDARD_MILLISIEMENS_PER_CENTIMETRE;
  }

  /**
   * Specific gravity: density of the sample over that of pure water. Says nothing without its two
   * temperatures, which are printed on a hydrometer as "25/25" or "20/4": between those in use, the
   * salinity of one reading differs by more than 4 PSU.
   *
   * @param psu salinity, 0 to {@value #MAX_PSU}
   * @param sampleCelsius temperature of the sample, {@value #MIN_CELSIUS} to {@value #MAX_CELSIUS}
   *     degC
   * @param referenceCelsius temperature of the pure water, 0 to {@value #MAX_CELSIUS} degC
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public static double specificGravity(double psu, double sampleCelsius, double referenceCelsius) {
    Bounds.within("reference temperature in degC", referenceCelsius, 0, MAX_CELSIUS);
    return densityKilogramsPerCubicMetre(psu, sampleCelsius)
        / densityKilogramsPerCubicMetre(0, referenceCelsius);
  }

  /**
   * Salinity of a specific gravity, PSU: the inverse of {@link #specificGravity}.
   *
   * @param specificGravity that of a salinity from 0 to {@value #MAX_PSU} at these temperatures
   * @param sampleCelsius temperature of the sample, {@value #MIN_CELSIUS} to {@value #MAX_CELSIUS}
   *     degC
   * @param referenceCelsius temperature of the pure water, 0 to {@value #MAX_CELSIUS} degC
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public static double salinityFromSpecificGravityPsu(
      double specificGravity, double sampleCelsius, double referenceCelsius) {
    DoubleUnaryOperator ofSalinity = psu -> specificGravity(psu, sampleCelsius, referenceCelsius);
    Bounds.within(
        "specific gravity",
        specificGravity,
        ofSalinity.applyAsDouble(0),
        ofSalinity.applyAsDouble(MAX_PSU));
    return whereIncreasing(ofSalinity, specificGravity, 0, MAX_PSU);
  }

  /**
   * Dry sea salt in a litre of sea water, g/L: what is left of natural sea water, without water of
   * hydration. A salt mix holds such water, so more of it is needed ({@link
   * SaltBalance#kilogramsPerYear}).
   *
   * @param psu salinity, 0 to {@value #MAX_PSU}
   * @param celsius temperature at which the litre is measured, {@value #MIN_CELSIUS} to {@value
   *     #MAX_CELSIUS} degC
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public static double dryGramsPerLitre(double psu, double celsius) {
    double kilogramsPerLitre = densityKilogramsPerCubicMetre(psu, celsius) / 1000;
    return DRY_GRAMS_PER_KILOGRAM_PSU * psu * kilogramsPerLitre;
  }

  private static double t68(double celsius) {
    return T68_PER_T90 * Bounds.within("temperature in degC", celsius, MIN_CELSIUS, MAX_CELSIUS);
  }

  private static double pressure(double decibars) {
    return Bounds.within("pressure in dbar", decibars, 0, MAX_DECIBARS);
  }

  private static double whereIncreasing(
      DoubleUnaryOperator function, double value, double low, double high) {
    double from = low;
    double to = high;
    for (int halving = 0; halving < HALVINGS; halving++) {
      double middle = (from + to) / 2;
      if (function.applyAsDouble(middle) < value) {
        from = middle;
      } else {
        to = middle;
      }
    }
    return (from + to) / 2;
  }
}

package io.github.tidewarden.science;

/** How far an ideal redox electrode moves with pH. */
public final class Nernst {
  private Nernst() {}

  /** Faraday constant, C/mol: exact in the SI of 2019 (CODATA 2018), to ten digits. */
  private static final double FARADAY = 96_485.33212;

  /**
   * The slope {@code R T ln 10 / F} of an ideal electrode for one proton per electron, in mV per pH
   * unit. Redox falls as pH rises. It is an upper bound for sea water, where the practical slope is
   * smaller.
   *
   * <p>Source: the Nernst equation with the CODATA 2018 constants.
   *
   * @param celsius temperature, 0 to 100 degC
   * @throws IllegalArgumentException when the temperature is not a number or out of bounds
   */
  public static double slopeMillivoltsPerPh(double celsius) {
    double kelvin = Bounds.within("temperature in degC", celsius, 0, 100) + Gas.ZERO_CELSIUS_KELVIN;
    return 1000 * Gas.MOLAR_GAS_CONSTANT * kelvin * Math.log(10) / FARADAY;
  }
}

package io.github.tidewarden.science;

/**
 * The practical salinity scale of 1978 as it was published: on the temperature scale of 1968, with
 * the ratio of conductivities and pressure over the atmosphere. Source: UNESCO Technical Papers in
 * Marine Science 44 (1983).
 */
final class Pss78 {
  private Pss78() {}

  private static final double RATIO_CELSIUS = 15;
  private static final double TEMPERATURE_SHAPE = 0.0162;

  /**
   * Practical salinity of {@code C(S,t,p) / C(35,15,0)}; bounds are the caller's. It holds from 2
   * to 42.
   */
  static double salinity(double ratio, double t68, double decibars) {
    double ofStandard =
        Polynomial.at(t68, 0.6766097, 2.00564e-2, 1.104259e-4, -6.9698e-7, 1.0031e-9);
    double root = Math.sqrt(ratio / (ofPressure(ratio, t68, decibars) * ofStandard));
    double offRatioCelsius = t68 - RATIO_CELSIUS;
    return Polynomial.at(root, 0.0080, -0.1692, 25.3851, 14.0941, -7.0261, 2.7081)
        + offRatioCelsius
            / (1 + TEMPERATURE_SHAPE * offRatioCelsius)
            * Polynomial.at(root, 0.0005, -0.0056, -0.0066, -0.0375, 0.0636, -0.0144);
  }

  private static double ofPressure(double ratio, double t68, double decibars) {
    double pressure = Polynomial.at(decibars, 0, 2.070e-5, -6.370e-10, 3.989e-15);
    return 1
        + pressure
            / (Polynomial.at(t68, 1, 3.426e-2, 4.464e-4)
                + ratio * Polynomial.at(t68, 4.215e-1, -3.107e-3));
  }
}

package io.github.tidewarden.science;

/**
 * The international equation of state of sea water, EOS-80, as it was published: on the temperature
 * scale of 1968, with practical salinity and pressure over the atmosphere. Source: UNESCO Technical
 * Papers in Marine Science 44 (1983).
 */
final class Eos80 {
  private Eos80() {}

  private static final double DECIBARS_PER_BAR = 10;
  private static final double SQUARED_SALINITY = 4.8314e-4;
  private static final double BULK_PRESSURE_ROOT = 1.91075e-4;

  /** Density in kg/m3, {@code rho(S,t,0) / (1 - p / K(S,t,p))}; bounds are the caller's. */
  static double density(double salinity, double t68, double decibars) {
    double atSurface =
        Polynomial.at(
                t68, 999.842594, 6.793952e-2, -9.095290e-3, 1.001685e-4, -1.120083e-6, 6.536332e-9)
            + salinity
                * (Polynomial.at(t68, 8.24493e-1, -4.0899e-3, 7.6438e-5, -8.2467e-7, 5.3875e-9)
                    + Math.sqrt(salinity) * Polynomial.at(t68, -5.72466e-3, 1.0227e-4, -1.6546e-6)
                    + salinity * SQUARED_SALINITY);
    double bars = decibars / DECIBARS_PER_BAR;
    return atSurface / (1 - bars / secantBulkModulusBars(salinity, t68, bars));
  }

  private static double secantBulkModulusBars(double salinity, double t68, double bars) {
    double root = Math.sqrt(salinity);
    double atSurface =
        Polynomial.at(t68, 19652.21, 148.4206, -2.327105, 1.360477e-2, -5.155288e-5)
            + salinity
                * (Polynomial.at(t68, 54.6746, -0.603459, 1.09987e-2, -6.1670e-5)
                    + root * Polynomial.at(t68, 7.944e-2, 1.6483e-2, -5.3009e-4));
    double linear =
        Polynomial.at(t68, 3.239908, 1.43713e-3, 1.16092e-4, -5.77905e-7)
            + salinity
                * (Polynomial.at(t68, 2.2838e-3, -1.0981e-5, -1.6078e-6)
                    + root * BULK_PRESSURE_ROOT);
    double squared =
        Polynomial.at(t68, 8.50935e-5, -6.12293e-6, 5.2787e-8)
            + salinity * Polynomial.at(t68, -9.9348e-7, 2.0816e-8, 9.1697e-10);
    return Polynomial.at(bars, atSurface, linear, squared);
  }
}

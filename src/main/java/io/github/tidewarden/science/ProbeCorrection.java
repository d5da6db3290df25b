package io.github.tidewarden.science;

/**
 * From what a probe reads to what a sound one would: {@code slope x read + offset}. A slope takes
 * two solutions; beyond both of them it stretches the error of each reading with it.
 *
 * @param slope 0.5 to 2, 1 from a single solution
 * @param offsetMillivolts at most 2000 mV either way
 */
public record ProbeCorrection(double slope, double offsetMillivolts) {

  /** Two solutions tell a slope only when they are so far apart, mV. */
  public static final double LEAST_SPAN_MILLIVOLTS = 100;

  /** From pH 4.01 to pH 7.00, the two buffers at 25 degC. */
  private static final double BUFFERS_PH_APART = 7.00 - 4.01;

  /** A probe that needs no correction. */
  public static final ProbeCorrection NONE = new ProbeCorrection(1, 0);

  /**
   * Checks the bounds.
   *
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public ProbeCorrection {
    Bounds.within("slope of the correction", slope, 0.5, 2);
    Electrodes.redox(offsetMillivolts);
  }

  /**
   * From one solution.
   *
   * @param readMillivolts what the probe reads in it once settled, at most 2000 mV either way
   * @throws IllegalArgumentException when the reading is not a number or out of bounds
   */
  public static ProbeCorrection of(ExpectedRedox expected, double readMillivolts) {
    return new ProbeCorrection(1, -expected.deviationMillivolts(readMillivolts));
  }

  /**
   * From two solutions.
   *
   * @param readOne what the probe reads in the first, mV, at most 2000 mV either way
   * @param readOther what the probe reads in the second
   * @throws IllegalArgumentException when the solutions are less than 100 mV apart, when the probe
   *     is against two references, or when a number is not one or out of bounds
   */
  public static ProbeCorrection of(
      ExpectedRedox one, double readOne, ExpectedRedox other, double readOther) {
    if (one.reference() != other.reference()) {
      throw new IllegalArgumentException("a probe has one reference electrode, not two");
    }
    return of(one.millivolts(), readOne, other.millivolts(), readOther);
  }

  /**
   * From two solutions, by what a sound probe reads in each, all against one reference.
   *
   * @param one what a sound probe reads in the first, mV, at most 2000 mV either way
   * @param readOne what this one reads in it
   * @param other what a sound probe reads in the second
   * @param readOther what this one reads in it
   * @throws IllegalArgumentException when the solutions are less than 100 mV apart, or when a
   *     number is not one or out of bounds
   */
  public static ProbeCorrection of(double one, double readOne, double other, double readOther) {
    double span = Electrodes.redox(one) - Electrodes.redox(other);
    if (!tellSlope(one, other)) {
      throw new IllegalArgumentException(
          "solutions "
              + Math.abs(span)
              + " mV apart tell no slope; must be "
              + LEAST_SPAN_MILLIVOLTS
              + " mV");
    }
    double slope = span / (Electrodes.redox(readOne) - Electrodes.redox(readOther));
    return new ProbeCorrection(slope, one - slope * readOne);
  }

  /** Whether two solutions are so far apart, mV, that they tell a slope. */
  public static boolean tellSlope(double one, double other) {
    return Math.abs(one - other) >= LEAST_SPAN_MILLIVOLTS;
  }

  /**
   * What a sound probe would read, mV.
   *
   * @param readMillivolts what this one reads; NaN stays NaN
   */
  public double corrected(double readMillivolts) {
    return slope * readMillivolts + offsetMillivolts;
  }

  /**
   * A probe's span between the two quinhydrone buffers, as a share of the ideal one: {@code (read 4
   * - read 7) / (Nernst's slope x 2.99)}. It needs no reference electrode and no table of the
   * solutions; 1 is ideal. Source: the Nernst equation; at 25 degC the span is 59.159 x 2.99 mV.
   *
   * @param readPh4 what the probe reads at pH 4.01, mV, at most 2000 mV either way
   * @param readPh7 what the probe reads at pH 7.00, mV, at most 2000 mV either way
   * @param celsius temperature of both, 0 to 100 degC. The buffers' pH is taken as at 25 degC,
   *     which at 20 and 30 degC makes about 1 %.
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public static double spanShare(double readPh4, double readPh7, double celsius) {
    return (Electrodes.redox(readPh4) - Electrodes.redox(readPh7))
        / (Nernst.slopeMillivoltsPerPh(celsius) * BUFFERS_PH_APART);
  }
}

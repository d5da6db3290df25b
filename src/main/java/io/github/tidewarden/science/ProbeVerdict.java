package io.github.tidewarden.science;

/**
 * How far a probe may be off in a check solution. The bounds are those of one maker's manual, for
 * 25 degC; other standards of practice are narrower (5 to 30 mV).
 */
public enum ProbeVerdict {
  /** Within 15 mV, what a new probe must keep. */
  AS_NEW,
  /** Within 50 mV: its offset is taken into account. */
  USABLE,
  /** Over 50 mV: to be cleaned, and replaced if that does not help. */
  REPLACE;

  /** What a new probe may be off, mV. */
  public static final double AS_NEW_MILLIVOLTS = 15;

  /** What a usable probe may be off, mV. */
  public static final double USABLE_MILLIVOLTS = 50;

  /**
   * The verdict on a probe.
   *
   * @param deviationMillivolts how far it is off, either way; one that is not a number is {@link
   *     #REPLACE}
   */
  public static ProbeVerdict of(double deviationMillivolts) {
    double off = Math.abs(deviationMillivolts);
    if (off <= AS_NEW_MILLIVOLTS) {
      return AS_NEW;
    }
    return off <= USABLE_MILLIVOLTS ? USABLE : REPLACE;
  }
}

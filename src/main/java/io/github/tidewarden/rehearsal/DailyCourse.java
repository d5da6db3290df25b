package io.github.tidewarden.rehearsal;

/**
 * What the day and the weeks do to redox, at once and on top of what ozone does: the day's pH, by
 * the slope of Nernst's equation, and what slowly changes in the water.
 *
 * @param swingMillivolts how far the day lifts and lowers it about its mean, mV, not negative
 * @param highestSeconds when it lifts it most, s after the start
 * @param driftMillivoltsPerDay how far it wanders in a day, mV
 */
public record DailyCourse(
    double swingMillivolts, double highestSeconds, double driftMillivoltsPerDay) {

  /** Every hour as any other. */
  public static final DailyCourse NONE = new DailyCourse(0, 0, 0);

  private static final double DAY_SECONDS = 86_400;

  /**
   * Checks the bounds.
   *
   * @throws IllegalArgumentException when a figure is not finite or the swing negative
   */
  public DailyCourse {
    TankModel.check("swing", Double.isFinite(swingMillivolts) && swingMillivolts >= 0);
    TankModel.check("time of the highest", Double.isFinite(highestSeconds));
    TankModel.check("drift", Double.isFinite(driftMillivoltsPerDay));
  }

  /**
   * What it adds, mV.
   *
   * @param seconds since the start
   * @param lagSeconds of the probe that looks: a sine after a first-order lag is less by {@code
   *     sqrt(1 + (w lag)^2)} and later by {@code atan(w lag)}, by the textbook
   */
  double millivolts(double seconds, double lagSeconds) {
    if (swingMillivolts == 0 && driftMillivoltsPerDay == 0) {
      return 0; // the usual case, asked for with every reading
    }
    double turning = 2 * Math.PI / DAY_SECONDS;
    double behind = Math.atan(turning * lagSeconds);
    return swingMillivolts
            / Math.hypot(1, turning * lagSeconds)
            * Math.cos(turning * (seconds - highestSeconds) - behind)
        + driftMillivoltsPerDay * seconds / DAY_SECONDS;
  }
}

package io.github.tidewarden.science;

/**
 * A process of first order with dead time by Smith's two points: when the response to a step has
 * done {@code 1 - exp(-1/3)}, 28.3 %, and {@code 1 - exp(-1)}, 63.2 %, of its whole way. {@code tau
 * = 1.5 (t63 - t28)} and {@code theta = t63 - tau}. It needs the whole way, and takes two points
 * for all: a fit of the whole response, {@link StepFit}, knows how sure it is.
 *
 * <p>Source: Smith 1972 in the form of Smith and Corripio, from memory; exact for such a process.
 */
public final class SmithTwoPoint {
  private SmithTwoPoint() {}

  private static final double EARLY = -Math.expm1(-1.0 / 3);
  private static final double LATE = -Math.expm1(-1.0);

  /**
   * The process that responds so.
   *
   * @param seconds when each value was taken, rising; straight lines are drawn between
   * @param values the response
   * @param stepSeconds when the step was made
   * @param step by how much more was fed from then on, not zero
   * @param from what the response was before
   * @param to what it settled at
   * @throws IllegalArgumentException when the response does not pass both points after the step, or
   *     the way or the step is nothing
   */
  public static FirstOrder of(
      double[] seconds, double[] values, double stepSeconds, double step, double from, double to) {
    int first = 1;
    while (first < seconds.length && seconds[first] <= stepSeconds) {
      first++;
    }
    double early = passed(seconds, values, first, from + EARLY * (to - from), to > from);
    double late = passed(seconds, values, first, from + LATE * (to - from), to > from);
    double timeConstant = 1.5 * (late - early);
    return new FirstOrder(
        (to - from) / step, timeConstant, Math.max(0, late - timeConstant - stepSeconds));
  }

  /** When the response first passes a level, at a place or later. */
  private static double passed(
      double[] seconds, double[] values, int first, double level, boolean up) {
    for (int i = first; i < values.length; i++) {
      boolean passes =
          up
              ? values[i - 1] < level && values[i] >= level
              : values[i - 1] > level && values[i] <= level;
      if (passes) {
        double share = (level - values[i - 1]) / (values[i] - values[i - 1]);
        return seconds[i - 1] + share * (seconds[i] - seconds[i - 1]);
      }
    }
    throw new IllegalArgumentException("the response never passes " + level);
  }
}

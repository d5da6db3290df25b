package io.github.tidewarden.science;

/**
 * A process of first order with dead time, and the probe that reads it with a lag of first order of
 * its own: {@code lag y' = w - y}. A short feed lifts the water by more than such a probe ever
 * says.
 *
 * @param water the process
 * @param lagSeconds the probe's time constant, 0 to 1e4 s
 */
public record LaggedFirstOrder(FirstOrder water, double lagSeconds) {

  private static final double MAX_LAG_SECONDS = 1e4;

  /** So close to each other two time constants are taken for further apart, as a share. */
  private static final double APART = 1e-5;

  /** Below this an exponential is as good as its series. */
  private static final double STRAIGHT = 1e-4;

  /**
   * Checks the bounds.
   *
   * @throws IllegalArgumentException when the lag is not a number or out of bounds
   */
  public LaggedFirstOrder {
    Bounds.within("lag in s", lagSeconds, 0, MAX_LAG_SECONDS);
  }

  /**
   * How much more the probe reads some time after a step: two lags of first order in a row, {@code
   * K u (1 - (tau exp(-s / tau) - lag exp(-s / lag)) / (tau - lag))} with {@code s} after the dead
   * time. Source: any textbook of process control.
   *
   * @param seconds since the step; before it and within the dead time there is nothing
   * @param step by how much more is fed from then on
   */
  public double reading(double seconds, double step) {
    double after = seconds - water.deadTimeSeconds();
    return after <= 0
        ? 0
        : step * water.ratePerSecond() * shape(after, 1 / water.timeConstantSeconds(), lagSeconds);
  }

  /**
   * The response to a step of one, of a process that rises by one per second at first, s.
   *
   * @param after s since the response began, over 0
   * @param inverse 1/tau, 1/s; may be 0 for a process that never bends, or below
   * @param lag s, not negative
   */
  static double shape(double after, double inverse, double lag) {
    double alone = after * done(inverse * after);
    if (lag == 0) {
      return alone;
    }
    double apart = apart(inverse, lag);
    return (alone - apart * -Math.expm1(-after / apart)) / (1 - inverse * apart);
  }

  /** The derivative of {@link #shape} by time. */
  static double slope(double after, double inverse, double lag) {
    double alone = Math.exp(-inverse * after);
    if (lag == 0) {
      return alone;
    }
    double apart = apart(inverse, lag);
    return (alone - Math.exp(-after / apart)) / (1 - inverse * apart);
  }

  /** The derivative of {@link #shape} by {@code inverse}. */
  static double byInverse(double after, double inverse, double lag) {
    double x = inverse * after;
    double alone = after * after * bend(x);
    if (lag == 0) {
      return alone;
    }
    double apart = apart(inverse, lag);
    return (alone + apart * shape(after, inverse, lag)) / (1 - inverse * apart);
  }

  /** The derivative of (1 - exp(-x)) / x. */
  private static double bend(double x) {
    return Math.abs(x) < STRAIGHT ? -0.5 + x / 3 - x * x / 8 : (Math.exp(-x) - done(x)) / x;
  }

  /** The lag, or one beside it where it is the time constant and the form has no value. */
  private static double apart(double inverse, double lag) {
    return Math.abs(1 - inverse * lag) < APART ? lag * (1 - 2 * APART) : lag;
  }

  /** (1 - exp(-x)) / x; so close to a straight line the exact form loses its digits. */
  static double done(double x) {
    return Math.abs(x) < STRAIGHT ? 1 - x / 2 + x * x / 6 : -Math.expm1(-x) / x;
  }
}

package io.github.tidewarden.science;

/**
 * A process of first order with dead time: nothing happens for the dead time, then what it settles
 * at is approached by 63 % in each time constant. {@code y = K u (1 - exp(-(t - theta) / tau))}
 * after a step {@code u}. Source: any textbook of process control.
 *
 * @param gain K, by how much it settles higher for one unit of what is fed; not zero
 * @param timeConstantSeconds tau, over 0, at most 1e7 s
 * @param deadTimeSeconds theta, 0 to 1e7 s
 */
public record FirstOrder(double gain, double timeConstantSeconds, double deadTimeSeconds) {

  private static final double MAX_SECONDS = 1e7;

  /**
   * Checks the bounds.
   *
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public FirstOrder {
    Bounds.within("size of the gain", Math.abs(gain), Double.MIN_NORMAL, 1e12);
    Bounds.within("time constant in s", timeConstantSeconds, Double.MIN_NORMAL, MAX_SECONDS);
    Bounds.within("dead time in s", deadTimeSeconds, 0, MAX_SECONDS);
  }

  /**
   * How much higher it is some time after a step.
   *
   * @param seconds since the step; before it and within the dead time there is nothing
   * @param step by how much more is fed from then on
   */
  public double response(double seconds, double step) {
    double after = seconds - deadTimeSeconds;
    return after <= 0 ? 0 : gain * step * -Math.expm1(-after / timeConstantSeconds);
  }

  /** How fast it rises at first for one unit of what is fed, in its unit per second. */
  public double ratePerSecond() {
    return gain / timeConstantSeconds;
  }

  /**
   * How far it rises in all when fed for a while only: {@code K u (1 - exp(-d / tau))}, reached a
   * dead time after the feed stops.
   *
   * @param feed what is fed
   * @param seconds for how long, not negative
   */
  public double pulsePeak(double feed, double seconds) {
    return response(deadTimeSeconds + seconds, feed);
  }

  /**
   * How far above what a probe reads now the water will still go when the feed stops now.
   *
   * <p>The water w goes on for the dead time as if nothing had happened, for what is on its way
   * arrives. It rises by w' now, and w' falls off with the time constant, so it gains {@code w' tau
   * (1 - exp(-theta / tau))}: the dead time times the slope, less what the bend takes off. The
   * probe lags: {@code lag y' = w - y}, so the water is {@code lag y'} above the reading already,
   * whatever it does. The sum of both is this. It holds for the water, of which the probe then sees
   * at most as much.
   *
   * <p>What reaches the water must have been fed for a dead time already; of a dose that is
   * shorter, all is still to come: {@link #pulsePeak}.
   *
   * @param readingPerSecond how fast the reading rises, y'
   * @param waterPerSecond how fast the water rises, w'. On a rise that is straight or bends off it
   *     is at most y', so y' is on the safe side. While a rise still steepens, some three lags
   *     long, it is more: then {@link #ratePerSecond} times the feed is on the safe side.
   * @param lagSeconds the probe's own time constant, not negative; 0 where the process was
   *     identified by this very probe and what counts is its reading
   */
  public double riseAfterStop(double readingPerSecond, double waterPerSecond, double lagSeconds) {
    return waterPerSecond
            * timeConstantSeconds
            * -Math.expm1(-deadTimeSeconds / timeConstantSeconds)
        + readingPerSecond * lagSeconds;
  }
}

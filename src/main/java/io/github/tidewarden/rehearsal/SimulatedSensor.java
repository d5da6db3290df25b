package io.github.tidewarden.rehearsal;

import java.util.OptionalDouble;
import java.util.SplittableRandom;

/**
 * One sensor between the truth and its message: offset, noise, resolution, and the faults that can
 * be switched on. The same seed and the same calls give the same reports.
 */
public final class SimulatedSensor {

  private final double ownOffset;
  private final double noise;
  private final double step;
  private final double low;
  private final SplittableRandom random;
  private double addedOffset;
  private double noisier = 1;
  private double answers = 1;
  private double seen = Double.NaN;
  private boolean silent;
  private boolean frozen;
  private double last = Double.NaN;
  private double fixed = Double.NaN;

  /**
   * A sensor without a fault.
   *
   * @param offset how far it reads from the truth
   * @param noise standard deviation of its noise, not negative
   * @param step resolution of its report, positive
   * @param low it never reports less than this
   * @param seed of its noise
   */
  public SimulatedSensor(double offset, double noise, double step, double low, long seed) {
    this.ownOffset = offset;
    this.noise = noise;
    this.step = step;
    this.low = low;
    this.random = new SplittableRandom(seed);
  }

  /** Says nothing from now on, or speaks again. */
  public void silent(boolean on) {
    silent = on;
  }

  /** Repeats its last report from now on, noise and all, or follows the truth again. */
  public void frozen(boolean on) {
    frozen = on;
  }

  /** Reads this much more than it did when sound; 0 for sound again. */
  public void offset(double added) {
    addedOffset = added;
  }

  /** Its noise is this many times as large; 1 for sound again. */
  public void noisier(double times) {
    noisier = times;
  }

  /**
   * From one report to the next it goes only this share of the way to what it should say: fouled. 1
   * for sound again.
   */
  public void fouled(double share) {
    answers = share;
  }

  /** Reports exactly this from now on, whatever the truth; NaN to follow the truth again. */
  public void reads(double value) {
    fixed = value;
  }

  /** Standard deviation of its noise. */
  double noise() {
    return noise;
  }

  /** What it would report of the true value but for its noise; empty while it has a fault. */
  OptionalDouble shows(double truth) {
    boolean sound = !frozen && addedOffset == 0 && noisier == 1 && answers == 1;
    return sound && Double.isNaN(fixed)
        ? OptionalDouble.of(Math.max(low, truth + ownOffset))
        : OptionalDouble.empty();
  }

  /** What it reports of the true value; empty while silent. */
  OptionalDouble report(double truth) {
    // Drawn even when unused, so that a fault does not change the noise of what comes after it.
    double drawn = noisier * noise * random.nextGaussian();
    seen = Double.isNaN(seen) ? truth : seen + answers * (truth - seen);
    if (!frozen || Double.isNaN(last)) {
      double raw = seen + ownOffset + addedOffset + drawn;
      last = Double.isNaN(fixed) ? Math.max(low, Math.rint(raw / step) * step) : fixed;
    }
    return silent ? OptionalDouble.empty() : OptionalDouble.of(last);
  }
}

package io.github.tidewarden.sensing;

import io.github.tidewarden.quantity.Moment;
import java.time.Duration;
import java.util.Arrays;
import java.util.Locale;

/**
 * The last minutes of one redox probe, for whether it has come to rest in a check solution.
 * Immutable. A signal that is not good begins it anew, so nothing is told across a gap.
 *
 * <p>What it takes for settled is our choice and no standard's: a probe that still nears its end
 * value with a time constant of two minutes is then 2 mV short of it.
 */
public final class Settling {

  /** Nothing heard. */
  public static final Settling NOTHING = new Settling(new long[0], new double[0]);

  /** How long a probe must have stood still at least. */
  public static final Duration LEAST = Duration.ofMinutes(2);

  /** Most that a settled probe moves, mV/min either way. */
  public static final double MOST_PER_MINUTE = 1;

  /** Most noise of a settled probe, mV as a standard deviation. */
  public static final double MOST_NOISE = 3;

  /** Most between the highest and the lowest reading of a settled probe, mV. */
  public static final double MOST_MOVED = 15;

  /** From the median absolute deviation to the standard deviation of normal noise. */
  private static final double NORMAL = 1.4826;

  /** Fewest readings of which anything is told. */
  static final int FEWEST = 5;

  private static final long KEPT_NANOS = LEAST.plusSeconds(30).toNanos();
  private static final long SHORTEST_STEP_NANOS = Duration.ofSeconds(2).toNanos();
  private static final double NANOS_PER_MINUTE = 60e9;

  /** When each reading arrived, monotonic, in order. */
  private final long[] monoNanos;

  private final double[] millivolts;

  private Settling(long[] monoNanos, double[] millivolts) {
    this.monoNanos = monoNanos;
    this.millivolts = millivolts;
  }

  /**
   * What a probe comes to.
   *
   * @param millivolts the median of its last minutes; NaN where the flaw leaves none
   * @param flaw why it is not settled, and what to do, in the keeper's words; empty when it is
   */
  public record Verdict(double millivolts, String flaw) {
    /** Whether the value may be taken. */
    public boolean settled() {
      return flaw.isEmpty();
    }
  }

  /**
   * With what the probe says now; readings that follow each other faster than every 2 s are
   * thinned, so that never more than 76 are kept.
   */
  public Settling with(Signal probe, Moment now) {
    if (!probe.good() || !Double.isFinite(probe.value())) {
      return NOTHING;
    }
    long arrived = now.monoNanos() - probe.ageNanos();
    int size = millivolts.length;
    if (size > 0 && arrived - monoNanos[size - 1] < SHORTEST_STEP_NANOS) {
      return this;
    }
    int from = 0;
    while (from < size && arrived - monoNanos[from] > KEPT_NANOS) {
      from++;
    }
    long[] times = Arrays.copyOfRange(monoNanos, from, size + 1);
    double[] kept = Arrays.copyOfRange(millivolts, from, size + 1);
    times[size - from] = arrived;
    kept[size - from] = probe.value();
    return new Settling(times, kept);
  }

  /** Whether the probe has come to rest by now, and where. */
  public Verdict verdict(Moment now) {
    int size = millivolts.length;
    if (size == 0 || now.since(monoNanos[0]) < LEAST.toNanos() || size < FEWEST) {
      return new Verdict(
          Double.NaN,
          "it has not been heard for 2 min without a gap, with 5 readings at least; leave it in the"
              + " solution, and see that it reports every 30 s");
    }
    double value = Robust.median(millivolts);
    double slope = Robust.slope(minutes(), millivolts);
    if (!(Math.abs(slope) <= MOST_PER_MINUTE)) {
      return new Verdict(
          value,
          "it still moves by "
              + figure(slope)
              + " mV a minute, and 1 is the most; leave it in the solution for longer, and stir it"
              + " gently");
    }
    double moved = moved();
    if (!(moved <= MOST_MOVED)) {
      return new Verdict(
          value,
          "it moved by "
              + figure(moved)
              + " mV in the last minutes, and 15 is the most; leave it in the solution for longer");
    }
    // What goes to and fro with each reading is no noise to its neighbours' differences.
    double noise =
        Math.max(Robust.noise(millivolts), NORMAL * Robust.medianAbsoluteDeviation(millivolts));
    if (!(noise <= MOST_NOISE)) {
      return new Verdict(
          value,
          "it is noisy, "
              + figure(noise)
              + " mV, and 3 is the most; check its plug and cable, and that nothing else stands in"
              + " the solution");
    }
    return new Verdict(value, "");
  }

  /**
   * Between the highest and the lowest, single spikes left out. A slope that no wild reading spoils
   * does not see a step either.
   */
  private double moved() {
    double highest = Double.NEGATIVE_INFINITY;
    double lowest = Double.POSITIVE_INFINITY;
    for (int i = 2; i < millivolts.length; i++) {
      double middle = Robust.median(Arrays.copyOfRange(millivolts, i - 2, i + 1));
      highest = Math.max(highest, middle);
      lowest = Math.min(lowest, middle);
    }
    return highest - lowest;
  }

  private double[] minutes() {
    double[] minutes = new double[monoNanos.length];
    for (int i = 0; i < minutes.length; i++) {
      minutes[i] = (monoNanos[i] - monoNanos[0]) / NANOS_PER_MINUTE;
    }
    return minutes;
  }

  private static String figure(double value) {
    return String.format(Locale.ROOT, "%.1f", value);
  }
}

package io.github.tidewarden.sensing;

import io.github.tidewarden.quantity.Moment;
import java.time.Duration;
import java.util.Arrays;
import org.jspecify.annotations.Nullable;

/**
 * The last two minutes of one signal, for what a single noisy reading cannot tell: its mean,
 * whether it stands still, and how fast it moves. Immutable. A signal that is not good begins it
 * anew, so nothing is told across a gap.
 */
public final class Trend {

  /** Nothing heard. */
  public static final Trend EMPTY = new Trend(new long[0], new double[0]);

  /** How far back it looks. */
  public static final Duration KEPT = Duration.ofMinutes(2);

  /** Two means over this span each are compared to tell whether the signal stands still. */
  static final Duration HALF = Duration.ofSeconds(30);

  /** Readings that follow each other faster are thinned, so never more than 241 are kept. */
  static final Duration SHORTEST_STEP = Duration.ofMillis(500);

  /** Fewest readings of which anything is told. */
  static final int FEWEST = 3;

  private static final double NANOS_PER_MINUTE = 60e9;

  /** When each reading arrived, monotonic, in order. */
  private final long[] monoNanos;

  private final double[] values;

  private Trend(long[] monoNanos, double[] values) {
    this.monoNanos = monoNanos;
    this.values = values;
  }

  /** With what the signal says now; the same reading again changes nothing. */
  public Trend with(Signal signal, Moment now) {
    if (!signal.good() || !Double.isFinite(signal.value())) {
      return EMPTY;
    }
    long arrived = now.monoNanos() - signal.ageNanos();
    int size = values.length;
    if (size > 0 && arrived - monoNanos[size - 1] < SHORTEST_STEP.toNanos()) {
      return this;
    }
    int from = first(KEPT.toNanos(), now);
    long[] times = Arrays.copyOfRange(monoNanos, from, size + 1);
    double[] kept = Arrays.copyOfRange(values, from, size + 1);
    times[size - from] = arrived;
    kept[size - from] = signal.value();
    return new Trend(times, kept);
  }

  /** How many readings it holds. */
  int size() {
    return values.length;
  }

  /**
   * The mean over the {@code span} before now, in the signal's unit; NaN when fewer than three
   * readings came in it.
   */
  public double mean(Duration span, Moment now) {
    return mean(first(span.toNanos(), now), values.length);
  }

  /**
   * What a slow signal says at rest, in its unit: its mean over the last two minutes, or its last
   * word where they hold too little; NaN for one that is not good, or is none.
   */
  public double settled(@Nullable Signal signal, Moment now) {
    if (signal == null || !signal.good()) {
      return Double.NaN;
    }
    double mean = mean(KEPT, now);
    return Double.isFinite(mean) ? mean : signal.value();
  }

  /**
   * Whether the mean of the last half minute differs from that of the half minute before by less
   * than {@code tolerance}, in the signal's unit. False when there are too few readings to tell.
   */
  public boolean steady(double tolerance, Moment now) {
    int late = first(HALF.toNanos(), now);
    int early = first(2 * HALF.toNanos(), now);
    return Math.abs(mean(late, values.length) - mean(early, late)) < tolerance;
  }

  /**
   * Whether every reading of the last two minutes is the same to the last digit. False when there
   * are too few to tell.
   */
  public boolean frozen(Moment now) {
    int from = first(KEPT.toNanos(), now);
    if (!fillsTheSpan(from, now)) {
      return false;
    }
    for (int i = from; i < values.length; i++) {
      if (values[i] != values[from]) {
        return false;
      }
    }
    return true;
  }

  /**
   * How fast the signal moves, in its unit per minute: the slope of a least-squares line over the
   * last two minutes. NaN when they are not filled with readings.
   */
  public double perMinute(Moment now) {
    int from = first(KEPT.toNanos(), now);
    return fillsTheSpan(from, now)
        ? slope(minutes(from, now), Arrays.copyOfRange(values, from, values.length))
        : Double.NaN;
  }

  /**
   * How far {@link #perMinute} is off by chance, as a standard deviation in the signal's unit per
   * minute, when each reading is off by {@code readingDeviation}. NaN when it is.
   */
  public double perMinuteDeviation(double readingDeviation, Moment now) {
    int from = first(KEPT.toNanos(), now);
    return fillsTheSpan(from, now)
        ? readingDeviation / Math.sqrt(squares(minutes(from, now)))
        : Double.NaN;
  }

  /**
   * By how much the signal has moved from each third of the last two minutes to the next at least,
   * in its unit, when it went one way in both: from the median of each, so that what lasts for less
   * than half a third is in one of them at most. 0 when it went to and fro, negative for a fall.
   * NaN when there are too few readings to tell.
   */
  public double movedThroughout(Moment now) {
    if (!fillsTheSpan(first(KEPT.toNanos(), now), now)) {
      return Double.NaN;
    }
    double late = median(0, now);
    double middle = median(1, now);
    double early = median(2, now);
    double one = middle - early;
    double other = late - middle;
    return one * other > 0
        ? Math.copySign(Math.min(Math.abs(one), Math.abs(other)), one)
        : 0 * one * other;
  }

  /** Of one third of what is kept, from the last one on; NaN for an empty one. */
  private double median(int thirdsAgo, Moment now) {
    long third = KEPT.toNanos() / 3;
    int from = first((thirdsAgo + 1) * third, now);
    int to = thirdsAgo == 0 ? values.length : first(thirdsAgo * third, now);
    return to > from ? Robust.median(Arrays.copyOfRange(values, from, to)) : Double.NaN;
  }

  /** The slope of the least-squares line through the points (x, y). */
  static double slope(double[] x, double[] y) {
    double meanX = mean(x, 0, x.length);
    double meanY = mean(y, 0, y.length);
    double products = 0;
    for (int i = 0; i < x.length; i++) {
      products += (x[i] - meanX) * (y[i] - meanY);
    }
    return products / squares(x);
  }

  /** The sum of the squares of what each differs from their mean. */
  private static double squares(double[] x) {
    double mean = mean(x, 0, x.length);
    double squares = 0;
    for (double each : x) {
      squares += (each - mean) * (each - mean);
    }
    return squares;
  }

  private static double mean(double[] of, int from, int to) {
    double sum = 0;
    for (int i = from; i < to; i++) {
      sum += of[i];
    }
    return sum / (to - from);
  }

  private double mean(int from, int to) {
    return to - from < FEWEST ? Double.NaN : mean(values, from, to);
  }

  private boolean fillsTheSpan(int from, Moment now) {
    return values.length - from >= FEWEST
        && now.since(monoNanos[from]) >= KEPT.minus(HALF).toNanos();
  }

  /** The first reading that is at most so old. */
  private int first(long ageNanos, Moment now) {
    int first = 0;
    while (first < values.length && now.since(monoNanos[first]) > ageNanos) {
      first++;
    }
    return first;
  }

  private double[] minutes(int from, Moment now) {
    double[] minutes = new double[values.length - from];
    for (int i = 0; i < minutes.length; i++) {
      minutes[i] = -now.since(monoNanos[from + i]) / NANOS_PER_MINUTE;
    }
    return minutes;
  }
}

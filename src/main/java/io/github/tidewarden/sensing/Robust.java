package io.github.tidewarden.sensing;

import java.util.Arrays;

/**
 * Statistics of a few readings that one wild reading among them cannot spoil. The mean and the
 * standard deviation can: of n readings none is more than {@code (n - 1) / sqrt(n)} standard
 * deviations off the mean, so that three of them never flag anything among ten or fewer.
 */
public final class Robust {
  private Robust() {}

  /** Most readings at once: the slope looks at each pair of them. */
  public static final int MOST = 300;

  /** From the median absolute deviation to the standard deviation of normal noise: 1 / 0.6745. */
  private static final double NORMAL = 1.4826;

  /** So many standard deviations off is a spike. Source: Iglewicz and Hoaglin (1993). */
  private static final double SPIKE = 3.5;

  /**
   * The middle value, or the mean of the two middle ones.
   *
   * @param values 1 to {@value #MOST}, in any order, left as they are
   * @throws IllegalArgumentException when there are none or too many, or one is not a number
   */
  public static double median(double[] values) {
    return middle(check(values).clone());
  }

  /**
   * The median of how far each is off the median: half are nearer. 0 when more than half are the
   * same, as of a transmitter that tells whole steps.
   *
   * @param values 1 to {@value #MOST}
   * @throws IllegalArgumentException when there are none or too many, or one is not a number
   */
  public static double medianAbsoluteDeviation(double[] values) {
    double median = median(values);
    double[] off = new double[values.length];
    for (int i = 0; i < off.length; i++) {
      off[i] = Math.abs(values[i] - median);
    }
    return middle(off);
  }

  /**
   * Whether a value is a spike among these: 3.5 standard deviations off their median, which is
   * taken from the median absolute deviation (Hampel's test). While fewer than half are spikes they
   * do not hide each other. A true step of the signal is one too, until half of the readings are
   * past it.
   *
   * @param value a reading, usually one of them
   * @param values 3 to {@value #MOST}
   * @param floor the least standard deviation to believe in, over 0, in the unit of the values:
   *     that of the sensor's steps and known noise. Without it nothing but the median itself would
   *     pass among readings that are the same.
   * @throws IllegalArgumentException when there are too few or too many, one is not a number, or
   *     the floor is not over 0
   */
  public static boolean spike(double value, double[] values, double floor) {
    if (!(floor > 0)) {
      throw new IllegalArgumentException("the floor is " + floor + "; must be over 0");
    }
    if (values.length < 3) {
      throw new IllegalArgumentException(values.length + " readings tell no spike; at least 3");
    }
    double deviation = Math.max(floor, NORMAL * medianAbsoluteDeviation(values));
    // Written so that a value that is not a number is a spike.
    return !(Math.abs(value - median(values)) <= SPIKE * deviation);
  }

  /**
   * The standard deviation of the noise on a signal that moves slowly: from how far neighbours
   * differ, so that neither a slope nor a spike counts. Of a sensor whose steps are larger than its
   * noise it says 0.
   *
   * @param values 3 to {@value #MOST}, in the order in which they were taken, evenly
   * @throws IllegalArgumentException when there are too few or too many, or one is not a number
   */
  public static double noise(double[] values) {
    if (check(values).length < 3) {
      throw new IllegalArgumentException(values.length + " readings tell no noise; at least 3");
    }
    double[] differences = new double[values.length - 1];
    for (int i = 0; i < differences.length; i++) {
      differences[i] = values[i + 1] - values[i];
    }
    // The median difference is what the slope makes; two noises make a difference.
    return NORMAL * medianAbsoluteDeviation(differences) / Math.sqrt(2);
  }

  /**
   * The slope by Theil and Sen: the median of the slopes of all pairs. Of normal noise it is nearly
   * as good as least squares, and up to 29 % of the readings may be wild.
   *
   * @param x where each was taken; pairs at the same place tell nothing and are left out
   * @param y 2 to {@value #MOST} readings, as many
   * @return in the unit of y per unit of x
   * @throws IllegalArgumentException when there are too many or not as many, one is not a number,
   *     or all are at one place
   */
  public static double slope(double[] x, double[] y) {
    if (check(x).length != check(y).length) {
      throw new IllegalArgumentException(x.length + " places of " + y.length + " readings");
    }
    double[] slopes = new double[x.length * (x.length - 1) / 2];
    int count = 0;
    for (int i = 0; i < x.length; i++) {
      for (int j = 0; j < i; j++) {
        if (x[i] != x[j]) {
          slopes[count++] = (y[i] - y[j]) / (x[i] - x[j]);
        }
      }
    }
    if (count == 0) {
      throw new IllegalArgumentException("readings of one place have no slope");
    }
    return middle(Arrays.copyOf(slopes, count));
  }

  private static double[] check(double[] values) {
    if (values.length == 0 || values.length > MOST) {
      throw new IllegalArgumentException(values.length + " values; must be 1 to " + MOST);
    }
    for (double value : values) {
      if (!Double.isFinite(value)) {
        throw new IllegalArgumentException("a value is " + value);
      }
    }
    return values;
  }

  /** Sorts what it is given. */
  private static double middle(double[] values) {
    Arrays.sort(values);
    int half = values.length / 2;
    return values.length % 2 == 1 ? values[half] : (values[half - 1] + values[half]) / 2;
  }
}

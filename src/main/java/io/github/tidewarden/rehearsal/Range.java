package io.github.tidewarden.rehearsal;

/**
 * The least and the most of one figure, and their mean.
 *
 * @param least NaN for nothing taken
 * @param most NaN for nothing taken
 * @param sum of all that was taken
 * @param count how often something was taken
 */
public record Range(double least, double most, double sum, long count) {

  /** Nothing taken. */
  static final Range NOTHING = new Range(Double.NaN, Double.NaN, 0, 0);

  /** With one more value. */
  Range with(double value) {
    return count == 0
        ? new Range(value, value, value, 1)
        : new Range(Math.min(least, value), Math.max(most, value), sum + value, count + 1);
  }

  /** With all that another took. */
  Range with(Range other) {
    return count == 0
        ? other
        : other.count == 0
            ? this
            : new Range(
                Math.min(least, other.least),
                Math.max(most, other.most),
                sum + other.sum,
                count + other.count);
  }

  /** The mean of all that was taken; NaN for nothing. */
  public double mean() {
    return count == 0 ? Double.NaN : sum / count;
  }
}

package io.github.tidewarden.science;

/** A published table of values at even steps, with a straight line from one to the next. */
final class EvenTable {
  private final double first;
  private final double step;
  private final double[] values;

  /** Values at {@code first}, {@code first + step} and so on, two or more. */
  EvenTable(double first, double step, double... values) {
    this.first = first;
    this.step = step;
    this.values = values.clone();
  }

  double first() {
    return first;
  }

  double last() {
    return first + step * (values.length - 1);
  }

  /**
   * The value at a place in the table.
   *
   * @throws IllegalArgumentException when the place is not a number or out of the table
   */
  double at(String name, double place) {
    Bounds.within(name, place, first, last());
    double steps = (place - first) / step;
    int below = Math.min((int) steps, values.length - 2);
    return values[below] + (steps - below) * (values[below + 1] - values[below]);
  }
}

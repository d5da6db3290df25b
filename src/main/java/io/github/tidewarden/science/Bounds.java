package io.github.tidewarden.science;

/** Refuses what a formula does not hold for. */
final class Bounds {
  private Bounds() {}

  /**
   * The value itself when it lies in {@code [low, high]}.
   *
   * @throws IllegalArgumentException when it does not, or is not a number
   */
  static double within(String name, double value, double low, double high) {
    if (!(value >= low && value <= high)) {
      throw new IllegalArgumentException(
          name + " is " + value + "; must be from " + low + " to " + high);
    }
    return value;
  }
}

package io.github.tidewarden.science;

/** A polynomial, as the oceanographers' formulas are printed: lowest power first. */
final class Polynomial {
  private Polynomial() {}

  /** {@code c0 + c1 x + c2 x^2 + ...}. */
  static double at(double x, double... coefficients) {
    double sum = 0;
    for (int power = coefficients.length - 1; power >= 0; power--) {
      sum = sum * x + coefficients[power];
    }
    return sum;
  }
}

package io.github.tidewarden.config;

import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.quantity.UnitCode;

/**
 * What a value must lie within.
 *
 * @param unit the unit in which the core has the value
 * @param low the least
 * @param lowAllowed whether the least itself is allowed
 * @param high the most, itself allowed
 */
record Limits(UnitCode unit, double low, boolean lowAllowed, double high) {

  /** Over zero and at most {@code high}. */
  static Limits positive(UnitCode unit, double high) {
    return new Limits(unit, 0, false, high);
  }

  /** Over zero. */
  static Limits positive(UnitCode unit) {
    return positive(unit, Double.MAX_VALUE);
  }

  /** From {@code low} to {@code high}, both allowed. */
  static Limits between(UnitCode unit, double low, double high) {
    return new Limits(unit, low, true, high);
  }

  /** Any number of the right dimension. */
  static Limits any(UnitCode unit) {
    return between(unit, -Double.MAX_VALUE, Double.MAX_VALUE);
  }

  boolean allow(double value) {
    return value <= high && (lowAllowed ? value >= low : value > low);
  }

  /** The highest value as it is written. */
  String highest() {
    return told(high);
  }

  private String told(double value) {
    return unit == UnitCode.SECONDS
        ? Figures.span((long) (value * 1e9))
        : Figures.brief(value, unit);
  }

  /** "over 0 mV and at most 450 mV". */
  String words() {
    String least = (lowAllowed ? "at least " : "over ") + told(low);
    if (high == Double.MAX_VALUE) {
      return least;
    }
    return least + " and at most " + told(high);
  }
}

package io.github.tidewarden.sensing;

import io.github.tidewarden.quantity.Figures;
import java.math.BigDecimal;
import java.util.concurrent.TimeUnit;

/**
 * What a sensor measures. Each constant carries the unit used inside the core, whether the payload
 * is a number or a contact state, and the defaults; those that guard ozone stand in SAFETY.md.
 */
public enum Measure {
  /** Oxidation-reduction potential against the tank's declared reference electrode. */
  REDOX("redox", "mV", false, 60, 50, 700, 1),
  /** Air through the foam skimmer. */
  AIR_FLOW("air-flow", "L/min", false, 30, 0, 1000, 2),
  /** A contact: 1 when the return pump (or what it watches) runs. */
  RUNNING("running", "", true, 30, 0, 1, 0),
  /** Water level above the sensor's own zero. */
  LEVEL("level", "mm", false, 30, 0, 5000, 1),
  /** Practical salinity. */
  SALINITY("salinity", "PSU", false, 300, 0, 50, 2),
  /** Volume left in a bin. */
  VOLUME("volume", "L", false, 300, 0, 100_000, 2),
  /** A contact: 1 when the floor is wet. */
  LEAK("leak", "", true, 600, 0, 1, 0),
  /** A contact: 1 when what takes up waste water is full. */
  FULL("full", "", true, 600, 0, 1, 0),
  /** Ozone in the air that people breathe, by volume. */
  OZONE_IN_AIR("ozone-in-air", "ppb", false, 60, 0, 10_000, 1),
  /** Water temperature. */
  TEMPERATURE("temperature", "Cel", false, 60, 0, 45, 2);

  private final String word;
  private final String unit;
  private final boolean contact;
  private final long staleNanos;
  private final double plausibleLow;
  private final double plausibleHigh;
  private final int decimals;

  Measure(
      String word,
      String unit,
      boolean contact,
      long staleSeconds,
      double plausibleLow,
      double plausibleHigh,
      int decimals) {
    this.word = word;
    this.unit = unit;
    this.contact = contact;
    this.staleNanos = TimeUnit.SECONDS.toNanos(staleSeconds);
    this.plausibleLow = plausibleLow;
    this.plausibleHigh = plausibleHigh;
    this.decimals = decimals;
  }

  /** The word a configuration uses, such as {@code air-flow}. */
  public String word() {
    return word;
  }

  /** The UCUM (or trade) code of the unit used inside the core; empty for a contact. */
  public String unit() {
    return unit;
  }

  /** Whether the payload is one of two texts rather than a number. */
  public boolean contact() {
    return contact;
  }

  /** Default age in nanoseconds after which a reading is stale. */
  public long staleNanos() {
    return staleNanos;
  }

  /** Default lowest believable value, in {@link #unit()}. */
  public double plausibleLow() {
    return plausibleLow;
  }

  /** Default highest believable value, in {@link #unit()}. */
  public double plausibleHigh() {
    return plausibleHigh;
  }

  /** Decimals with which a value is written in records and pages. */
  public int decimals() {
    return decimals;
  }

  /**
   * A value with the fixed decimals of this measure, as written in records.
   *
   * @throws NumberFormatException when the value is not finite
   */
  public BigDecimal figure(double value) {
    return Figures.decimal(value, decimals);
  }

  /** A value as a person reads it: {@code 352.1 mV}, {@code wet}, {@code stopped}. */
  public String told(double value) {
    if (!Double.isFinite(value)) {
      return "unknown";
    }
    return switch (this) {
      case RUNNING -> value != 0 ? "running" : "stopped";
      case LEAK -> value != 0 ? "wet" : "dry";
      case FULL -> value != 0 ? "full" : "empty";
      case TEMPERATURE -> figure(value).toPlainString() + " °C";
      default -> figure(value).toPlainString() + " " + unit;
    };
  }
}

package io.github.tidewarden.config;

import io.github.tidewarden.quantity.UnitCode;
import io.github.tidewarden.sensing.Measure;

/** A figure of a simulated sensor, by its key in a tank model. */
public enum SensorFigure {
  /** How far it reads from the truth, in the core's unit of what it measures. */
  OFFSET("offset"),
  /** Standard deviation of its noise, in the same. */
  NOISE("noise"),
  /** Resolution of what it says, in the same. */
  STEP("step"),
  /** Until it has followed 63 % of a change, s. */
  LAG("lag"),
  /** By how much fouling lengthens its lag in a day, s. */
  FOULING_PER_DAY("fouling-per-day"),
  /** How often it is cleaned, s. */
  CLEANED_EVERY("cleaned-every");

  private static final double DAY_SECONDS = 86_400;

  private final String key;

  SensorFigure(String key) {
    this.key = key;
  }

  /** The key, such as {@code fouling-per-day}. */
  public String key() {
    return key;
  }

  /** What it must lie within for a sensor of this measure, which is no contact. */
  Limits limits(Measure measure) {
    UnitCode unit = UnitCode.of(measure.unit()).orElseThrow();
    double most = measure.plausibleHigh();
    return switch (this) {
      case OFFSET -> Limits.between(unit, -most, most);
      case NOISE -> Limits.between(unit, 0, most);
      case STEP -> Limits.positive(unit, most);
      case LAG -> Limits.between(UnitCode.SECONDS, 0, 3600);
      case FOULING_PER_DAY -> Limits.between(UnitCode.SECONDS, 0, 3600);
      case CLEANED_EVERY -> Limits.between(UnitCode.SECONDS, DAY_SECONDS, 1000 * DAY_SECONDS);
    };
  }
}

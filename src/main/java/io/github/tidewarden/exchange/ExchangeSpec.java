package io.github.tidewarden.exchange;

import io.github.tidewarden.schedule.WindowSpec;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * What water of a tank may be exchanged, and how. Built and checked by {@code config}.
 *
 * @param kind how out and in follow each other
 * @param litresPerDay most that may be exchanged in one night (noon to noon), L, positive
 * @param portionLitres one out-and-in step, L, positive
 * @param windows when a portion may begin; never empty
 * @param drain the pump that takes water out
 * @param fill the pump that brings new water in
 * @param level by what the water is measured; null for a tank without a level sensor
 * @param bin the bin of new water
 * @param evaporationLitresPerDay what evaporates from the tank, L/d, not negative
 * @param imbalanceLitres most that out and in may differ, L, positive
 * @param whileOzone whether a portion and a dose of ozone may go together
 * @param salinitySensor the sensor of the tank's salinity; null for a tank without
 * @param temperatureSensor the sensor of the tank's temperature; null for a tank without
 * @param shares names of the equipment that other tanks use too; one exchange at a time on each
 */
public record ExchangeSpec(
    Kind kind,
    double litresPerDay,
    double portionLitres,
    List<WindowSpec> windows,
    Pump drain,
    Pump fill,
    @Nullable Level level,
    Bin bin,
    double evaporationLitresPerDay,
    double imbalanceLitres,
    boolean whileOzone,
    @Nullable String salinitySensor,
    @Nullable String temperatureSensor,
    List<String> shares) {

  /** How out and in follow each other. */
  public enum Kind {
    /** A portion out, then the same portion in. */
    PORTIONS,
    /** Two equal pump heads, out and in at once, slowly. */
    PAIRED
  }

  /**
   * A pump.
   *
   * @param name of its actuator
   * @param litresPerMinute what it moves, L/min, positive
   */
  public record Pump(String name, double litresPerMinute) {}

  /**
   * The level by which the water is measured.
   *
   * @param sensor its name
   * @param litresPerMillimetre water in one millimetre of it, L/mm, positive
   * @param lowMillimetres at or under this is too low, mm
   * @param highMillimetres at or over this is too high, mm
   */
  public record Level(
      String sensor, double litresPerMillimetre, double lowMillimetres, double highMillimetres) {}

  /**
   * The bin of new water.
   *
   * @param name the tank's, or that of the shared equipment that it is a part of
   * @param holdsLitres when full, L
   * @param salinityPsu practical salinity of the water mixed in it
   * @param saltFactor salt mix that gives as much as one of dry sea salt by mass, 1 to 2; 1 for dry
   *     salt
   * @param mixNanos how long new water must have been mixing before it is used, ns, not negative
   * @param volumeSensor the sensor of what is left in it; null for none
   * @param salinitySensor the sensor of its salinity; null for none
   * @param temperatureSensor the sensor of its temperature; null for none
   */
  public record Bin(
      String name,
      double holdsLitres,
      double salinityPsu,
      double saltFactor,
      long mixNanos,
      @Nullable String volumeSensor,
      @Nullable String salinitySensor,
      @Nullable String temperatureSensor) {}

  /** Copies the lists. */
  public ExchangeSpec {
    windows = List.copyOf(windows);
    shares = List.copyOf(shares);
  }

  /** What a portion is measured by, µL/mm; {@link Portion#UNMEASURED} without a level. */
  public long microlitresPerMillimetre() {
    return level == null ? Portion.UNMEASURED : Math.round(level.litresPerMillimetre() * 1e6);
  }
}

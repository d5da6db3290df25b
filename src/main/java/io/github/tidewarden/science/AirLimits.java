package io.github.tidewarden.science;

/**
 * Published limits for ozone in air that people breathe, as printed by their source. They differ in
 * averaging time and in whom they protect, so none replaces another.
 */
public final class AirLimits {
  private AirLimits() {}

  /** Workers, 8 h average, ppb. Source: OSHA PEL, 29 CFR 1910.1000 table Z-1 (0.1 ppm). */
  public static final double OSHA_8_H_PPB = 100;

  /** Workers, never to be passed, ppb. Source: NIOSH REL, ceiling (0.1 ppm). */
  public static final double NIOSH_CEILING_PPB = 100;

  /** Immediately dangerous to life or health, ppb. Source: NIOSH IDLH of 1994 (5 ppm). */
  public static final double NIOSH_IDLH_PPB = 5000;

  /**
   * Rooms that people occupy, accumulated from a device, ppb by volume at 25 degC and 760 mmHg.
   * Source: FDA, 21 CFR 801.415(c)(1) (0.05 ppm).
   */
  public static final double FDA_DEVICE_PPB = 50;

  /** Everybody, 8 h, ug/m3. Source: WHO global air quality guidelines 2021, 99th percentile. */
  public static final double WHO_8_H_MICROGRAMS_PER_CUBIC_METRE = 100;

  /** Everybody, peak season, ug/m3. Source: WHO global air quality guidelines 2021. */
  public static final double WHO_PEAK_SEASON_MICROGRAMS_PER_CUBIC_METRE = 60;
}

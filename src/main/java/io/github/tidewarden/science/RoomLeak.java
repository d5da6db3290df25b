package io.github.tidewarden.science;

/**
 * All of a generator's ozone let into a room that was free of it, with no credit for what decays on
 * walls and furniture: the safe case of {@link RoomAir}. Only air from outdoors, taken as free of
 * ozone, thins it. Parts by volume are at 25 degC and 1 atm. Air near the leak holds more than the
 * mix.
 *
 * @param volumeCubicMetres the room's air, 1 to 100,000 m3
 * @param airChangesPerHour outdoor air that comes in, room volumes an hour, 0 to 100
 */
public record RoomLeak(double volumeCubicMetres, double airChangesPerHour) {

  private static final double CELSIUS = 25;
  private static final double MAX_MILLIGRAMS_PER_HOUR = 1e6;

  /**
   * Checks the bounds.
   *
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public RoomLeak {
    Bounds.within("room volume in m3", volumeCubicMetres, 1, 100_000);
    Bounds.within("air changes per hour", airChangesPerHour, 0, 100);
  }

  /**
   * Hours until the room holds as much as a limit: {@code -ln(1 - a V L / G) / a}, and {@code V L /
   * G} with no air change. Infinite when it never does, which is also when it only comes ever
   * closer.
   *
   * @param limitPpb over 0, at most 1e6 ppb: 50 and 100 are the usual ones, see {@link AirLimits}
   * @param milligramsPerHour ozone let in, 0 to 1e6 mg/h
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public double hoursUntil(double limitPpb, double milligramsPerHour) {
    double milligrams = limitMilligrams(limitPpb);
    Bounds.within("ozone let in, in mg/h", milligramsPerHour, 0, MAX_MILLIGRAMS_PER_HOUR);
    double lost = airChangesPerHour * milligrams;
    if (lost >= milligramsPerHour) {
      return Double.POSITIVE_INFINITY;
    }
    return airChangesPerHour > 0
        ? -Math.log1p(-lost / milligramsPerHour) / airChangesPerHour
        : milligrams / milligramsPerHour;
  }

  /**
   * The largest generator, mg/h, that cannot take the room over a limit however long all of it
   * leaks: {@code a V L}. None, with no air change.
   *
   * @param limitPpb over 0, at most 1e6 ppb
   * @throws IllegalArgumentException when the limit is not a number or out of bounds
   */
  public double largestMilligramsPerHour(double limitPpb) {
    return airChangesPerHour * limitMilligrams(limitPpb);
  }

  /** What the whole room holds at a limit, mg. */
  private double limitMilligrams(double limitPpb) {
    Bounds.within("limit in ppb", limitPpb, Double.MIN_NORMAL, 1e6);
    return volumeCubicMetres
        * OzoneUnits.milligramsPerCubicMetre(limitPpb, CELSIUS, Gas.ATMOSPHERE_PASCALS);
  }
}

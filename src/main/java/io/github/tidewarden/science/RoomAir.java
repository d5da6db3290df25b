package io.github.tidewarden.science;

/**
 * Ozone in the air of a room taken as one well-mixed box: {@code V dC/dt = G + a V Cout - (a + k) V
 * C}. Source: the textbook mass balance of indoor air; its solution is {@code C = Css + (C0 - Css)
 * exp(-(a + k) t)} with {@code Css = (a Cout + G/V) / (a + k)}. Air near the source holds more than
 * the mix, so the figure is no proof of safety.
 *
 * @param volumeCubicMetres the room's air, 1 to 100,000 m3
 * @param airChangesPerHour outdoor air that comes in, room volumes an hour, 0 to 100
 * @param decayPerHour loss of ozone on surfaces and in reactions, 1/h, 0 to 100; 2.8 +- 1.3 was
 *     measured in 43 homes (Lee et al., JAWMA 1999), 0 is the careful choice
 */
public record RoomAir(double volumeCubicMetres, double airChangesPerHour, double decayPerHour) {

  private static final double MAX_MILLIGRAMS_PER_HOUR = 1e6;
  private static final double MAX_MILLIGRAMS_PER_CUBIC_METRE = 1e5;

  /**
   * Checks the bounds.
   *
   * @throws IllegalArgumentException when a number is not one or out of bounds, or when nothing at
   *     all takes ozone out of the room
   */
  public RoomAir {
    Bounds.within("room volume in m3", volumeCubicMetres, 1, 100_000);
    Bounds.within("air changes per hour", airChangesPerHour, 0, 100);
    Bounds.within("decay per hour", decayPerHour, 0, 100);
    if (airChangesPerHour + decayPerHour <= 0) {
      throw new IllegalArgumentException("a room without air change or decay never settles");
    }
  }

  /**
   * What the room settles at, mg/m3.
   *
   * @param generationMilligramsPerHour ozone let into the room, 0 to 1e6 mg/h
   * @param outdoorMilligramsPerCubicMetre ozone in the air that comes in, 0 to 1e5 mg/m3
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public double steadyMilligramsPerCubicMetre(
      double generationMilligramsPerHour, double outdoorMilligramsPerCubicMetre) {
    Bounds.within("generation in mg/h", generationMilligramsPerHour, 0, MAX_MILLIGRAMS_PER_HOUR);
    concentration("outdoor ozone in mg/m3", outdoorMilligramsPerCubicMetre);
    return (airChangesPerHour * outdoorMilligramsPerCubicMetre
            + generationMilligramsPerHour / volumeCubicMetres)
        / lossPerHour();
  }

  /**
   * What the room holds some time later, mg/m3, generation and outdoor air staying as they are.
   *
   * @param startMilligramsPerCubicMetre what it holds now, 0 to 1e5 mg/m3
   * @param hours how much later, 0 to 1e6 h
   * @param generationMilligramsPerHour ozone let into the room, 0 to 1e6 mg/h
   * @param outdoorMilligramsPerCubicMetre ozone in the air that comes in, 0 to 1e5 mg/m3
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public double afterHoursMilligramsPerCubicMetre(
      double startMilligramsPerCubicMetre,
      double hours,
      double generationMilligramsPerHour,
      double outdoorMilligramsPerCubicMetre) {
    concentration("ozone at the start in mg/m3", startMilligramsPerCubicMetre);
    Bounds.within("time in h", hours, 0, 1e6);
    double steady =
        steadyMilligramsPerCubicMetre(generationMilligramsPerHour, outdoorMilligramsPerCubicMetre);
    return steady + (startMilligramsPerCubicMetre - steady) * Math.exp(-lossPerHour() * hours);
  }

  /**
   * The ozone that may be let into the room, mg/h, for it to settle at the limit; negative when the
   * outdoor air alone passes it.
   *
   * @param limitMilligramsPerCubicMetre the limit, 0 to 1e5 mg/m3
   * @param outdoorMilligramsPerCubicMetre ozone in the air that comes in, 0 to 1e5 mg/m3
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public double generationMilligramsPerHour(
      double limitMilligramsPerCubicMetre, double outdoorMilligramsPerCubicMetre) {
    concentration("limit in mg/m3", limitMilligramsPerCubicMetre);
    concentration("outdoor ozone in mg/m3", outdoorMilligramsPerCubicMetre);
    return volumeCubicMetres
        * (lossPerHour() * limitMilligramsPerCubicMetre
            - airChangesPerHour * outdoorMilligramsPerCubicMetre);
  }

  /**
   * Hours until a fraction of any change is done: {@code -ln(1 - f) / (a + k)}.
   *
   * @param fraction 0 to 0.9999, such as 0.95
   * @throws IllegalArgumentException when the fraction is not a number or out of bounds
   */
  public double hoursToFraction(double fraction) {
    Bounds.within("fraction", fraction, 0, 0.9999);
    return -Math.log1p(-fraction) / lossPerHour();
  }

  private double lossPerHour() {
    return airChangesPerHour + decayPerHour;
  }

  private static void concentration(String name, double milligramsPerCubicMetre) {
    Bounds.within(name, milligramsPerCubicMetre, 0, MAX_MILLIGRAMS_PER_CUBIC_METRE);
  }
}

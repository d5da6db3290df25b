package io.github.tidewarden.science;

/** Ozone in air, in feed gas and as oxidant in water, from one unit to another. */
public final class OzoneUnits {
  private OzoneUnits() {}

  private static final double MAX_PPB = 1e9;

  /** What a generator makes ozone from. */
  public enum FeedGas {
    /** Pure oxygen, 31.998 g/mol. */
    OXYGEN(31.998),
    /** Dry air, 28.96 g/mol. */
    AIR(28.96);

    private final double gramsPerMole;

    FeedGas(double gramsPerMole) {
      this.gramsPerMole = gramsPerMole;
    }
  }

  /**
   * Mass per volume of air: {@code x M p / (R T)} (ideal gas).
   *
   * @param ppb parts per billion by volume, 0 to 1e9
   * @param celsius air temperature, -50 to 60 degC
   * @param pascals air pressure, 50,000 to 120,000 Pa
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public static double milligramsPerCubicMetre(double ppb, double celsius, double pascals) {
    return Bounds.within("ozone in ppb", ppb, 0, MAX_PPB)
        * milligramsPerCubicMetreOfOnePpb(celsius, pascals);
  }

  /**
   * Parts per billion by volume, the inverse of {@link #milligramsPerCubicMetre}.
   *
   * @param milligramsPerCubicMetre 0 to 3e6 mg/m3
   * @param celsius air temperature, -50 to 60 degC
   * @param pascals air pressure, 50,000 to 120,000 Pa
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public static double ppb(double milligramsPerCubicMetre, double celsius, double pascals) {
    return Bounds.within("ozone in mg/m3", milligramsPerCubicMetre, 0, 3e6)
        / milligramsPerCubicMetreOfOnePpb(celsius, pascals);
  }

  private static double milligramsPerCubicMetreOfOnePpb(double celsius, double pascals) {
    double kelvin =
        Bounds.within("air temperature in degC", celsius, -50, 60) + Gas.ZERO_CELSIUS_KELVIN;
    Bounds.within("air pressure in Pa", pascals, 50_000, 120_000);
    return 1e-6 * Gas.OZONE_GRAMS_PER_MOLE * pascals / (Gas.MOLAR_GAS_CONSTANT * kelvin);
  }

  /**
   * Ozone's share of a generator's gas by volume, %, from its share by mass: {@code (w/M) / (w/M +
   * (1-w)/Mfeed)} (ideal gas).
   *
   * @param weightPercent ozone in the gas by mass, 0 to 100 %
   * @throws IllegalArgumentException when the share is not a number or out of bounds
   */
  public static double volumePercent(double weightPercent, FeedGas feed) {
    double share = Bounds.within("ozone in % by mass", weightPercent, 0, 100) / 100;
    double ozoneMoles = share / Gas.OZONE_GRAMS_PER_MOLE;
    return 100 * ozoneMoles / (ozoneMoles + (1 - share) / feed.gramsPerMole);
  }

  /**
   * Ozone in a generator's gas, g per cubic metre at 0 degC and 1 atm (g/Nm3).
   *
   * @param weightPercent ozone in the gas by mass, 0 to 100 %
   * @throws IllegalArgumentException when the share is not a number or out of bounds
   */
  public static double gramsPerNormalCubicMetre(double weightPercent, FeedGas feed) {
    double molesPerCubicMetre =
        Gas.ATMOSPHERE_PASCALS / (Gas.MOLAR_GAS_CONSTANT * Gas.ZERO_CELSIUS_KELVIN);
    return volumePercent(weightPercent, feed) / 100 * molesPerCubicMetre * Gas.OZONE_GRAMS_PER_MOLE;
  }

  /**
   * The chlorine (Cl2) that oxidises as much as this ozone, two electrons each, mg/L: the unit in
   * which residual oxidants are usually given.
   *
   * @param ozoneMilligramsPerLitre 0 to 1000 mg/L
   * @throws IllegalArgumentException when the amount is not a number or out of bounds
   */
  public static double chlorineMilligramsPerLitre(double ozoneMilligramsPerLitre) {
    return Oxidant.OZONE.as(Oxidant.CHLORINE, ozoneMilligramsPerLitre);
  }

  /**
   * The bromine (Br2) that oxidises as much as this ozone, two electrons each, mg/L: what ozone
   * turns into in sea water.
   *
   * @param ozoneMilligramsPerLitre 0 to 1000 mg/L
   * @throws IllegalArgumentException when the amount is not a number or out of bounds
   */
  public static double bromineMilligramsPerLitre(double ozoneMilligramsPerLitre) {
    return Oxidant.OZONE.as(Oxidant.BROMINE, ozoneMilligramsPerLitre);
  }
}

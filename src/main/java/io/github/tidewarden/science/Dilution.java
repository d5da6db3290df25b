package io.github.tidewarden.science;

/**
 * How far old water is thinned by new, in a tank that mixes well. A batch drains a fraction and
 * fills it up again; a continuous exchange does both at once. The same volume in batches always
 * exchanges more, and in one batch most.
 *
 * <p>Source: mass balance; "in + production = out" as in Timmons' course notes on recirculating
 * aquaculture. Fractions are of the tank's water, 0 to 1; concentrations are in any unit, the same
 * throughout, and at most 1e9 either way.
 */
public final class Dilution {
  private Dilution() {}

  private static final double LEAST_FRACTION = 1e-9;
  private static final double NEARLY_ALL = 1 - 1e-12;

  /**
   * The fraction of old water that remains after batches, {@code (1 - f)^n}.
   *
   * @param fraction drained in each batch, 0 to 1
   * @param batches how many, not negative; part of one counts as if it were compounded
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public static double remainingFraction(double fraction, double batches) {
    fraction("fraction of a batch", fraction);
    notNegative("batches", batches);
    return fraction < 1 ? Math.exp(batches * Math.log1p(-fraction)) : Math.pow(0, batches);
  }

  /**
   * The fraction that is new after batches, {@code 1 - (1 - f)^n}. A week of daily batches is that
   * of 7.
   *
   * @param fraction drained in each batch, 0 to 1
   * @param batches how many, not negative
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public static double exchangedFraction(double fraction, double batches) {
    return 1 - remainingFraction(fraction, batches);
  }

  /**
   * The fraction that is new after unequal batches, {@code 1 - (1 - f1)(1 - f2)...}; none gives 0.
   *
   * @param fractions of each, 0 to 1
   * @throws IllegalArgumentException when one is not a number or out of bounds
   */
  public static double compoundedFraction(double... fractions) {
    double remaining = 1;
    for (double fraction : fractions) {
      remaining *= 1 - fraction("fraction of a batch", fraction);
    }
    return 1 - remaining;
  }

  /**
   * The fraction that is new after some litres in portions, the last of which takes what is left.
   *
   * @param waterLitres the tank's water, over 0
   * @param portionLitres a portion, over 0 to the whole water
   * @param litres exchanged in all, not negative
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public static double exchangedInPortionsFraction(
      double waterLitres, double portionLitres, double litres) {
    double portion = portionFraction(waterLitres, portionLitres);
    double whole = Math.floor(notNegative("exchange in portions", litres / portionLitres));
    double last = Math.max(0, litres - whole * portionLitres) / waterLitres;
    return 1 - remainingFraction(portion, whole) * (1 - last);
  }

  /**
   * The litres to be exchanged in portions until a fraction is new: the inverse of {@link
   * #exchangedInPortionsFraction}.
   *
   * @param waterLitres the tank's water, over 0
   * @param portionLitres a portion, over 0 to the whole water
   * @param wantedFraction 0 to under 1
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public static double litresInPortions(
      double waterLitres, double portionLitres, double wantedFraction) {
    double portion = portionFraction(waterLitres, portionLitres);
    double whole = portion >= 1 ? 0 : Math.floor(batchesToExchange(portion, wantedFraction));
    double last = 1 - (1 - wanted(wantedFraction)) / remainingFraction(portion, whole);
    return whole * portionLitres + Math.max(0, last) * waterLitres;
  }

  /**
   * The fraction of old water that remains after a continuous exchange, {@code exp(-v)}.
   *
   * @param volumes how many times the tank's water has been exchanged, not negative
   * @throws IllegalArgumentException when it is not a number or out of bounds
   */
  public static double remainingContinuousFraction(double volumes) {
    return Math.exp(-notNegative("volumes", volumes));
  }

  /**
   * The fraction that is new after a continuous exchange, {@code 1 - exp(-v)}. It is the rule for
   * ships' ballast water: one, two, three and four tank volumes give 63, 86, 95 and 98 %, and three
   * are accepted for the 95 % that IMO standard D-1 asks.
   *
   * @param volumes how many times the tank's water has been exchanged, not negative
   * @throws IllegalArgumentException when it is not a number or out of bounds
   */
  public static double exchangedContinuousFraction(double volumes) {
    return 1 - remainingContinuousFraction(volumes);
  }

  /**
   * Batches until a fraction is new, {@code ln(1 - w) / ln(1 - f)}, parts of a batch included.
   *
   * @param fraction drained in each batch, 1e-9 to under 1
   * @param wantedFraction 0 to under 1
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public static double batchesToExchange(double fraction, double wantedFraction) {
    Bounds.within("fraction of a batch", fraction, LEAST_FRACTION, NEARLY_ALL);
    return Math.log1p(-wanted(wantedFraction)) / Math.log1p(-fraction);
  }

  /**
   * Volumes of a continuous exchange until a fraction is new, {@code -ln(1 - w)}.
   *
   * @param wantedFraction 0 to under 1
   * @throws IllegalArgumentException when it is not a number or out of bounds
   */
  public static double volumesToExchange(double wantedFraction) {
    return -Math.log1p(-wanted(wantedFraction));
  }

  /**
   * Batches until half of the water is new.
   *
   * @param fraction drained in each batch, 1e-9 to under 1
   * @throws IllegalArgumentException when it is not a number or out of bounds
   */
  public static double halfLifeBatches(double fraction) {
    return batchesToExchange(fraction, 0.5);
  }

  /**
   * Days, or whatever the rate is given in, until a continuous exchange has made half of the water
   * new: {@code ln 2 / f}.
   *
   * @param fraction of the water exchanged in one interval, 1e-9 or more
   * @throws IllegalArgumentException when it is not a number or out of bounds
   */
  public static double halfLifeContinuous(double fraction) {
    return volumesToExchange(0.5)
        / Bounds.within("rate", fraction, LEAST_FRACTION, Double.MAX_VALUE);
  }

  /**
   * Where a concentration settles just before a batch, {@code Cin + p / f}.
   *
   * @param inflow concentration in the new water
   * @param production what the tank adds between two batches, as concentration; negative for loss
   * @param fraction drained in each batch, 1e-9 to 1
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public static double settledBeforeBatch(double inflow, double production, double fraction) {
    return concentration(inflow)
        + concentration(production)
            / Bounds.within("fraction of a batch", fraction, LEAST_FRACTION, 1);
  }

  /**
   * Where a concentration settles just after a batch, {@code Cin + p (1 - f) / f}.
   *
   * @param inflow concentration in the new water
   * @param production what the tank adds between two batches, as concentration; negative for loss
   * @param fraction drained in each batch, 1e-9 to 1
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public static double settledAfterBatch(double inflow, double production, double fraction) {
    return settledBeforeBatch(inflow, production, fraction) - production;
  }

  /**
   * Where a concentration settles under a continuous exchange, {@code Cin + P / Q}.
   *
   * @param inflow concentration in the new water
   * @param production what the tank adds in one interval, as concentration; negative for loss
   * @param fraction of the water exchanged in one interval, 1e-9 or more
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public static double settledContinuous(double inflow, double production, double fraction) {
    return concentration(inflow)
        + concentration(production)
            / Bounds.within("rate", fraction, LEAST_FRACTION, Double.MAX_VALUE);
  }

  private static double portionFraction(double waterLitres, double portionLitres) {
    Bounds.within("water in L", waterLitres, Double.MIN_VALUE, Double.MAX_VALUE);
    Bounds.within("portion in L", portionLitres, Double.MIN_VALUE, waterLitres);
    return portionLitres / waterLitres;
  }

  private static double fraction(String name, double fraction) {
    return Bounds.within(name, fraction, 0, 1);
  }

  private static double wanted(double fraction) {
    return Bounds.within("wanted fraction", fraction, 0, NEARLY_ALL);
  }

  private static double notNegative(String name, double number) {
    return Bounds.within(name, number, 0, Double.MAX_VALUE);
  }

  private static double concentration(double value) {
    return Bounds.within("concentration", value, -1e9, 1e9);
  }
}

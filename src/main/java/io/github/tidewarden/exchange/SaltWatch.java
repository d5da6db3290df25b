package io.github.tidewarden.exchange;

import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.quantity.UnitCode;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * Holds the salinity that a probe sees before each portion against what evaporation, top-off,
 * exchange and skimmate explain since the last one. By mass balance with salt per volume, which is
 * right to 0.03 % for each percent of water (see {@code science.SaltBalance}): the water is what
 * the level says, top-off brings no salt and evaporation takes none.
 */
public final class SaltWatch {

  /** Salinity of a tank that nobody has measured yet, PSU. */
  public static final double USUAL_PSU = 35;

  /** What the last portions may be off together before the exchange stops, PSU. */
  public static final double WRONG_PSU = 0.3;

  /** What a day may be off on the mean of a week before it is told, PSU. */
  public static final double TOLD_PSU_PER_DAY = 0.05;

  /** Fewest nights of which a drift is told. */
  public static final int FEWEST_NIGHTS = 3;

  /** How much of what was off before is forgotten with each portion. */
  private static final double FORGOTTEN = 1 / 16.0;

  private SaltWatch() {}

  /**
   * What a tank holds.
   *
   * @param psu its salinity
   * @param litres its water
   */
  public record Held(double psu, double litres) {}

  /** Salt that a portion brings more than it takes, PSU L. */
  public static double portion(double tankPsu, double outLitres, double newPsu, double inLitres) {
    return newPsu * inLitres - tankPsu * outLitres;
  }

  /** Salt that goes with skimmate, which is as salty as the tank, PSU L; never positive. */
  public static double skimmate(double tankPsu, double litres) {
    return -tankPsu * litres;
  }

  /**
   * How far the salinity is off what is explained, PSU; negative for less salty.
   *
   * @param before what the tank held at the last portion
   * @param salt that has come since, PSU L
   * @param now what it holds now
   */
  public static double off(Held before, double salt, Held now) {
    return now.psu() - (before.psu() * before.litres() + salt) / now.litres();
  }

  /** What the last portions are off together, with one more. */
  public static double together(double before, double off) {
    return before * (1 - FORGOTTEN) + off;
  }

  /** What is wrong when the last portions are off so much together; null for nothing. */
  public static Exchange.Outcome.@Nullable Fault judge(double togetherPsu) {
    if (!(Math.abs(togetherPsu) >= WRONG_PSU)) {
      return null;
    }
    boolean less = togetherPsu < 0;
    return new Exchange.Outcome.Fault(
        Exchange.Latch.NEW_WATER_WRONG,
        "over the last portions the salinity went "
            + told(Math.abs(togetherPsu))
            + (less ? " lower" : " higher")
            + " than the exchange explains; likely the new water is "
            + (less ? "less" : "more")
            + " salty than confirmed");
  }

  /** What a drift over the last nights is worth telling; null for nothing. */
  public static @Nullable String drift(List<Double> nightsPsu) {
    if (nightsPsu.size() < FEWEST_NIGHTS) {
      return null;
    }
    double mean = nightsPsu.stream().mapToDouble(Double::doubleValue).average().orElse(0);
    if (!(Math.abs(mean) >= TOLD_PSU_PER_DAY)) {
      return null;
    }
    return "the salinity "
        + (mean < 0 ? "falls " : "rises ")
        + told(Math.abs(mean))
        + " a day beside what evaporation, top-off and exchange explain; likely "
        + (mean < 0
            ? "skimmate, or water that leaks, is made up with fresh water"
            : "top-off brings salt, or the new water is more salty than confirmed")
        + "; or the probe drifts";
  }

  private static String told(double psu) {
    return Figures.brief(psu, UnitCode.PSU);
  }
}

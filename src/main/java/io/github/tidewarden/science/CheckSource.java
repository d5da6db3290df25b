package io.github.tidewarden.science;

import java.util.Arrays;
import java.util.List;

/**
 * What was published of a {@link CheckSolution}: its redox against the standard hydrogen electrode,
 * by temperature. Sources differ, for ZoBell's solution by up to 7 mV, so a calibration names the
 * one that it used.
 */
public enum CheckSource {
  /**
   * ZoBell's, 1 to 30 degC in steps of 1. Source: Standard Methods for the Examination of Water and
   * Wastewater (1997), table 2580:I, as transcribed in the demo ORP.R of the R package CHNOSZ.
   */
  ZOBELL_STANDARD_METHODS(
      CheckSolution.ZOBELL,
      "standard-methods",
      "Standard Methods 2580:I (1997)",
      new EvenTable(
          1, 1, 481, 479, 476, 474, 472, 470, 468, 465, 463, 461, 459, 457, 454, 452, 450, 448, 446,
          443, 441, 439, 437, 435, 432, 430, 428, 426, 424, 421, 419, 417)),

  /**
   * ZoBell's, 8 to 85 degC: {@code 430.28 - 2.5157 (t - 25) - 0.0037979 (t - 25)^2} mV. Source:
   * Nordstrom, Geochim. Cosmochim. Acta 41 (1977) 1835; the equation is from memory. Here it is
   * tabled at every degree, which is off by at most 0.001 mV in between.
   */
  ZOBELL_NORDSTROM(CheckSolution.ZOBELL, "nordstrom", "Nordstrom (1977)", nordstrom()),

  /**
   * Light's: 675 mV at 25 degC, taken as it stands within 1 degC, for no figure at another
   * temperature was found. Source: Light, Anal. Chem. 44 (1972) 1038, quoted in the demo ORP.R of
   * CHNOSZ.
   */
  LIGHT_1972(CheckSolution.LIGHT, "light", "Light (1972)", new EvenTable(24, 2, 675, 675)),

  /**
   * Quinhydrone at pH 4: 268, 263 and 258 mV against Ag/AgCl in saturated KCl (204, 199 and 194 mV)
   * at 20, 25 and 30 degC. Source: the note of an electrode supplier for 25 degC, common tables
   * (from memory) for the others. Neither names the filling: it follows from the same note's 45 mV
   * down to saturated calomel.
   */
  QUINHYDRONE_PH_4_COMMON(
      CheckSolution.QUINHYDRONE_PH_4,
      "common",
      "supplier's note, common tables",
      new EvenTable(20, 5, 268 + 204, 263 + 199, 258 + 194)),

  /** Quinhydrone at pH 7: 92, 86 and 79 mV, otherwise as for pH 4. */
  QUINHYDRONE_PH_7_COMMON(
      CheckSolution.QUINHYDRONE_PH_7,
      "common",
      "supplier's note, common tables",
      new EvenTable(20, 5, 92 + 204, 86 + 199, 79 + 194));

  private final CheckSolution solution;
  private final String word;
  private final String title;

  @SuppressWarnings("ImmutableEnumChecker") // the table is never written after construction
  private final EvenTable millivolts;

  CheckSource(CheckSolution solution, String word, String title, EvenTable millivolts) {
    this.solution = solution;
    this.word = word;
    this.title = title;
    this.millivolts = millivolts;
  }

  private static EvenTable nordstrom() {
    double[] millivolts = new double[78];
    for (int i = 0; i < millivolts.length; i++) {
      double over = 8 + i - 25;
      millivolts[i] = 430.28 - 2.5157 * over - 3.7979e-3 * over * over;
    }
    return new EvenTable(8, 1, millivolts);
  }

  /** The sources of a solution, first the one to take when a keeper names none. */
  public static List<CheckSource> of(CheckSolution solution) {
    return Arrays.stream(values()).filter(source -> source.solution == solution).toList();
  }

  /** The word by which a keeper asks for it among those of its solution. */
  public String word() {
    return word;
  }

  /** What it is the redox of. */
  public CheckSolution solution() {
    return solution;
  }

  /** Its name, for a keeper and for the record of a calibration. */
  public String title() {
    return title;
  }

  /** The coldest solution that it tells of, degC. */
  public double minCelsius() {
    return millivolts.first();
  }

  /** The warmest solution that it tells of, degC. */
  public double maxCelsius() {
    return millivolts.last();
  }

  /**
   * The solution's redox against the standard hydrogen electrode, mV, on a straight line between
   * the figures that were published.
   *
   * @param celsius temperature of the solution, {@link #minCelsius} to {@link #maxCelsius}
   * @throws IllegalArgumentException when the temperature is not a number or out of bounds
   */
  public double againstHydrogenMillivolts(double celsius) {
    return millivolts.at("temperature of the check solution in degC", celsius);
  }
}

package io.github.tidewarden.science;

/**
 * What a sound probe reads in a check solution. "ZoBell's at 25 degC" alone can be anything from
 * 223 to 231 mV, so this names all that the figure depends on, and the figure follows from it.
 *
 * @param source which solution, and whose figure of it
 * @param reference the probe's reference electrode
 * @param celsius temperature of the solution, within the bounds of the source and of {@link
 *     Electrodes}
 */
public record ExpectedRedox(CheckSource source, Electrodes.Reference reference, double celsius) {

  /**
   * Checks the bounds.
   *
   * @throws IllegalArgumentException when the temperature is not a number or out of bounds
   */
  public ExpectedRedox {
    source.againstHydrogenMillivolts(celsius);
    reference.againstHydrogenMillivolts(celsius);
  }

  /** The solution that the probe stands in. */
  public CheckSolution solution() {
    return source.solution();
  }

  /** What a sound probe reads, mV against its reference. */
  public double millivolts() {
    return source.againstHydrogenMillivolts(celsius) - reference.againstHydrogenMillivolts(celsius);
  }

  /**
   * How far a probe is off, mV: positive when it reads too high.
   *
   * @param readMillivolts what it reads once settled, at most 2000 mV either way
   * @throws IllegalArgumentException when the reading is not a number or out of bounds
   */
  public double deviationMillivolts(double readMillivolts) {
    return Electrodes.redox(readMillivolts) - millivolts();
  }
}

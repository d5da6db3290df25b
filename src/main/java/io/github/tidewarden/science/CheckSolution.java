package io.github.tidewarden.science;

/** A solution of known redox in which a probe is checked. */
public enum CheckSolution {
  /** ZoBell's: potassium ferri- and ferrocyanide, 3.33 mM each, in 0.1 M KCl. */
  ZOBELL("zobell"),

  /** Light's: 0.1 M of each of the two iron ammonium sulphates in 1 M sulphuric acid. */
  LIGHT("light"),

  /** A buffer of pH 4.01 at 25 degC, saturated with quinhydrone. */
  QUINHYDRONE_PH_4("quinhydrone-4"),

  /** A buffer of pH 7.00 at 25 degC, saturated with quinhydrone. */
  QUINHYDRONE_PH_7("quinhydrone-7");

  private final String word;

  CheckSolution(String word) {
    this.word = word;
  }

  /** The name that a keeper uses. */
  public String word() {
    return word;
  }

  /**
   * The solution of a name.
   *
   * @throws IllegalArgumentException when there is none of that name
   */
  public static CheckSolution named(String word) {
    for (CheckSolution solution : values()) {
      if (solution.word.equals(word)) {
        return solution;
      }
    }
    throw new IllegalArgumentException("no check solution is named \"" + word + "\"");
  }
}

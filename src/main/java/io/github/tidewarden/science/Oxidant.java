package io.github.tidewarden.science;

/** What an amount of oxidant in water is given as; each takes up two electrons a molecule. */
public enum Oxidant {
  /** Ozone. */
  OZONE("O3", Gas.OZONE_GRAMS_PER_MOLE),
  /** Chlorine: the unit in which residual oxidants are usually given. */
  CHLORINE("Cl2", 70.906),
  /** Bromine: what ozone turns into in sea water. */
  BROMINE("Br2", 159.808);

  private final String word;
  private final double gramsPerMole;

  Oxidant(String word, double gramsPerMole) {
    this.word = word;
    this.gramsPerMole = gramsPerMole;
  }

  /** The name that a keeper uses: its formula. */
  public String word() {
    return word;
  }

  /**
   * The oxidant of a name.
   *
   * @throws IllegalArgumentException when there is none of that name
   */
  public static Oxidant named(String word) {
    for (Oxidant oxidant : values()) {
      if (oxidant.word.equals(word)) {
        return oxidant;
      }
    }
    throw new IllegalArgumentException("no oxidant is named \"" + word + "\"");
  }

  /**
   * The other oxidant that oxidises as much as this one.
   *
   * @param milligramsPerLitre of this one, 0 to 1000 mg/L
   * @return mg/L of the other
   * @throws IllegalArgumentException when the amount is not a number or out of bounds
   */
  public double as(Oxidant other, double milligramsPerLitre) {
    return Bounds.within(word + " in mg/L", milligramsPerLitre, 0, 1000)
        * other.gramsPerMole
        / gramsPerMole;
  }
}

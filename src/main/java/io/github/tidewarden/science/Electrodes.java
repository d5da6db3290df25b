package io.github.tidewarden.science;

/**
 * Reference electrodes. A redox value means nothing without the electrode that it was measured
 * against: the same water reads some 200 mV lower against silver chloride than against the standard
 * hydrogen electrode (SHE).
 */
public final class Electrodes {
  private Electrodes() {}

  /** Coldest water that the tables cover, degC. */
  public static final double MIN_CELSIUS = 10;

  /** Warmest water that the tables cover, degC. */
  public static final double MAX_CELSIUS = 40;

  private static final double LIMIT_CELSIUS = 25;

  private static final double STEP_CELSIUS = 5;
  private static final double MAX_REDOX_MILLIVOLTS = 2000;

  /** An electrode with its potential against SHE at 10, 15, ... 40 degC. */
  public enum Reference {
    /** The standard hydrogen electrode: zero at every temperature, by definition. */
    STANDARD_HYDROGEN("SHE", 0, 0, 0, 0, 0, 0, 0),

    /**
     * Ag/AgCl in 3 M KCl. Source: table in a meter manual of 2011; its 207 mV at 25 degC is also
     * that of Droog and Schlenter 1980, doi 10.1016/S0022-0728(80)80421-9. The USGS field manual
     * (NFM A6.5) is remembered to print 2 to 3 mV more: this table is the one that was read.
     */
    SILVER_CHLORIDE_3_M("Ag/AgCl 3 M KCl", 217, 214, 210, 207, 203, 200, 196),

    /**
     * Ag/AgCl in 3.33 M KCl. Source: a meter manual, which gives the straight line {@code 206 - 0.7
     * (t - 25)} for 0 to 60 degC; these are its points, so that what lies between them is the line
     * itself.
     */
    SILVER_CHLORIDE_3_33_M("Ag/AgCl 3.33 M KCl", 216.5, 213, 209.5, 206, 202.5, 199, 195.5),

    /**
     * Ag/AgCl in 3.5 M KCl, liquid junction included. Source: Sawyer, Sobkowiak and Roberts,
     * Electrochemistry for Chemists (1995), as tabled in the R package refelectrodes.
     */
    SILVER_CHLORIDE_3_5_M("Ag/AgCl 3.5 M KCl", 215, 212, 208, 205, 201, 197, 193),

    /** Ag/AgCl in saturated KCl, liquid junction included. Source: as for 3.5 M. */
    SILVER_CHLORIDE_SATURATED("Ag/AgCl saturated KCl", 214, 209, 204, 199, 194, 189, 184),

    /** Calomel in saturated KCl, liquid junction included. Source: as for 3.5 M. */
    CALOMEL_SATURATED("calomel saturated KCl", 254, 251, 248, 244, 241, 238, 234),

    /**
     * Calomel in 1 M KCl, liquid junction included. Source: as for 3.5 M; it has no figure for 15
     * and 35 degC, which here are half way between their neighbours.
     */
    CALOMEL_1_M("calomel 1 M KCl", 287, 285.5, 284, 283, 282, 280, 278);

    @SuppressWarnings("ImmutableEnumChecker") // the table is never written after construction
    private final EvenTable millivolts;

    private final String word;

    Reference(String word, double... millivolts) {
      this.word = word;
      this.millivolts = new EvenTable(MIN_CELSIUS, STEP_CELSIUS, millivolts);
    }

    /** The name that a configuration uses. */
    public String word() {
      return word;
    }

    /**
     * The electrode of a name.
     *
     * @throws IllegalArgumentException when there is none of that name
     */
    public static Reference named(String word) {
      for (Reference reference : values()) {
        if (reference.word.equals(word)) {
          return reference;
        }
      }
      throw new IllegalArgumentException("no reference electrode is named \"" + word + "\"");
    }

    /**
     * The electrode's potential against SHE in mV, by linear interpolation in its table.
     *
     * @param celsius temperature, {@value Electrodes#MIN_CELSIUS} to {@value
     *     Electrodes#MAX_CELSIUS} degC
     * @throws IllegalArgumentException when the temperature is not a number or out of bounds
     */
    public double againstHydrogenMillivolts(double celsius) {
      return millivolts.at("temperature in degC", celsius);
    }
  }

  /**
   * The same redox expressed against another electrode, in mV: {@code E(to) = E(from) + from vs SHE
   * - to vs SHE}.
   *
   * @param redoxMillivolts the value as measured, at most 2000 mV either way
   * @param from the electrode that it was measured against
   * @param to the electrode wanted
   * @param celsius temperature of the water, {@value #MIN_CELSIUS} to {@value #MAX_CELSIUS} degC
   * @throws IllegalArgumentException when a number is not one or out of bounds
   */
  public static double convertMillivolts(
      double redoxMillivolts, Reference from, Reference to, double celsius) {
    return redox(redoxMillivolts)
        + from.againstHydrogenMillivolts(celsius)
        - to.againstHydrogenMillivolts(celsius);
  }

  /**
   * A limit that is given against Ag/AgCl 3 M KCl, as it reads against another electrode at 25
   * degC, mV; NaN stays NaN.
   */
  public static double limitAgainst(Reference reference, double millivolts) {
    return Double.isNaN(millivolts)
        ? millivolts
        : convertMillivolts(millivolts, Reference.SILVER_CHLORIDE_3_M, reference, LIMIT_CELSIUS);
  }

  /** The value itself when it can be a redox, at most 2000 mV either way. */
  static double redox(double millivolts) {
    return Bounds.within("redox in mV", millivolts, -MAX_REDOX_MILLIVOLTS, MAX_REDOX_MILLIVOLTS);
  }
}

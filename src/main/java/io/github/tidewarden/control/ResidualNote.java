package io.github.tidewarden.control;

import io.github.tidewarden.quantity.Amount;
import io.github.tidewarden.quantity.Dimension;
import io.github.tidewarden.quantity.UnitCode;
import io.github.tidewarden.science.Oxidant;
import io.github.tidewarden.science.ResidualOxidant;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.stream.Collectors;

/**
 * Residual oxidant that a keeper measured with a test of its own. Over what was published as safe
 * ozone is at rest until a later measurement is not.
 *
 * @param milligrams in a litre, 0 to 5 mg/L as {@code as}
 */
record ResidualNote(double milligrams, Oxidant as, String text) implements Deed {

  static final double NANOGRAMS_PER_MILLIGRAM = 1e6;

  /** The most with which ozone may run, ng/L as Cl2: see {@link ResidualOxidant}. */
  static final long SAFE_NANOGRAMS = nanograms(ResidualOxidant.SAFE_CHLORINE_MILLIGRAMS_PER_LITRE);

  /** More than this no water with living animals has; the test, or its unit, was another. */
  static final double MOST_MILLIGRAMS = 5;

  static ResidualNote read(KeeperAct act) throws Deed.RefusedException {
    Amount amount = act.amount(Fields.RESIDUAL, Dimension.CONCENTRATION, null);
    Oxidant as = oxidant(act.said(Fields.AS));
    double milligrams = amount.in(UnitCode.MILLIGRAM_PER_LITRE);
    if (!(milligrams >= 0 && milligrams <= MOST_MILLIGRAMS)) {
      throw new Deed.RefusedException(
          "a residual oxidant of "
              + amount
              + " is not between 0 and 5 mg/L; look at the unit of the test, measure once more, and"
              + " until then `hold --function ozone`");
    }
    return new ResidualNote(milligrams, as, act.text());
  }

  private static Oxidant oxidant(String word) throws Deed.RefusedException {
    for (Oxidant oxidant : Oxidant.values()) {
      if (oxidant.word().equals(word)) {
        return oxidant;
      }
    }
    String known =
        Arrays.stream(Oxidant.values()).map(Oxidant::word).collect(Collectors.joining(", "));
    throw new Deed.RefusedException(
        word.isEmpty()
            ? "it does not say what it is given as (as): one of "
                + known
                + ", as the test's sheet says"
            : "\"" + word + "\" is none of " + known);
  }

  /** What forbids does not wait for the disk. */
  @Override
  public boolean onlyForbids() {
    return nanograms() > SAFE_NANOGRAMS;
  }

  @Override
  public Deed.Recorded judge(Deed.Place place) throws Deed.RefusedException {
    TankSpec spec = place.tank().spec;
    if (spec.ozone() == null) {
      throw new Deed.RefusedException(
          spec.name() + " has no ozone to be held by it; keep a remark in quotation marks");
    }
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.RESIDUAL_NG_L, nanograms());
    fields.put(Fields.GIVEN_NG_L, nanograms(milligrams));
    fields.put(Fields.AS, as.word());
    return new Deed.Recorded(
        ResidualFigures.NAME,
        text,
        "measured a residual oxidant of "
            + ResidualFigures.told(milligrams)
            + " as "
            + as.word()
            + (as == Oxidant.CHLORINE ? "" : ", " + ResidualFigures.told(chlorine()) + " as Cl2")
            + (onlyForbids()
                ? ": over the "
                    + ResidualFigures.safe()
                    + " published as safe, so ozone rests until a later one is not"
                : "")
            + Deed.because(text)
            + " ("
            + ResidualFigures.NOT_REDOX
            + ")",
        fields);
  }

  private double chlorine() {
    return new ResidualOxidant(milligrams, as).milligramsPerLitre(Oxidant.CHLORINE);
  }

  private long nanograms() {
    return nanograms(chlorine());
  }

  private static long nanograms(double milligrams) {
    return Math.round(milligrams * NANOGRAMS_PER_MILLIGRAM);
  }
}

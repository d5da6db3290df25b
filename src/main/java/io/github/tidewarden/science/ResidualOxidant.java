package io.github.tidewarden.science;

/**
 * Oxidant that a keeper measured in the water. It is not redox: a probe tells how strongly the
 * water oxidises, not how much of what does is in it.
 *
 * @param milligramsPerLitre 0 to 1000 mg/L
 * @param as what it is given as
 */
public record ResidualOxidant(double milligramsPerLitre, Oxidant as) {

  /**
   * What animals were seen to bear for good, mg/L as Cl2; from 0.10 there was harm. Source:
   * juvenile shrimp, Schroeder et al., Aquaculture (2010); young turbot for 21 days, Reiser et al.,
   * Aquat. Toxicol. 105 (2011) 508. Nothing was found for corals.
   */
  public static final double SAFE_CHLORINE_MILLIGRAMS_PER_LITRE = 0.06;

  /**
   * Checks the bounds.
   *
   * @throws IllegalArgumentException when the amount is not a number or out of bounds
   */
  public ResidualOxidant {
    Bounds.within("residual oxidant in mg/L", milligramsPerLitre, 0, 1000);
  }

  /** The same, given as another oxidant, mg/L. */
  public double milligramsPerLitre(Oxidant other) {
    return as.as(other, milligramsPerLitre);
  }

  /** Whether it is at or over what was published as safe. */
  public boolean unsafe() {
    return milligramsPerLitre(Oxidant.CHLORINE) >= SAFE_CHLORINE_MILLIGRAMS_PER_LITRE;
  }
}

package io.github.tidewarden.control;

import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.quantity.UnitCode;
import io.github.tidewarden.science.ResidualOxidant;
import java.math.BigDecimal;

/** How a residual oxidant is told, in one place. */
public final class ResidualFigures {

  /** The name of what it stops. */
  public static final String NAME = "residual-oxidant";

  /** What is said wherever one is told. */
  public static final String NOT_REDOX = "redox is not residual oxidant";

  private static final int DECIMALS = 3;

  private ResidualFigures() {}

  /** "0.030 mg/L". */
  public static String told(double milligrams) {
    return decimal(milligrams).toPlainString() + " " + UnitCode.MILLIGRAM_PER_LITRE.code();
  }

  /** What was published as safe, mg/L as Cl2. */
  public static String safe() {
    return told(ResidualOxidant.SAFE_CHLORINE_MILLIGRAMS_PER_LITRE);
  }

  /** mg/L with its decimals: what tests with a photometer show, and one more. */
  public static BigDecimal decimal(double milligrams) {
    return Figures.decimal(milligrams, DECIMALS);
  }
}

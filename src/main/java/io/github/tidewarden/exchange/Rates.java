package io.github.tidewarden.exchange;

/**
 * What the pumps really move, as shares of their configured rates, learnt from the level portion by
 * portion.
 *
 * @param drain share of the drain pump's rate
 * @param fill share of the fill pump's rate
 */
public record Rates(double drain, double fill) {

  /** As configured. */
  public static final Rates CONFIGURED = new Rates(1, 1);

  /** A share that is off by this much or more is told. */
  public static final double TOLD_OFF = 0.15;

  /** No share further off than this is used; a pump so far off is faulty. */
  public static final double MOST_OFF = 0.3;

  /** How much of what one portion says is taken over: noise and waves weigh little, wear shows. */
  private static final double TAKEN_OVER = 0.25;

  /** After a portion in which the drain pump moved this share of its rate. */
  public Rates withDrain(double measured) {
    return new Rates(learnt(drain, measured), fill);
  }

  /** After a portion in which the fill pump moved this share of its rate. */
  public Rates withFill(double measured) {
    return new Rates(drain, learnt(fill, measured));
  }

  private static double learnt(double known, double measured) {
    double next = Double.isFinite(measured) ? known + TAKEN_OVER * (measured - known) : known;
    return Math.max(1 - MOST_OFF, Math.min(1 + MOST_OFF, next));
  }
}

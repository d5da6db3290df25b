package io.github.tidewarden.exchange;

/**
 * What the pumps really move, learnt portion by portion.
 *
 * @param drain of the drain pump
 * @param fill of the fill pump
 */
public record Rates(Rate drain, Rate fill) {

  /** A pump that is off its base by this share or more is told. */
  public static final double TOLD_OFF = 0.15;

  /** By this share pumps that were calibrated do not both come off by themselves, one each way. */
  private static final double CALIBRATED_OFF = 0.1;

  /** No rate further off than this share is used; a pump so far off is faulty. */
  public static final double MOST_OFF = 0.3;

  /** No single portion teaches a rate further off the base than this share: it was disturbed. */
  private static final double MOST_TAUGHT = 0.5;

  /** What is remembered is rounded. */
  private static final double ROUNDING = 1e-3;

  /** How much of what the level says is taken over: noise and waves weigh little, wear shows. */
  private static final double TAKEN_OVER = 0.25;

  /**
   * The same of paired heads, of which a bin says little of one portion, which is a small part of
   * it, and the level only by how much they differ.
   */
  private static final double TAKEN_OVER_OF_PAIRED = 0.05;

  /**
   * What one pump really moves.
   *
   * @param baseLitresPerMinute what it is known to move, as calibrated or configured, L/min,
   *     positive
   * @param litresPerMinute what it moves now, never further off its base than {@link #MOST_OFF},
   *     L/min
   */
  public record Rate(double baseLitresPerMinute, double litresPerMinute) {

    /** Bounds what it moves now. */
    public Rate {
      double least = baseLitresPerMinute * (1 - MOST_OFF);
      double most = baseLitresPerMinute * (1 + MOST_OFF);
      litresPerMinute = Math.max(least, Math.min(most, litresPerMinute));
    }

    /** A pump of which nothing else is known. */
    public static Rate of(double baseLitresPerMinute) {
      return new Rate(baseLitresPerMinute, baseLitresPerMinute);
    }

    /** How far it is off its base, as a share of that; negative for less. */
    public double off() {
      return litresPerMinute / baseLitresPerMinute - 1;
    }

    /** Whether it is so far off that it is to be told. */
    public boolean isTold() {
      return Math.abs(off()) >= TOLD_OFF;
    }

    /** Whether it is as far off as is ever believed: the pump, or what measures it, is faulty. */
    public boolean drifts() {
      return Math.abs(off()) >= MOST_OFF - ROUNDING;
    }

    private Rate learnt(double measured, double share) {
      double least = baseLitresPerMinute * (1 - MOST_TAUGHT);
      double most = baseLitresPerMinute * (1 + MOST_TAUGHT);
      double taught = Math.max(least, Math.min(most, measured));
      double next = litresPerMinute + share * (taught - litresPerMinute);
      return Double.isFinite(measured) ? new Rate(baseLitresPerMinute, next) : this;
    }
  }

  /**
   * How much fresh water would have to come in beside the pumps to make of a level what both of
   * them show, the drain pump too slow and the fill pump too quick, L/min; 0 where only one does.
   * So it is with a hold on top-off that does not shut.
   */
  public double besideLitresPerMinute() {
    double slow = drain.baseLitresPerMinute() - drain.litresPerMinute();
    double quick = fill.litresPerMinute() - fill.baseLitresPerMinute();
    return Math.max(0, Math.min(slow, quick));
  }

  /** Whether that is so much that it is to be told. */
  public boolean isBesideTold() {
    return besideShare() >= TOLD_OFF / 2;
  }

  /**
   * Whether it is more than pumps as good as they should be can show.
   *
   * @param calibrated whether a keeper measured what both move
   */
  public boolean seeps(boolean calibrated) {
    return besideShare() >= (calibrated ? CALIBRATED_OFF : MOST_OFF / 2);
  }

  private double besideShare() {
    return besideLitresPerMinute()
        / Math.min(drain.baseLitresPerMinute(), fill.baseLitresPerMinute());
  }

  /** As configured. */
  public static Rates configured(ExchangeSpec spec) {
    return new Rates(
        Rate.of(spec.drain().litresPerMinute()), Rate.of(spec.fill().litresPerMinute()));
  }

  /** After a portion in which the drain pump moved so much by the level, L/min. */
  public Rates withDrain(double measured) {
    return new Rates(drain.learnt(measured, TAKEN_OVER), fill);
  }

  /** After a portion in which the fill pump moved so much by the level, L/min. */
  public Rates withFill(double measured) {
    return new Rates(drain, fill.learnt(measured, TAKEN_OVER));
  }

  /** After a portion in which paired heads moved so much by what the bin lost, L/min. */
  public Rates withBoth(double drained, double filled) {
    return new Rates(
        drain.learnt(drained, TAKEN_OVER_OF_PAIRED), fill.learnt(filled, TAKEN_OVER_OF_PAIRED));
  }

  /**
   * After a portion of paired heads that only the level measured: what the fill pump moved, were
   * the drain pump right, L/min.
   */
  public Rates withFillBeside(double filled) {
    return new Rates(drain, fill.learnt(filled, TAKEN_OVER_OF_PAIRED));
  }
}

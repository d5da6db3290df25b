package io.github.tidewarden.control;

import io.github.tidewarden.exchange.Rates;

/**
 * What is remembered of one pump. Rates and not shares of the configured one, so that a corrected
 * configuration does not bend what was measured.
 *
 * @param calibrated what a keeper measured, µL/min; 0 for never
 * @param learnt what the pump moves by the level or the bin, µL/min; 0 for not known yet
 */
public record PumpMemory(long calibrated, long learnt) {

  static final PumpMemory BLANK = new PumpMemory(0, 0);

  private static final double MICROLITRES_PER_LITRE = 1e6;

  /** As the rule takes it. */
  public Rates.Rate rate(double configuredLitresPerMinute) {
    double base = calibrated == 0 ? configuredLitresPerMinute : calibrated / MICROLITRES_PER_LITRE;
    return learnt == 0 ? Rates.Rate.of(base) : new Rates.Rate(base, learnt / MICROLITRES_PER_LITRE);
  }

  PumpMemory withLearnt(long microlitresPerMinute) {
    return new PumpMemory(calibrated, microlitresPerMinute);
  }

  /** After a keeper measured it: what was learnt before counts no more. */
  static PumpMemory measured(long microlitresPerMinute) {
    return new PumpMemory(microlitresPerMinute, 0);
  }

  static long microlitres(double litresPerMinute) {
    return Math.round(litresPerMinute * MICROLITRES_PER_LITRE);
  }
}

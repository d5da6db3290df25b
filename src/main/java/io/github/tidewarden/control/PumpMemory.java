package io.github.tidewarden.control;

import io.github.tidewarden.exchange.Rates;

/**
 * What is remembered of one pump. Rates and not shares of the configured one; and of no other pump:
 * when the configured rate changes, what was measured before counts no more.
 *
 * @param configured the configured rate that all of it belongs to, µL/min; 0 for not known yet
 * @param calibrated what a keeper measured, µL/min; 0 for never
 * @param learnt what the pump moves by the level or the bin, µL/min; 0 for not known yet
 */
public record PumpMemory(long configured, long calibrated, long learnt) {

  static final PumpMemory BLANK = new PumpMemory(0, 0, 0);

  private static final double MICROLITRES_PER_LITRE = 1e6;

  /** As the rule takes it. */
  public Rates.Rate rate(double configuredLitresPerMinute) {
    PumpMemory known = of(configuredLitresPerMinute);
    double base =
        known.calibrated == 0
            ? configuredLitresPerMinute
            : known.calibrated / MICROLITRES_PER_LITRE;
    return known.learnt == 0
        ? Rates.Rate.of(base)
        : new Rates.Rate(base, known.learnt / MICROLITRES_PER_LITRE);
  }

  /** What is known of a pump with this configured rate, L/min. */
  public PumpMemory of(double configuredLitresPerMinute) {
    return of(microlitres(configuredLitresPerMinute));
  }

  private PumpMemory of(long configuredNow) {
    return configuredNow == configured ? this : new PumpMemory(configuredNow, 0, 0);
  }

  PumpMemory withLearnt(long configuredNow, long microlitresPerMinute) {
    return new PumpMemory(configuredNow, of(configuredNow).calibrated, microlitresPerMinute);
  }

  /** After a keeper measured it: what was learnt before counts no more. */
  static PumpMemory measured(long configuredNow, long microlitresPerMinute) {
    return new PumpMemory(configuredNow, microlitresPerMinute, 0);
  }

  static long microlitres(double litresPerMinute) {
    return Math.round(litresPerMinute * MICROLITRES_PER_LITRE);
  }
}

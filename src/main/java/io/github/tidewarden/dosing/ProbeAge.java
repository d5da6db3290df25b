package io.github.tidewarden.dosing;

import java.time.Duration;

/**
 * How old the calibration of a redox probe may be.
 *
 * @param required whether ozone starts only when every probe has one; if not, one that there is
 *     still ages
 * @param warnNanos from this age on the keeper is told, positive
 * @param forbidNanos from this age on no ozone starts, over {@code warnNanos}
 */
public record ProbeAge(boolean required, long warnNanos, long forbidNanos) {

  /** Standard age from which a keeper is told. */
  public static final Duration WARN = Duration.ofDays(60);

  /** Standard age from which no ozone starts. */
  public static final Duration FORBID = Duration.ofDays(90);

  /** Where a keeper has said why no probe is calibrated. */
  public static final ProbeAge NOT_REQUIRED = new ProbeAge(false, WARN.toNanos(), FORBID.toNanos());

  /**
   * Checks.
   *
   * @throws IllegalArgumentException when an age is not positive or they are the wrong way round
   */
  public ProbeAge {
    if (!(warnNanos > 0 && forbidNanos > warnNanos)) {
      throw new IllegalArgumentException("ages of " + warnNanos + " and " + forbidNanos + " ns");
    }
  }
}

package io.github.tidewarden.control;

import java.time.Duration;

/**
 * How long carbon lasts, by the time for which ozone ran since it was changed. How much it takes up
 * depends on its amount, the humidity and the generator; no published hours were found, so the
 * standard ones are our choice.
 *
 * @param remindNanos from this on the keeper is told, positive
 * @param forbidNanos from this on no ozone starts, over {@code remindNanos}
 */
public record CarbonLife(long remindNanos, long forbidNanos) {

  /** Standard hours from which a keeper is told; our choice. */
  public static final Duration REMIND = Duration.ofHours(400);

  /** Standard hours from which no ozone starts; our choice. */
  public static final Duration FORBID = Duration.ofHours(500);

  /** As it is where nothing else is configured. */
  public static final CarbonLife STANDARD = new CarbonLife(REMIND.toNanos(), FORBID.toNanos());

  /**
   * Checks.
   *
   * @throws IllegalArgumentException when a time is not positive or they are the wrong way round
   */
  public CarbonLife {
    if (!(remindNanos > 0 && forbidNanos > remindNanos)) {
      throw new IllegalArgumentException("hours of " + remindNanos + " and " + forbidNanos + " ns");
    }
  }
}

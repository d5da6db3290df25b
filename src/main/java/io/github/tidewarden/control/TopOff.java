package io.github.tidewarden.control;

import io.github.tidewarden.gate.Lease;
import io.github.tidewarden.quantity.Moment;
import org.jspecify.annotations.Nullable;

/**
 * The hold on top-off between two events.
 *
 * @param lease the live hold; null for none
 * @param sinceNanos since when it has been held without a break, monotonic; null when it is not
 * @param untilNanos it stays held until then after a portion, monotonic
 * @param givenUp whether it was released because it lasted too long
 */
record TopOff(@Nullable Lease lease, @Nullable Long sinceNanos, long untilNanos, boolean givenUp) {

  static TopOff atBoot(Moment now) {
    return new TopOff(null, null, now.monoNanos(), false);
  }
}

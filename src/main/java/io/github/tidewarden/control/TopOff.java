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
 * @param freeUntilNanos after a long hold no portion begins until then, so that what evaporated can
 *     come back, monotonic
 */
record TopOff(
    @Nullable Lease lease,
    @Nullable Long sinceNanos,
    long untilNanos,
    boolean givenUp,
    long freeUntilNanos) {

  static TopOff atBoot(Moment now) {
    // What a portion before the start needs of it is not known any more.
    long until = now.monoNanos() + TopOffKeeper.AFTER_NANOS;
    return new TopOff(null, null, until, false, now.monoNanos());
  }
}

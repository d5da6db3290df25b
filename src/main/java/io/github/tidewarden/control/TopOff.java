package io.github.tidewarden.control;

import io.github.tidewarden.gate.Lease;
import io.github.tidewarden.interlock.Device;
import io.github.tidewarden.quantity.Moment;
import java.util.Map;
import org.jspecify.annotations.Nullable;

/**
 * The hold on top-off between two events.
 *
 * @param lease the live hold; null for none
 * @param sinceNanos since when it has been held without a break, monotonic; null when it is not
 * @param untilNanos it stays held until then after a portion, monotonic
 * @param givenUp whether it was held for too long, and is released once no pump runs
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

  /** Whether it is certainly held: told so, and where the device reports, by its own word. */
  boolean held(Tank tank, Map<String, Device> devices) {
    String hold = tank.hold();
    return lease != null
        && !givenUp
        && (hold == null
            || tank.confirm(hold) == null
            || Boolean.TRUE.equals(devices.getOrDefault(hold, Device.UNKNOWN).reportedOn()));
  }

  /**
   * Whether no portion may begin that takes so long, since it would not be over in time.
   *
   * @param portionNanos how long it takes when nothing holds it up, ns
   */
  boolean holdsUp(long portionNanos, Moment now) {
    Long since = sinceNanos;
    boolean tooLong =
        since != null
            && now.since(since) + portionNanos + TopOffKeeper.MARGIN_NANOS
                >= TopOffKeeper.LONGEST_NANOS;
    return tooLong || givenUp || now.since(freeUntilNanos) < 0;
  }
}

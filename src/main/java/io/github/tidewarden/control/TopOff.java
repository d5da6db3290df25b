package io.github.tidewarden.control;

import io.github.tidewarden.gate.Lease;
import io.github.tidewarden.interlock.Device;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.Spend;
import java.time.Duration;
import java.util.Map;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/**
 * The hold on top-off between two events.
 *
 * @param lease the live hold; null for none
 * @param sinceNanos since when it may have been held with no pause that counts, monotonic; null
 *     when it is not
 * @param freeNanos from then on a hold that is over is at rest for certain, monotonic
 * @param sureNanos until then it is held for certain, by the last lease; monotonic
 * @param untilNanos it stays held until then after a portion, monotonic
 * @param givenUp whether it is held no more: for too long, and is released once no pump runs, or
 *     its tank only rests
 */
record TopOff(
    @Nullable Lease lease,
    @Nullable Long sinceNanos,
    long freeNanos,
    long sureNanos,
    long untilNanos,
    boolean givenUp) {

  /** What is remembered over a start: so much less than it was held, at most. */
  static final long STEP_NANOS = TimeUnit.MINUTES.toNanos(30);

  /** A pause that counts: in it what evaporated in two hours can come back. */
  static final long PAUSE_NANOS = TimeUnit.MINUTES.toNanos(5);

  /** Once it was held so long no portion begins before a pause that counts. */
  private static final long LONG_NANOS = TimeUnit.HOURS.toNanos(1);

  /** What remains of the longest hold when the last portion in it is over. */
  private static final long MARGIN_NANOS = TimeUnit.MINUTES.toNanos(5) + TopOffKeeper.AFTER_NANOS;

  /**
   * At boot: what a portion before the start needs of it is not known any more.
   *
   * @param known for how long it was held by the last record of that, and when; null for none
   */
  static TopOff atBoot(@Nullable Spend known, String boot, Moment now) {
    Duration step = Duration.ofNanos(STEP_NANOS);
    long held =
        known == null
            ? STEP_NANOS
            : TimeUnit.MILLISECONDS.toNanos(known.amount())
                + known.ageAtMost(boot, now, step).toNanos();
    return new TopOff(
        null,
        now.monoNanos() - held,
        now.monoNanos() + TankMemory.LEASE_AFTER_CRASH.toNanos(),
        now.monoNanos(),
        now.monoNanos() + TopOffKeeper.AFTER_NANOS,
        false);
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

  /** Whether it may let water in: it is not held, and its last lease does not hold it any more. */
  boolean mayLetIn(Tank tank, Map<String, Device> devices, Moment now) {
    String hold = tank.hold();
    boolean reportsRest =
        hold != null
            && tank.confirm(hold) != null
            && Boolean.FALSE.equals(devices.getOrDefault(hold, Device.UNKNOWN).reportedOn());
    return !held(tank, devices) && (reportsRest || now.since(sureNanos) >= 0);
  }

  /** The same, told to rest. */
  TopOff toldToRest(Moment now) {
    return new TopOff(lease, sinceNanos, freeNanos, now.monoNanos(), untilNanos, givenUp);
  }

  /**
   * Whether no portion may begin that takes so long: it would not be over in time, or what
   * evaporated in a long hold has to come back first.
   *
   * @param portionNanos how long it takes when nothing holds it up, ns
   */
  boolean holdsUp(long portionNanos, Moment now) {
    long held = heldNanos(now);
    boolean tooLong = held > 0 && held + portionNanos + MARGIN_NANOS >= TopOffKeeper.LONGEST_NANOS;
    return tooLong || givenUp || (lease == null && held >= LONG_NANOS);
  }

  /** For how long it may have been held with no pause that counts, ns. */
  long heldNanos(Moment now) {
    Long since = sinceNanos;
    return since == null ? 0 : now.since(since);
  }

  /**
   * After a cycle.
   *
   * @param next the live hold now; null for none
   */
  TopOff after(@Nullable Lease next, long until, boolean released, Moment now) {
    long free = next == null && lease != null ? lease.boundNanos() : freeNanos;
    boolean paused = next == null && now.since(free) >= PAUSE_NANOS;
    Long begun = next != null && sinceNanos == null ? Long.valueOf(now.monoNanos()) : sinceNanos;
    long sure = next == null ? sureNanos : next.outNanos();
    return new TopOff(next, paused ? null : begun, free, sure, until, released);
  }

  /** The same, held no more. */
  TopOff letGo() {
    return new TopOff(null, sinceNanos, freeNanos, sureNanos, untilNanos, true);
  }

  /** The same; what it was held for until now does not count. */
  TopOff anew(Moment now) {
    Long since = sinceNanos == null ? null : Long.valueOf(now.monoNanos());
    return new TopOff(lease, since, freeNanos, sureNanos, untilNanos, givenUp);
  }
}

package io.github.tidewarden.interlock;

import org.jspecify.annotations.Nullable;

/**
 * Where one interlock stands. Volatile: it starts {@link Phase#QUIET} at every start of the daemon;
 * latches and counts are kept apart and survive.
 *
 * <pre>
 * from      to        when
 * QUIET     STANDING  the cause is true
 * STANDING  QUIET     the cause is false
 * STANDING  RESTING   the cause is false, and the rest after an earlier trip is not over
 * STANDING  TRIPPED   the cause stood, armed, for its delay (or its latch condition for that one's)
 * TRIPPED   RESTING   the clear condition is true
 * RESTING   QUIET     the rest is over
 * RESTING   STANDING  the cause is true again
 * </pre>
 *
 * A cause that cannot be told (a signal went bad) changes nothing: it neither starts nor ends
 * anything here, and delays run on. That an unknown signal forbids is the business of {@link
 * Silence}.
 *
 * @param phase where it stands
 * @param sinceNanos when this phase began, monotonic
 * @param armedNanos since when the cause has counted, monotonic; null when unarmed
 * @param latchNanos since when the latch condition has stood, monotonic; null when it does not
 * @param restUntilNanos end of the rest after the last trip, monotonic; meaningful while {@link
 *     Phase#RESTING}, and while the cause stands again
 */
public record Watch(
    Phase phase,
    long sinceNanos,
    @Nullable Long armedNanos,
    @Nullable Long latchNanos,
    long restUntilNanos) {

  /** The phases of an interlock. */
  public enum Phase {
    /** Nothing is wrong. */
    QUIET,
    /** The cause is there, but not for long enough, or unarmed. */
    STANDING,
    /** It has acted, and the cause is not over. */
    TRIPPED,
    /** The cause is over; what it stopped still rests. */
    RESTING
  }

  static final Watch QUIET = new Watch(Phase.QUIET, 0, null, null, 0);

  /** The watch one cycle on. */
  Watch next(
      InterlockSpec spec, Verdict cause, Verdict clear, Verdict latch, boolean armed, long now) {
    Watch moved = move(spec, cause, clear, armed, now);
    return moved.timingLatch(latch, now).tripping(spec, now);
  }

  /** Whether the latch condition has stood for its delay, armed. */
  boolean latches(InterlockSpec spec, long now) {
    return armedNanos != null
        && latchNanos != null
        && now - Math.max(latchNanos, armedNanos) >= spec.latchForNanos();
  }

  private Watch move(InterlockSpec spec, Verdict cause, Verdict clear, boolean armed, long now) {
    return switch (phase) {
      case QUIET -> cause == Verdict.TRUE ? standing(armed, now, now) : this;
      case STANDING -> {
        if (cause == Verdict.FALSE) {
          yield now - restUntilNanos >= 0
              ? QUIET
              : new Watch(Phase.RESTING, now, null, null, restUntilNanos);
        }
        yield armedNanos == null && armed
            ? new Watch(phase, sinceNanos, now, latchNanos, restUntilNanos)
            : this;
      }
      case TRIPPED ->
          clear == Verdict.TRUE
              ? new Watch(Phase.RESTING, now, null, null, now + spec.restNanos())
              : this;
      case RESTING -> {
        if (cause == Verdict.TRUE) {
          yield standing(armed, now, restUntilNanos);
        }
        yield now - restUntilNanos >= 0 ? QUIET : this;
      }
    };
  }

  private Watch timingLatch(Verdict latch, long now) {
    boolean timed = latchNanos != null;
    if (latch == Verdict.UNKNOWN || timed == (latch == Verdict.TRUE)) {
      return this;
    }
    return new Watch(
        phase, sinceNanos, armedNanos, latch == Verdict.TRUE ? now : null, restUntilNanos);
  }

  private Watch tripping(InterlockSpec spec, long now) {
    boolean due =
        phase == Phase.STANDING
            && (latches(spec, now) || (armedNanos != null && now - armedNanos >= spec.forNanos()));
    return due ? new Watch(Phase.TRIPPED, now, armedNanos, latchNanos, restUntilNanos) : this;
  }

  private static Watch standing(boolean armed, long now, long restUntilNanos) {
    return new Watch(Phase.STANDING, now, armed ? now : null, null, restUntilNanos);
  }
}

package io.github.tidewarden.interlock;

import io.github.tidewarden.quantity.Moment;
import java.time.Duration;
import org.jspecify.annotations.Nullable;

/**
 * Silence or bad quality of one thing that a function needs: a signal, or a device's confirmation.
 * It forbids at once and clears by itself. Lost while the function ran, it keeps the function at
 * rest for at least {@link #REST}; the third loss in a night latches, and so does one that lasts
 * longer than a configured limit. Lost while idle, it never latches.
 *
 * @param lostNanos since when it has been lost while its function ran, monotonic; null when it is
 *     there, or was lost while idle
 * @param restUntilNanos end of the rest after a loss, monotonic; null when there is none
 */
public record Silence(@Nullable Long lostNanos, @Nullable Long restUntilNanos) {

  /** Shortest rest after a loss while running. */
  static final Duration REST = Duration.ofMinutes(5);

  /** The how-manieth loss of a night latches. */
  static final int LATCH_AT_COUNT = 3;

  /** Nothing lost. */
  public static final Silence NONE = new Silence(null, null);

  /** One cycle on. */
  Silence next(boolean there, boolean running, Moment now) {
    if (there) {
      return resting(now) ? new Silence(null, restUntilNanos) : NONE;
    }
    if (lostNanos == null && running) {
      return new Silence(now.monoNanos(), now.monoNanos() + REST.toNanos());
    }
    return this;
  }

  /** Whether the loss began in this cycle. */
  boolean beganAfter(Silence before) {
    return lostNanos != null && before.lostNanos == null;
  }

  /** Whether it still keeps its function at rest, there or not. */
  boolean resting(Moment now) {
    return restUntilNanos != null && now.since(restUntilNanos) < 0;
  }

  /** Whether the loss has lasted for {@code limitNanos}; a limit of 0 is none. */
  boolean outlasts(long limitNanos, Moment now) {
    return limitNanos > 0 && lostNanos != null && now.since(lostNanos) >= limitNanos;
  }
}

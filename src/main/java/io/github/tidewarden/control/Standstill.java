package io.github.tidewarden.control;

import io.github.tidewarden.quantity.Moment;
import java.time.Duration;
import org.jspecify.annotations.Nullable;

/**
 * A portion that stands still half done, its pumps at rest for certain. After a while it gives way,
 * and at once where its keeper is waited for: others may use what it shares. It takes no more out
 * then, and once nothing but others holds it up it goes on before any of them begins another
 * portion.
 *
 * @param sinceNanos since when it stands still, monotonic; null when it does not
 * @param gaveWay whether it gave way, and has not gone on since
 * @param ready whether nothing but others holds it up
 */
record Standstill(@Nullable Long sinceNanos, boolean gaveWay, boolean ready) {

  /** Nothing stands still. */
  static final Standstill NONE = new Standstill(null, false, false);

  /** So long others wait for it. */
  static final Duration LONGEST = Duration.ofMinutes(30);

  /** While a portion is under way, before it is decided what its pumps do. */
  Standstill held(boolean moves, boolean nextReady, boolean othersBusy) {
    return moves || (gaveWay && nextReady && !othersBusy)
        ? NONE
        : new Standstill(sinceNanos, gaveWay, nextReady);
  }

  /** The same once that is decided. */
  Standstill lasting(boolean moves, boolean awaitsKeeper, Moment now) {
    Long since = sinceNanos == null ? Long.valueOf(now.monoNanos()) : sinceNanos;
    return moves
        ? NONE
        : new Standstill(
            since, gaveWay || awaitsKeeper || now.since(since) >= LONGEST.toNanos(), ready);
  }

  /** Whether it gave way and now waits for its turn. */
  boolean waitsForItsTurn() {
    return gaveWay && ready;
  }
}

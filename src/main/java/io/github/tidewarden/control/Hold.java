package io.github.tidewarden.control;

import io.github.tidewarden.quantity.Moment;
import java.time.Instant;

/**
 * A keeper's hold on one function of a tank.
 *
 * @param by who holds it
 * @param boot in which it began
 * @param endMonoMillis when it ends, monotonic in that boot; 0 when it ends by the wall clock alone
 * @param end when it ends by the trusted wall clock
 * @param why in the keeper's words
 */
public record Hold(String by, String boot, long endMonoMillis, Instant end, String why) {

  /** Whether it stands. A clock that nobody vouches for ends none. */
  boolean stands(String bootNow, Moment now) {
    return (endMonoMillis != 0 && boot.equals(bootNow))
        ? now.monoNanos() / 1_000_000 < endMonoMillis
        : !now.trusted() || now.wall().isBefore(end);
  }
}

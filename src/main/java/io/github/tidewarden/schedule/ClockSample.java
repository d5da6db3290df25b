package io.github.tidewarden.schedule;

import io.github.tidewarden.quantity.Moment;
import java.time.Duration;
import java.time.Instant;
import org.jspecify.annotations.Nullable;

/**
 * The clocks as the shell read them in one cycle: first both clocks, then the marker, so that a
 * marker touched between two samples is known by the later one.
 *
 * @param wall the wall clock
 * @param monoNanos the monotonic clock, comparable within this boot; it does not count a suspend
 * @param markerTime when the time service last touched its marker, null when there is none or it
 *     cannot be read
 * @param uptimeNanos time since boot, a suspend counted
 */
public record ClockSample(
    Instant wall, long monoNanos, @Nullable Instant markerTime, long uptimeNanos) {

  /** What the wall clock would read at boot on the present time scale. */
  Instant wallAtBoot() {
    return wall.minusNanos(uptimeNanos);
  }

  /** Monotonic time since an earlier sample. */
  Duration since(ClockSample earlier) {
    return Duration.ofNanos(monoNanos - earlier.monoNanos);
  }

  /** How far the wall clock has run ahead (positive) of the monotonic one since another sample. */
  Duration driftSince(ClockSample earlier) {
    return Duration.between(earlier.wall, wall).minus(since(earlier));
  }

  /** The same time as the core takes it. */
  Moment moment(boolean trusted) {
    return new Moment(wall, monoNanos, trusted);
  }
}

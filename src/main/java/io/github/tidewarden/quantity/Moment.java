package io.github.tidewarden.quantity;

import java.time.Instant;

/**
 * Time as a value, handed into the core with every event.
 *
 * <p>The wall clock is for windows and for people; it may be stepped. The monotonic clock is for
 * durations (leases, ages, delays, rests); it never runs backwards within one boot and means
 * nothing across boots.
 *
 * @param wall the wall clock
 * @param monoNanos the monotonic clock in nanoseconds, from an arbitrary origin in this boot
 * @param trusted whether the wall clock may be believed (see {@code schedule.ClockWatch})
 */
public record Moment(Instant wall, long monoNanos, boolean trusted) {

  /** Nanoseconds of monotonic time from {@code earlierMonoNanos} to this moment. */
  public long since(long earlierMonoNanos) {
    return monoNanos - earlierMonoNanos;
  }
}

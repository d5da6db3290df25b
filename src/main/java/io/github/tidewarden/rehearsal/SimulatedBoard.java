package io.github.tidewarden.rehearsal;

import io.github.tidewarden.schedule.ClockSample;
import io.github.tidewarden.schedule.ClockSource;
import java.time.Duration;
import java.time.Instant;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/**
 * The clocks of the board on which the daemon runs: a wall clock that may be wrong, a monotonic one
 * that begins anew with each boot, and the marker of a time service that puts the wall clock right.
 */
final class SimulatedBoard {

  /** The monotonic clock of a machine that has just booted is never at 0. */
  private static final long MONO_AT_BOOT = TimeUnit.MINUTES.toNanos(5);

  private static final Duration MARKS_EVERY = Duration.ofSeconds(64);

  private final VirtualTime time;
  private final Instant start;
  private final ClockSource source;
  private long bootNanos;
  private int boots = 1;
  private Duration wrongBy = Duration.ZERO;
  private boolean serves = true;
  private @Nullable Instant marker;
  private long markedNanos = Long.MIN_VALUE;

  /**
   * A board that has just booted, its wall clock right.
   *
   * @param start the true wall time at which {@code time} began
   * @param source what vouches for its wall clock
   */
  SimulatedBoard(VirtualTime time, Instant start, ClockSource source) {
    this.time = time;
    this.start = start;
    this.source = source;
  }

  /** The true wall time. */
  Instant trueWall() {
    return start.plusNanos(time.nowNanos());
  }

  /** What the board's own wall clock says. */
  Instant wall() {
    return trueWall().plus(wrongBy);
  }

  long monoNanos() {
    return MONO_AT_BOOT + time.nowNanos() - bootNanos;
  }

  /** Names this boot. */
  String bootId() {
    return "boot-" + boots;
  }

  /** By how much its wall clock is ahead. */
  Duration wrongBy() {
    return wrongBy;
  }

  /** What the daemon reads of the clocks; the time service marks on its way. */
  ClockSample sample() {
    if (serves && (marker == null || time.nowNanos() - markedNanos >= MARKS_EVERY.toNanos())) {
      wrongBy = Duration.ZERO;
      isShown();
    }
    return new ClockSample(wall(), monoNanos(), marker, monoNanos());
  }

  /** The time service is there and has the time, or is not. */
  void timeService(boolean there) {
    serves = there;
  }

  /** The time service marks the wall clock as right, as it stands. */
  void isShown() {
    marker = wall();
    markedNanos = time.nowNanos();
  }

  /** Somebody sets the wall clock; the time service, if it is there, puts it right in its time. */
  void step(Duration by) {
    wrongBy = wrongBy.plus(by);
  }

  /**
   * The board boots after a power cut.
   *
   * @param clockWrongBy what its wall clock is ahead until the time service puts it right
   */
  void boots(Duration clockWrongBy) {
    boots++;
    bootNanos = time.nowNanos();
    wrongBy = clockWrongBy;
    marker = null; // it stood in memory
  }

  /** What vouches for its wall clock. */
  ClockSource source() {
    return source;
  }
}

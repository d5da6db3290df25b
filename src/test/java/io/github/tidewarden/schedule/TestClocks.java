package io.github.tidewarden.schedule;

import java.time.Duration;
import java.time.Instant;
import org.jspecify.annotations.Nullable;

/** A board's clocks and its time service, moved by hand. */
final class TestClocks {

  private Instant wall;
  private long monoNanos = 987_654_321;
  private long uptimeNanos;
  private @Nullable Instant marker;

  /** A board that booted {@code uptime} ago and whose wall clock reads {@code wall}. */
  TestClocks(Instant wall, Duration uptime) {
    this.wall = wall;
    uptimeNanos = uptime.toNanos();
  }

  TestClocks pass(Duration time) {
    wall = wall.plus(time);
    monoNanos += time.toNanos();
    uptimeNanos += time.toNanos();
    return this;
  }

  /** Sleep of the whole board: the monotonic clock stands still. */
  TestClocks suspend(Duration time) {
    wall = wall.plus(time);
    uptimeNanos += time.toNanos();
    return this;
  }

  /** Sets the wall clock on (or back, when negative). */
  TestClocks step(Duration by) {
    wall = wall.plus(by);
    return this;
  }

  /** The time service has checked or set the clock. */
  TestClocks touchMarker() {
    return marker(wall);
  }

  TestClocks marker(@Nullable Instant time) {
    marker = time;
    return this;
  }

  @Nullable Instant marker() {
    return marker;
  }

  Instant wall() {
    return wall;
  }

  ClockSample sample() {
    return new ClockSample(wall, monoNanos, marker, uptimeNanos);
  }
}

package io.github.tidewarden.schedule;

import java.time.Duration;
import java.time.Instant;

/**
 * A half-open, never empty span of time: {@code start} belongs to it, {@code end} does not.
 *
 * @param start first instant
 * @param end first instant after it, later than {@code start}
 */
public record Interval(Instant start, Instant end) {

  /**
   * Checks.
   *
   * @throws IllegalArgumentException when {@code end} is not after {@code start}
   */
  public Interval {
    if (!start.isBefore(end)) {
      throw new IllegalArgumentException("an interval from " + start + " to " + end);
    }
  }

  /** Whether {@code instant} is at or after the start and before the end. */
  public boolean contains(Instant instant) {
    return !instant.isBefore(start) && instant.isBefore(end);
  }

  /** Time that really passes from start to end, positive. */
  public Duration length() {
    return Duration.between(start, end);
  }
}

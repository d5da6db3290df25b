package io.github.tidewarden.schedule;

import java.time.DayOfWeek;
import java.time.LocalTime;
import java.util.Set;

/**
 * A span of local clock time in which something may run; crosses midnight when {@code to} is before
 * {@code from}.
 *
 * @param from local time at which it opens
 * @param to local time at which it closes; never equal to {@code from}
 * @param days the evenings (a night's name) on which it opens; never empty
 */
public record WindowSpec(LocalTime from, LocalTime to, Set<DayOfWeek> days) {

  /**
   * Checks and copies.
   *
   * @throws IllegalArgumentException when {@code from} equals {@code to} or no day is named
   */
  public WindowSpec {
    days = Set.copyOf(days);
    if (from.equals(to)) {
      throw new IllegalArgumentException("a window that opens and closes at " + from);
    }
    if (days.isEmpty()) {
      throw new IllegalArgumentException("a window without a day");
    }
  }
}

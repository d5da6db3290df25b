package io.github.tidewarden.schedule;

import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalDateTime;
import java.time.ZoneId;
import java.time.ZoneOffset;
import java.time.temporal.ChronoUnit;
import java.util.OptionalInt;

/**
 * What a patient person with a wall clock would find: an account, minute by minute, of when the
 * local clock first showed or passed a local time. It asks the zone for nothing but the local time
 * of each minute, and so shares no reasoning with the code under test.
 */
final class MinuteWalk {

  private static final int MINUTES_PER_DAY = 24 * 60;

  private final Instant start;

  /** The latest local time shown up to each minute, in minutes of local time. */
  private final long[] furthestLocalMinute;

  MinuteWalk(ZoneId zone, Instant around, int daysEachSide) {
    start = around.truncatedTo(ChronoUnit.MINUTES).minus(daysEachSide, ChronoUnit.DAYS);
    furthestLocalMinute = new long[2 * daysEachSide * MINUTES_PER_DAY];
    long furthest = Long.MIN_VALUE;
    for (int minute = 0; minute < furthestLocalMinute.length; minute++) {
      furthest = Math.max(furthest, localMinute(LocalDateTime.ofInstant(at(minute), zone)));
      furthestLocalMinute[minute] = furthest;
    }
  }

  int minutes() {
    return furthestLocalMinute.length;
  }

  Instant at(int minute) {
    return start.plus(minute, ChronoUnit.MINUTES);
  }

  /** The first minute in which the local clock shows {@code local} or has jumped over it. */
  int firstReached(LocalDateTime local) {
    long wanted = localMinute(local);
    int low = 0;
    int high = furthestLocalMinute.length;
    while (low < high) {
      int middle = (low + high) >>> 1;
      if (furthestLocalMinute[middle] < wanted) {
        low = middle + 1;
      } else {
        high = middle;
      }
    }
    return low;
  }

  /** The date of the last noon that the local clock has shown or jumped over. */
  LocalDate dateOfLastNoon(int minute) {
    long noon = Math.floorDiv(furthestLocalMinute[minute] - MINUTES_PER_DAY / 2, MINUTES_PER_DAY);
    return LocalDate.ofEpochDay(noon);
  }

  /**
   * How many minutes a window stays open that opens at {@code from}: until the clock reaches {@code
   * to}, but not for longer than the window is on paper; one that the clock jumped over whole stays
   * for what it is on paper. Empty when it opens only after the noon that ends its night.
   */
  OptionalInt minutesOpen(LocalDateTime from, LocalDateTime to, LocalDateTime noonAfter) {
    int opens = firstReached(from);
    if (opens >= firstReached(noonAfter)) {
      return OptionalInt.empty();
    }
    int onPaper = (int) ChronoUnit.MINUTES.between(from, to);
    boolean jumpedOver = furthestLocalMinute[opens] >= localMinute(to);
    int open = 0;
    while (open < onPaper && (jumpedOver || furthestLocalMinute[opens + open] < localMinute(to))) {
      open++;
    }
    return OptionalInt.of(open);
  }

  private static long localMinute(LocalDateTime local) {
    return Math.floorDiv(local.toEpochSecond(ZoneOffset.UTC), 60);
  }
}

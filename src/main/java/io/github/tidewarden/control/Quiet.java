package io.github.tidewarden.control;

import io.github.tidewarden.interlock.Event;
import io.github.tidewarden.quantity.Moment;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/**
 * How much was recorded of one name lately: freely {@value #FREE} times in an hour, then once a
 * minute. So a signal that goes to and fro each second gives at most {@value #MOST_PER_HOUR}
 * records in an hour, beside those that must be written.
 *
 * @param hourNanos when the hour began, monotonic
 * @param told records in this hour
 * @param lastNanos when the last was made, monotonic
 * @param heldBack how many were not written since then
 * @param held the latest of these, which is written as soon as one may be; null for none
 */
record Quiet(long hourNanos, int told, long lastNanos, long heldBack, @Nullable Event held) {

  /** Three trips and their ends. */
  static final int FREE = 6;

  /** Most records of one name in an hour, but for those that must be written. */
  static final int MOST_PER_HOUR = FREE + 60;

  private static final long HOUR_NANOS = TimeUnit.HOURS.toNanos(1);
  private static final long MINUTE_NANOS = TimeUnit.MINUTES.toNanos(1);

  /** Nothing was told. */
  static final Quiet NEW = new Quiet(0, 0, 0, 0, null);

  /** Whether one may be recorded now. */
  boolean allows(Moment now) {
    return told < FREE || isOver(now) || now.since(lastNanos) >= MINUTE_NANOS;
  }

  private boolean isOver(Moment now) {
    return told == 0 || now.since(hourNanos) >= HOUR_NANOS;
  }

  /** After one was recorded. */
  Quiet told(Moment now) {
    return isOver(now)
        ? new Quiet(now.monoNanos(), 1, now.monoNanos(), 0, null)
        : new Quiet(hourNanos, told + 1, now.monoNanos(), 0, null);
  }

  /** After one was not. */
  Quiet holding(Event event) {
    return new Quiet(hourNanos, told, lastNanos, heldBack + 1, event);
  }

  /** After what was held back has become meaningless; it still counts. */
  Quiet dropping() {
    return new Quiet(hourNanos, told, lastNanos, heldBack, null);
  }

  /** How many are missing before {@code event}, if that is written now. */
  long unwritten(Event event) {
    return event.equals(held) ? heldBack - 1 : heldBack;
  }
}

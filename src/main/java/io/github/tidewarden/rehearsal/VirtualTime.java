package io.github.tidewarden.rehearsal;

import java.util.PriorityQueue;

/**
 * What is to happen, in virtual time: one queue for messages, timers and faults. Nothing passes but
 * what stands in it, so hours in which nothing happens take no time. What is due at the same moment
 * happens in the order in which it was asked for; the same calls give the same order.
 */
final class VirtualTime {

  private record Due(long nanos, long number, Runnable what) implements Comparable<Due> {
    @Override
    public int compareTo(Due other) {
      int first = Long.compare(nanos, other.nanos);
      return first != 0 ? first : Long.compare(number, other.number);
    }
  }

  private final PriorityQueue<Due> queue = new PriorityQueue<>();
  private long nowNanos;
  private long asked;

  /** Time since the start, ns. */
  long nowNanos() {
    return nowNanos;
  }

  /** Has something happen at a time since the start; what is past happens next. */
  void at(long nanos, Runnable what) {
    queue.add(new Due(Math.max(nanos, nowNanos), asked++, what));
  }

  /** Has something happen after so long. */
  void in(long nanos, Runnable what) {
    at(nowNanos + nanos, what);
  }

  /** Goes on through all that is due by then. */
  void until(long nanos) {
    for (Due next = queue.peek(); next != null && next.nanos() <= nanos; next = queue.peek()) {
      queue.remove();
      nowNanos = next.nanos();
      next.what().run();
    }
    nowNanos = Math.max(nowNanos, nanos);
  }
}

package io.github.tidewarden.control;

import io.github.tidewarden.gate.Command;
import java.util.ArrayDeque;

/**
 * A generator that obeys, drops out by itself, and hears each command in order after its delay,
 * unless that has expired on the way. By real time, ns.
 */
final class SlowGenerator {
  private static final long SECOND = 1_000_000_000L;

  private record Flying(long at, long sentAt, Command command) {}

  private final ArrayDeque<Flying> flying = new ArrayDeque<>();
  private long onUntil;
  private boolean reportedOn;

  void isSent(Command command, long real, long delay) {
    Flying before = flying.peekLast();
    long at = Math.max(before == null ? 0 : before.at(), real + delay);
    flying.add(new Flying(at, real, command));
  }

  void losesMessages() {
    flying.clear();
  }

  /** Until when it runs if it hears nothing more, at most {@code to}. */
  long runsUntil(long to) {
    return Math.min(to, onUntil);
  }

  /** Hears what has arrived by now; true if it has a new state to report. */
  boolean hears(long real) {
    while (!flying.isEmpty() && flying.peek().at() <= real) {
      Flying message = flying.poll();
      Command command = message.command();
      boolean expired =
          command.runs() && message.at() - message.sentAt() > command.expirySeconds() * SECOND;
      if (!expired) {
        onUntil = real + command.leaseSeconds() * SECOND;
      }
    }
    boolean changed = reportedOn != isOn(real);
    reportedOn = isOn(real);
    return changed;
  }

  boolean isOn(long real) {
    return onUntil > real;
  }

  /** Whether it runs, or is about to hear or to report something. */
  boolean isBusy(long real) {
    return isOn(real) || !flying.isEmpty() || reportedOn;
  }
}

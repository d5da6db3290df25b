package io.github.tidewarden.rehearsal;

import io.github.tidewarden.gate.Command;
import io.github.tidewarden.interlock.ConfirmSpec;
import io.github.tidewarden.quantity.Moment;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import org.jspecify.annotations.Nullable;

/** What each device of a tank was told last, and which is to be told to rest. */
final class JudgedOrders {
  private static final long SECOND = 1_000_000_000L;

  /** To run: since when, when last, for how long, and how long the message may take. */
  private record Told(long firstNanos, long nanos, int seconds, int expirySeconds) {}

  /** A device has this long more than it may take to confirm. */
  private static final long SLACK = 2 * SECOND;

  private final Map<String, Told> told = new HashMap<>();

  /** When each device was told to rest last. */
  private final Map<String, Long> rested = new HashMap<>();

  /** When each device told of its state last. */
  private final Map<String, Long> reported = new HashMap<>();

  /** Until when each device that is on unasked is to be told to rest. */
  private final Map<String, Long> unasked = new HashMap<>();

  /** A command is given. */
  void commanded(Command command, Moment now) {
    String actuator = command.actuator();
    unasked.remove(actuator);
    if (command.runs()) {
      Told last = told.get(actuator);
      long first = last == null ? now.monoNanos() : last.firstNanos();
      told.put(
          actuator,
          new Told(first, now.monoNanos(), command.leaseSeconds(), command.expirySeconds()));
    } else {
      told.remove(actuator);
      rested.put(actuator, now.monoNanos());
    }
  }

  /** A device says in which state it is: if it is on and was not told to be, it is to rest. */
  void hears(String actuator, ConfirmSpec confirm, String payload, Moment now) {
    reported.put(actuator, now.monoNanos());
    String state = JudgedSignals.text(confirm.pointer(), payload);
    if (!confirm.onText().equals(state) || told.containsKey(actuator)) {
      unasked.remove(actuator);
      return;
    }
    Long last = rested.get(actuator); // what it says may have crossed with that
    long due =
        last != null && now.monoNanos() - last < confirm.withinNanos()
            ? last + confirm.withinNanos() + SECOND
            : now.monoNanos();
    unasked.putIfAbsent(actuator, due);
  }

  /** The devices that were to be told to rest by now and were not; each is named once. */
  List<String> leftUnasked(Moment now) {
    if (unasked.isEmpty()) {
      return List.of();
    }
    List<String> left = new ArrayList<>();
    unasked.entrySet().stream()
        .filter(entry -> now.monoNanos() - entry.getValue() >= 0)
        .map(Map.Entry::getKey)
        .sorted()
        .forEach(left::add);
    unasked.keySet().removeAll(left);
    return left;
  }

  /** The devices that have run for longer than they may without a word of themselves. */
  List<String> unconfirmed(Map<String, ConfirmSpec> confirms, Moment now) {
    List<String> mute = new ArrayList<>();
    told.forEach(
        (actuator, run) -> {
          ConfirmSpec confirm = confirms.get(actuator);
          Long said = reported.get(actuator);
          boolean late =
              confirm != null
                  && now.monoNanos() - run.firstNanos() >= confirm.withinNanos() + SLACK
                  && (said == null || said - run.firstNanos() < 0);
          if (late && isOn(actuator, now)) {
            mute.add(actuator);
          }
        });
    return mute;
  }

  /** The link is gone, and with it what devices said of themselves. */
  void unheard() {
    unasked.clear();
    reported.clear();
  }

  /** A daemon that starts again has told and heard nothing. */
  void forget() {
    told.clear();
    rested.clear();
    reported.clear();
    unasked.clear();
  }

  /** Those that were told to run and not to rest since. */
  Set<String> running() {
    return told.keySet();
  }

  /** Whether a device was told to run and its lease is not over. */
  boolean isOn(String actuator, Moment now) {
    Told last = told.get(actuator);
    return last != null && now.monoNanos() - (last.nanos() + last.seconds() * SECOND) < 0;
  }

  /** When the last run of a device is over whatever happens; null when it was not told to run. */
  @Nullable Long bound(String actuator) {
    Told last = told.get(actuator);
    return last == null
        ? null
        : Long.valueOf(last.nanos() + (last.seconds() + last.expirySeconds()) * SECOND);
  }
}

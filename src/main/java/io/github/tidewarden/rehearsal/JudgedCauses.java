package io.github.tidewarden.rehearsal;

import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.interlock.Arming;
import io.github.tidewarden.interlock.Condition;
import io.github.tidewarden.interlock.InterlockSpec;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.interlock.Verdict;
import io.github.tidewarden.quantity.Moment;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;

/**
 * What stops a function of a tank by what the daemon can know of its causes, and how long each trip
 * keeps it at rest, in the judge's own words.
 */
final class JudgedCauses {

  /**
   * A trip.
   *
   * @param over whether its cause was seen to be over
   * @param restUntil until when what it stops rests, monotonic; meaningful once it is over
   */
  private record Trip(InterlockSpec interlock, boolean over, long restUntil) {}

  private final TankSpec spec;
  private final JudgedSignals signals;
  private final Map<String, Trip> trips = new HashMap<>();

  /** Since when the condition that latches an interlock has stood, by its name. */
  private final Map<String, Long> latching = new HashMap<>();

  /** How often each interlock has tripped in this night, by the records on the disk. */
  private final Map<String, Integer> counts = new HashMap<>();

  JudgedCauses(TankSpec spec, JudgedSignals signals) {
    this.spec = spec;
    this.signals = signals;
  }

  /**
   * Which cause stands, or cannot be told, that stops a function; nothing for none.
   *
   * @param slackNanos so much older than its limit a signal may be
   */
  Optional<String> forbids(TankFunction function, long slackNanos, Moment now) {
    for (InterlockSpec interlock : spec.interlocks()) {
      if (interlock.stops().contains(function)) {
        Verdict verdict = signals.verdict(interlock.cause(), now.monoNanos(), slackNanos);
        if (verdict != Verdict.FALSE) {
          return Optional.of(interlock.name() + " is " + verdict);
        }
      }
    }
    return Optional.empty();
  }

  /** Which trip still keeps a function at rest; nothing for none. */
  Optional<String> rests(TankFunction function, Moment now) {
    return trips.values().stream()
        .filter(trip -> trip.interlock().stops().contains(function))
        .filter(trip -> !trip.over() || now.monoNanos() - trip.restUntil() < 0)
        .findFirst()
        .map(trip -> trip.interlock().name() + " has tripped and its rest is not over");
  }

  /**
   * A trip is recorded; of what is no interlock of the tank nothing is known here.
   *
   * @return whether it is the how-manieth of a night that latches
   */
  boolean tripped(String name) {
    Optional<InterlockSpec> known =
        spec.interlocks().stream().filter(interlock -> interlock.name().equals(name)).findFirst();
    known.ifPresent(interlock -> trips.put(name, new Trip(interlock, false, 0)));
    int latches = known.map(InterlockSpec::latchAtCount).orElse(0);
    return latches > 0 && counts.getOrDefault(name, 0) + 1 >= latches;
  }

  /** A trip is on the disk, where a start finds it. */
  void counted(String name) {
    counts.merge(name, 1, Integer::sum);
  }

  /** A night is over. */
  void ends() {
    counts.clear();
  }

  /**
   * The interlocks whose condition to latch has stood for longer than it may, whatever runs.
   *
   * @param slackNanos so much longer is left to the daemon
   */
  List<String> mustLatch(long slackNanos, Moment now) {
    List<String> names = new ArrayList<>();
    for (InterlockSpec interlock : spec.interlocks()) {
      Condition latch = interlock.latchWhen();
      if (latch == null || interlock.arming() != Arming.ALWAYS || interlock.notice()) {
        continue;
      }
      if (signals.verdict(latch, now.monoNanos(), 0) != Verdict.TRUE) {
        latching.remove(interlock.name());
      } else {
        long since = latching.computeIfAbsent(interlock.name(), any -> now.monoNanos());
        if (now.monoNanos() - since >= interlock.latchForNanos() + slackNanos) {
          names.add(interlock.name());
        }
      }
    }
    return names;
  }

  /** A keeper has reset it. */
  void reset(String name) {
    trips.remove(name);
  }

  /** A daemon that starts again knows of no trip that is not latched; it rests anyway. */
  void forget() {
    trips.clear();
    latching.clear();
  }

  /** A step is done: what is over begins to rest, and a rest that is over is forgotten. */
  void stepped(Moment now) {
    if (trips.isEmpty()) {
      return;
    }
    trips.values().removeIf(trip -> trip.over() && now.monoNanos() - trip.restUntil() >= 0);
    trips.replaceAll((name, trip) -> trip.over() || !isOver(trip, now) ? trip : rested(trip, now));
  }

  private static Trip rested(Trip trip, Moment now) {
    return new Trip(trip.interlock(), true, now.monoNanos() + trip.interlock().restNanos());
  }

  private boolean isOver(Trip trip, Moment now) {
    InterlockSpec interlock = trip.interlock();
    return interlock.clear() == null
        ? signals.verdict(interlock.cause(), now.monoNanos(), 0) == Verdict.FALSE
        : signals.verdict(interlock.clear(), now.monoNanos(), 0) == Verdict.TRUE;
  }

  /** Whether all interlocks of a function are as they are when nothing is and was wrong. */
  boolean quiet(TankFunction function, Moment now) {
    return spec.interlocks().stream()
        .filter(interlock -> interlock.stops().contains(function))
        .allMatch(
            interlock ->
                !trips.containsKey(interlock.name())
                    && isOver(new Trip(interlock, false, 0), now)
                    && signals.verdict(interlock.cause(), now.monoNanos(), 0) == Verdict.FALSE);
  }
}

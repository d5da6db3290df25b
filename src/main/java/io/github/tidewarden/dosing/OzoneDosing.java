package io.github.tidewarden.dosing;

import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Signal;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/**
 * On/off control of redox within its band: what ozone is wanted now. It only proposes; interlocks
 * and the gate decide, and tell back whether the generator runs.
 *
 * <pre>
 * from      to        when
 * any       CLOSED    no window is open
 * CLOSED    RESTING   a window is open, the shortest rest is not over
 * CLOSED    WAITING   a window is open
 * RESTING   WAITING   the shortest rest is over
 * WAITING   ASKING    every probe is good and below the start of the band, and the shortest dose
 *                     would not lift the water to its end
 * ASKING    WAITING   that is no longer so
 * ASKING    DOSING    the generator runs
 * DOSING    RESTING   a probe is at or over the end of the band or not good, the water would go
 *                     there by itself, a first dose is over, or it no longer runs
 * any       RESTING   the generator runs though it was not asked for
 * </pre>
 *
 * Moves that follow from each other are made in one cycle. A generator that runs unasked is not
 * taken for a dose: what is proposed is rest.
 */
public final class OzoneDosing {

  private final OzoneSpec spec;

  /**
   * Dosing by one tank's spec.
   *
   * @throws IllegalArgumentException when the band does not lie below the ceiling, or a shortest
   *     time is not positive
   */
  public OzoneDosing(OzoneSpec spec) {
    boolean band =
        spec.startBelowMillivolts() < spec.stopAboveMillivolts()
            && spec.stopAboveMillivolts() < spec.ceilingMillivolts();
    if (!band || spec.shortestOnNanos() <= 0 || spec.shortestOffNanos() <= 0) {
      throw new IllegalArgumentException("no dosing by " + spec);
    }
    this.spec = spec;
  }

  /** What the rule is about. */
  public enum Phase {
    /** No window is open. */
    CLOSED,
    /** The shortest rest between doses is not over. */
    RESTING,
    /** The redox is high enough. */
    WAITING,
    /** Ozone is wanted and does not flow yet. */
    ASKING,
    /** Ozone is wanted and flows. */
    DOSING
  }

  /**
   * Carried from cycle to cycle.
   *
   * @param phase what the rule is about
   * @param restUntilNanos no dose starts before this, monotonic
   * @param startedNanos when the last dose started, monotonic; null when none has since boot
   */
  public record State(Phase phase, long restUntilNanos, @Nullable Long startedNanos) {}

  /**
   * What is wanted, and why.
   *
   * @param state to be handed in again
   * @param run whether ozone is wanted now
   * @param why in the keeper's words
   */
  public record Proposal(State state, boolean run, String why) {}

  /** At boot: the shortest rest begins again. */
  public State atBoot(Moment now) {
    return new State(Phase.CLOSED, now.monoNanos() + spec.shortestOffNanos(), null);
  }

  /**
   * One cycle.
   *
   * @param before the state of the last cycle
   * @param now both clocks
   * @param windowOpen whether one of its windows is open now
   * @param running whether the generator runs by the gate's leave
   * @param probes the redox signals, every one of the tank's
   * @param outlook what is foreseen of a dose
   */
  public Proposal propose(
      State before,
      Moment now,
      boolean windowOpen,
      boolean running,
      List<Signal> probes,
      Outlook outlook) {
    State state = running ? begun(before, now, outlook) : ended(before, now, outlook);
    if (!windowOpen) {
      return rest(
          to(Phase.CLOSED, state.phase() == Phase.DOSING ? resting(state, now, outlook) : state),
          "no window is open");
    }
    if (state.phase() == Phase.CLOSED
        || state.phase() == Phase.RESTING
        || state.phase() == Phase.WAITING) {
      long left = state.restUntilNanos() - now.monoNanos();
      if (left > 0) {
        return rest(
            to(Phase.RESTING, state),
            "resting between doses for " + TimeUnit.NANOSECONDS.toSeconds(left) + " s more");
      }
    }
    return byBand(state, now, probes, outlook);
  }

  private Proposal byBand(State state, Moment now, List<Signal> probes, Outlook outlook) {
    boolean dosing = state.phase() == Phase.DOSING;
    double highest = Double.NEGATIVE_INFINITY;
    Signal worst = null;
    for (Signal probe : probes) {
      if (!probe.good() || !Double.isFinite(probe.value())) {
        return rest(
            dosing ? resting(state, now, outlook) : to(Phase.WAITING, state),
            probe.name() + " is " + (probe.good() ? "not a number" : probe.reason()));
      }
      if (probe.value() > highest) {
        highest = probe.value();
        worst = probe;
      }
    }
    if (worst == null) {
      return rest(
          dosing ? resting(state, now, outlook) : to(Phase.WAITING, state),
          "there is no redox probe");
    }
    String value = worst.name() + " " + worst.measure().told(highest);
    if (dosing && highest >= spec.stopAboveMillivolts()) {
      return rest(
          resting(state, now, outlook),
          value
              + " reached the end of the band, "
              + worst.measure().told(spec.stopAboveMillivolts()));
    }
    if (!dosing && highest >= spec.startBelowMillivolts()) {
      return rest(
          to(Phase.WAITING, state),
          value
              + " is not below the start of the band, "
              + worst.measure().told(spec.startBelowMillivolts()));
    }
    Proposal foreseen = byOutlook(state, now, dosing, outlook, worst.measure());
    if (foreseen != null) {
      return foreseen;
    }
    return new Proposal(
        to(dosing ? Phase.DOSING : Phase.ASKING, state),
        true,
        value + (dosing ? " is within the band" : " is below the start of the band"));
  }

  /** What is foreseen against a dose, or its going on; null for nothing. */
  private @Nullable Proposal byOutlook(
      State state, Moment now, boolean dosing, Outlook outlook, Measure measure) {
    double end = spec.stopAboveMillivolts();
    if (!dosing) {
      double shortest = outlook.shortestMillivolts();
      return shortest < end
          ? null
          : rest(
              to(Phase.WAITING, state),
              Double.isNaN(shortest)
                  ? "redox was not heard for long enough to foresee a dose"
                  : "the shortest dose would lift it to " + measure.told(shortest));
    }
    Long started = state.startedNanos();
    if (started != null && now.since(started) >= outlook.longestNanos()) {
      return rest(
          resting(state, now, outlook), "a first dose is over, and what it does is awaited");
    }
    double peak = outlook.peakMillivolts();
    return peak < end
        ? null
        : rest(
            resting(state, now, outlook),
            Double.isNaN(peak)
                ? "redox was not heard for long enough to foresee how high it goes"
                : "it will go to " + measure.told(peak) + " by what was given already");
  }

  private State begun(State state, Moment now, Outlook outlook) {
    return switch (state.phase()) {
      case DOSING -> state;
      case ASKING -> new State(Phase.DOSING, state.restUntilNanos(), now.monoNanos());
      case CLOSED, RESTING, WAITING -> resting(state, now, outlook);
    };
  }

  private State ended(State state, Moment now, Outlook outlook) {
    return state.phase() == Phase.DOSING ? resting(state, now, outlook) : state;
  }

  /**
   * At rest from now on: for the shortest off, and for the shortest on and off since the start;
   * after a first dose until its effect is over as well.
   */
  private State resting(State state, Moment now, Outlook outlook) {
    long off = Math.max(spec.shortestOffNanos(), outlook.first() ? Outlook.AWAITED.toNanos() : 0);
    long until = now.monoNanos() + off;
    Long started = state.startedNanos();
    if (started != null) {
      long sinceStart = started + spec.shortestOnNanos() + spec.shortestOffNanos();
      until = until - sinceStart >= 0 ? until : sinceStart;
    }
    return new State(Phase.RESTING, until, started);
  }

  private static State to(Phase phase, State state) {
    return new State(phase, state.restUntilNanos(), state.startedNanos());
  }

  private static Proposal rest(State state, String why) {
    return new Proposal(state, false, why);
  }
}

package io.github.tidewarden.control;

import io.github.tidewarden.sensing.Reading;
import java.util.Collections;
import java.util.Set;
import java.util.TreeSet;

/** What the core is told. Every event comes with the {@code Moment} at which it is handled. */
public sealed interface Event {

  /** A message on a sensor's or a state topic. */
  record Heard(Reading reading) implements Event {}

  /** Messages on a topic were lost because too many came at once, or one was too large. */
  record Lost(String topic) implements Event {}

  /**
   * The broker does not let the daemon hear these topics while this connection lasts.
   *
   * @param why its reason code
   */
  record Refused(Set<String> topics, String why) implements Event {
    /** Copies the set, sorted. */
    public Refused {
      topics = Collections.unmodifiableSortedSet(new TreeSet<>(topics));
    }
  }

  /** Time has passed: of use to those tanks that want to be asked again about then. */
  record Tick() implements Event {}

  /** The broker is reached. Nothing sent before it counts. */
  record LinkUp() implements Event {}

  /** The broker is lost. */
  record LinkDown(String why) implements Event {}

  /** A run was made and sent, but did not get to the broker. */
  record Undelivered(String tank, String why) implements Event {}

  /** A permitting record is on disk. */
  record Synced(long ticket) implements Event {}

  /** A permitting record could not be written, and will not be. */
  record Unwritten(long ticket, String why) implements Event {}

  /** The program stood still; what was heard since may be old. */
  record Stalled(long nanos) implements Event {}

  /** Trust in the wall clock changed, or the clock was stepped. */
  record ClockChanged(String what) implements Event {}

  /** A keeper asks for something. */
  record Asked(Request request) implements Event {}

  /** A keeper's request that is not done whatever it asks for, and why not. */
  record TurnedAway(Request request, String why) implements Event {}

  /** The program is being stopped. */
  record Stopping(String why) implements Event {}
}

package io.github.tidewarden.mqtt;

import io.github.tidewarden.gate.Command;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Deque;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import org.jspecify.annotations.Nullable;

/**
 * What waits for room on one connection, and what is under way and not yet acknowledged. Out go
 * first every rest, then the runs, the echo, and last what the daemon says of itself. Not safe for
 * use by several threads at once.
 *
 * <p>On one topic a later command takes the place of one that still waits, and a rest removes a run
 * that still waits: what goes out last is what was decided last.
 *
 * <p>The window is kept here and not left to the library, which throws where it should wait.
 */
final class Outbox {
  /** Messages that may be under way; brokers commonly allow 20. */
  static final int WINDOW = 16;

  /** How many of them may be notes, so that a command always finds room. */
  static final int NOTES_WINDOW = 4;

  /** Notes and answers that may wait. */
  static final int MOST_NOTES = 512;

  /** Topics on which a command of one sort may wait. */
  static final int MOST_COMMANDS = 4096;

  /**
   * A command that waits.
   *
   * @param sinceMonoNanos since when a command of its sort has waited on its topic without a break:
   *     renewals that replace each other must not hide that none has gone out
   */
  private record Waiting(Outgoing outgoing, long sinceMonoNanos) {}

  private final Map<String, Waiting> rests = new LinkedHashMap<>();
  private final Map<String, Waiting> runs = new LinkedHashMap<>();
  private final Deque<Outgoing> notes = new ArrayDeque<>();
  private @Nullable Outgoing echo;

  private final Set<Outgoing> underWay = new LinkedHashSet<>();
  private int notesUnderWay;
  private int window = WINDOW;

  /** Makes the window no larger than what the broker allows. */
  void narrow(int brokerAllows) {
    window = Math.min(WINDOW, brokerAllows);
  }

  /** Takes a command; false if there is no room. */
  boolean offer(Outgoing outgoing, Command command) {
    Map<String, Waiting> own = command.runs() ? runs : rests;
    if (!command.runs()) {
      runs.remove(outgoing.topic());
    }
    Waiting replaced = own.remove(outgoing.topic());
    if (own.size() >= MOST_COMMANDS) {
      return false;
    }
    own.put(
        outgoing.topic(),
        new Waiting(
            outgoing, replaced == null ? outgoing.takenMonoNanos() : replaced.sinceMonoNanos()));
    return true;
  }

  /** Takes a note or an answer; false if there is no room. */
  boolean offer(Outgoing note) {
    return notes.size() < MOST_NOTES && notes.add(note);
  }

  /** Takes an echo in place of one that may still wait. */
  void echo(Outgoing newest) {
    echo = newest;
  }

  /**
   * Moves what goes next from waiting to under way, or returns null if nothing may go now.
   *
   * @param provenNanos until when the broker was certainly awake: a run that was taken later waits,
   *     since one that is written to a broker which has stopped acts when it goes on
   */
  @Nullable Outgoing next(long provenNanos) {
    if (underWay.size() >= window) {
      return null;
    }
    Outgoing next = first(rests);
    if (next == null && !runs.isEmpty()) {
      Outgoing oldestRun = runs.values().iterator().next().outgoing();
      next = oldestRun.takenMonoNanos() - provenNanos <= 0 ? first(runs) : null;
    }
    if (next == null) {
      next = echo;
      echo = null;
    }
    if (next == null && notesUnderWay < NOTES_WINDOW && !notes.isEmpty()) {
      next = notes.remove();
      notesUnderWay++;
    }
    if (next != null) {
      underWay.add(next);
    }
    return next;
  }

  private static @Nullable Outgoing first(Map<String, Waiting> waiting) {
    var iterator = waiting.values().iterator();
    if (!iterator.hasNext()) {
      return null;
    }
    Outgoing first = iterator.next().outgoing();
    iterator.remove();
    return first;
  }

  /** Makes room again; false if it was not under way. */
  boolean done(Outgoing outgoing) {
    boolean was = underWay.remove(outgoing);
    if (was && outgoing.kind() == Outgoing.Kind.NOTE) {
      notesUnderWay--;
    }
    return was;
  }

  /**
   * Since when a command has been without an acknowledgement, whether it waits or is under way, or
   * null if there is none.
   */
  @Nullable Long oldestCommandMonoNanos() {
    Long oldest = null;
    for (Waiting command : commands()) {
      if (oldest == null || command.sinceMonoNanos() - oldest < 0) {
        oldest = command.sinceMonoNanos();
      }
    }
    return oldest;
  }

  private List<Waiting> commands() {
    List<Waiting> all = new ArrayList<>();
    underWay.stream()
        .filter(sent -> sent.command() != null)
        .forEach(sent -> all.add(new Waiting(sent, sent.takenMonoNanos())));
    all.addAll(rests.values());
    all.addAll(runs.values());
    return all;
  }

  /** Whether nothing waits and everything is acknowledged. */
  boolean isEmpty() {
    return underWay.isEmpty()
        && rests.isEmpty()
        && runs.isEmpty()
        && echo == null
        && notes.isEmpty();
  }

  /** Forgets everything and returns the commands that were not acknowledged. */
  List<Command> clear() {
    List<Command> unsure = new ArrayList<>();
    for (Waiting waiting : commands()) {
      Command command = waiting.outgoing().command();
      if (command != null) {
        unsure.add(command);
      }
    }
    rests.clear();
    runs.clear();
    notes.clear();
    echo = null;
    underWay.clear();
    notesUnderWay = 0;
    return unsure;
  }
}

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

  private final Map<String, Outgoing> rests = new LinkedHashMap<>();
  private final Map<String, Outgoing> runs = new LinkedHashMap<>();
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
    Map<String, Outgoing> own = command.runs() ? runs : rests;
    if (!command.runs()) {
      runs.remove(outgoing.topic());
    }
    own.remove(outgoing.topic());
    if (own.size() >= MOST_COMMANDS) {
      return false;
    }
    own.put(outgoing.topic(), outgoing);
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
      Outgoing oldestRun = runs.values().iterator().next();
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

  private static @Nullable Outgoing first(Map<String, Outgoing> waiting) {
    var iterator = waiting.values().iterator();
    if (!iterator.hasNext()) {
      return null;
    }
    Outgoing first = iterator.next();
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

  /** When the oldest command was taken that is not yet acknowledged, or null if there is none. */
  @Nullable Long oldestCommandMonoNanos() {
    Long oldest = null;
    for (Outgoing outgoing : commands()) {
      if (oldest == null || outgoing.takenMonoNanos() - oldest < 0) {
        oldest = outgoing.takenMonoNanos();
      }
    }
    return oldest;
  }

  private List<Outgoing> commands() {
    List<Outgoing> all = new ArrayList<>();
    underWay.stream().filter(sent -> sent.command() != null).forEach(all::add);
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
    for (Outgoing outgoing : commands()) {
      if (outgoing.command() != null) {
        unsure.add(outgoing.command());
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

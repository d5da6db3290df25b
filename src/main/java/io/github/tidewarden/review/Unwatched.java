package io.github.tidewarden.review;

import io.github.tidewarden.control.Kind;
import io.github.tidewarden.control.TankMemory;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.stream.Collectors;
import org.jspecify.annotations.Nullable;

/**
 * When nobody watched over a tank's windows, and why, as the records around them tell. The record
 * of a window that was missed so does not say it: who wrote it was not there.
 */
final class Unwatched {
  private static final String DOWN = "the daemon did not run";
  private static final String UNTRUSTED = "its clock was not trusted";
  private static final String FAILED = "the tank had failed";

  /** Somebody always watched. */
  static final Unwatched NEVER = new Unwatched("");

  private final String tank;
  private final List<Stretch> stretches = new ArrayList<>();
  private final Map<String, Instant> open = new TreeMap<>();

  /** The last date known; before the first record anything can have been. */
  private Instant dated = Instant.MIN;

  private record Stretch(String why, Instant from, Instant to) {}

  private Unwatched(String tank) {
    this.tank = tank;
  }

  static Unwatched of(String tank, List<Entry> entries) {
    Unwatched unwatched = new Unwatched(tank);
    boolean first = true;
    for (Entry entry : entries) {
      if (entry.kind() != Kind.CHECKPOINT && entry.kind() != Kind.RECOVERED) {
        unwatched.hears(entry, first);
        first = false;
      }
    }
    List.copyOf(unwatched.open.keySet()).forEach(why -> unwatched.ends(why, Instant.MAX));
    unwatched.stretches.sort(Comparator.comparing(Stretch::from));
    return unwatched;
  }

  /** Why nobody watched at some time between two instants, in their order; empty if not told. */
  String why(Instant from, Instant to) {
    return stretches.stream()
        .filter(stretch -> stretch.from().isBefore(to) && stretch.to().isAfter(from))
        .map(Stretch::why)
        .distinct()
        .collect(Collectors.joining(", then "));
  }

  private void hears(Entry entry, boolean first) {
    if (entry.kind() == Kind.START) {
      ends(FAILED, dated);
      if (!first) {
        open.putIfAbsent(DOWN, dated);
      }
    }
    Instant at = entry.mark().at();
    if (at != null) {
      dated = at;
      ends(DOWN, at);
    }
    if (entry.record().trusted()) {
      ends(UNTRUSTED, dated);
    } else {
      open.putIfAbsent(UNTRUSTED, dated);
    }
    if (entry.tank().equals(tank)) {
      hearsOfTank(entry);
    }
  }

  private void hearsOfTank(Entry entry) {
    if (entry.kind() == Kind.FAULT) {
      open.putIfAbsent(FAILED, dated);
    } else if (entry.kind() == Kind.ACT && entry.text("name").equals(TankMemory.FAULT)) {
      ends(FAILED, dated);
    }
  }

  private void ends(String why, Instant to) {
    @Nullable Instant from = open.remove(why);
    if (from != null) {
      stretches.add(new Stretch(why, from, to));
    }
  }
}

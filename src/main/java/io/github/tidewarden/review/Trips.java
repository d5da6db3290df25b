package io.github.tidewarden.review;

import java.util.ArrayList;
import java.util.List;
import org.jspecify.annotations.Nullable;

/** The trips of one tank, as their records come in; each with what came of it. */
final class Trips {

  /**
   * One trip.
   *
   * @param name the interlock
   * @param at when it acted
   * @param why what it saw, in the keeper's words
   * @param firstOut the trip that came first; its own name if it was the first
   * @param stops what it stopped
   * @param latched when it became latched; null when it did not
   * @param cleared when its cause was over; null when that is not recorded
   * @param lost the start of the daemon after which nothing is known of its cause; null for none
   */
  record Trip(
      String name,
      Mark at,
      String why,
      String firstOut,
      List<String> stops,
      @Nullable Mark latched,
      @Nullable Mark cleared,
      @Nullable Mark lost) {

    boolean isConsequence() {
      return !firstOut.isEmpty() && !firstOut.equals(name);
    }

    /** When it was over as far as is known; null while it stands. */
    @Nullable Mark end() {
      return cleared != null ? cleared : lost;
    }
  }

  /** A first trip and the trips that it brought with it. */
  record Group(Trip first, List<Trip> consequences) {}

  private final List<Trip> trips = new ArrayList<>();

  void tripped(Entry entry) {
    trips.add(
        new Trip(
            entry.text("name"),
            entry.mark(),
            entry.why(),
            entry.text("first-out"),
            entry.texts("stops"),
            entry.flag("latched") ? entry.mark() : null,
            null,
            null));
  }

  /** Whether it was a trip that became latched, and not something else of that name. */
  boolean latched(Entry entry) {
    int place = last(entry.text("name"));
    if (place < 0 || trips.get(place).end() != null) {
      return false;
    }
    Trip t = trips.get(place);
    Mark latched = t.latched() == null ? entry.mark() : t.latched();
    trips.set(
        place,
        new Trip(
            t.name(), t.at(), t.why(), t.firstOut(), t.stops(), latched, t.cleared(), t.lost()));
    return true;
  }

  /** Whether it was a trip that is over, and not something else of that name. */
  boolean cleared(Entry entry) {
    int place = last(entry.text("name"));
    if (place < 0 || trips.get(place).cleared() != null) {
      return false;
    }
    Trip t = trips.get(place);
    trips.set(
        place,
        new Trip(
            t.name(),
            t.at(),
            t.why(),
            t.firstOut(),
            t.stops(),
            t.latched(),
            entry.mark(),
            t.lost()));
    return true;
  }

  /** The daemon starts; interlocks begin quiet. */
  void started(Entry start) {
    trips.replaceAll(
        t ->
            t.end() != null
                ? t
                : new Trip(
                    t.name(),
                    t.at(),
                    t.why(),
                    t.firstOut(),
                    t.stops(),
                    t.latched(),
                    null,
                    start.mark()));
  }

  /** What the last trip of that name stopped; empty when none is known. */
  List<String> stops(String name) {
    int place = last(name);
    return place < 0 ? List.of() : trips.get(place).stops();
  }

  /** Those that touch a span, each with its consequences. */
  List<Group> in(Span span) {
    List<Group> groups = new ArrayList<>();
    for (Trip trip : trips) {
      Group first = trip.isConsequence() ? groupOf(trip, groups) : null;
      if (first != null) {
        first.consequences().add(trip);
      } else {
        groups.add(new Group(trip, new ArrayList<>()));
      }
    }
    return groups.stream()
        .filter(
            group ->
                touches(group.first(), span)
                    || group.consequences().stream().anyMatch(trip -> touches(trip, span)))
        .toList();
  }

  private static boolean touches(Trip trip, Span span) {
    return trip.at().lastsInto(span, trip.end());
  }

  private static @Nullable Group groupOf(Trip trip, List<Group> groups) {
    for (int i = groups.size() - 1; i >= 0; i--) {
      if (groups.get(i).first().name().equals(trip.firstOut())) {
        return groups.get(i);
      }
    }
    return null;
  }

  private int last(String name) {
    for (int i = trips.size() - 1; i >= 0; i--) {
      if (trips.get(i).name().equals(name)) {
        return i;
      }
    }
    return -1;
  }
}

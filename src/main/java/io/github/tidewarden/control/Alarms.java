package io.github.tidewarden.control;

import io.github.tidewarden.interlock.Event;
import io.github.tidewarden.interlock.InterlockSpec;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Figures;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.TreeSet;
import org.jspecify.annotations.Nullable;

/**
 * Tells in one turn what interlocks, signals and devices made happen: records, and the topic of
 * each trip. What latches, or counts towards a latch, is recorded always; that ends by itself, with
 * the latch. Of the rest a name that goes to and fro is recorded now and then only, as {@link
 * Quiet} allows, and at last as it stands. The cause of a latched trip is recorded as over once.
 */
final class Alarms {
  private final Turn turn;
  private final Narrator narrator;
  private Map<String, String> trips;
  private Map<String, Quiet> quiets;

  Alarms(Turn turn, Narrator narrator, Story story) {
    this.turn = turn;
    this.narrator = narrator;
    trips = story.trips();
    quiets = story.quiets();
  }

  /** Why each trip that stands was told to have acted, by name. */
  Map<String, String> trips() {
    return trips;
  }

  /** How much each name was told of lately. */
  Map<String, Quiet> quiets() {
    return quiets;
  }

  /** Records what happened, and what was held back until now. */
  void tell(List<Event> events) {
    for (Event event : events) {
      record(event);
      tellTrip(event);
    }
    for (String name : quiets.keySet()) {
      Event held = quiet(name).held();
      if (held != null && quiet(name).allows(turn.now)) {
        write(held);
      }
    }
  }

  private void record(Event event) {
    String name = event.name();
    Event held = quiet(name).held();
    if (mustBeRecorded(event)) {
      if (held != null && held.type() == Event.Type.TRIP && event.type() != Event.Type.TRIP) {
        write(held);
      }
      write(event);
    } else if (clearsALatch(event)) {
      if (quiets.containsKey(name)) {
        noted(name, quiet(name).dropping());
      }
    } else if (quiet(name).allows(turn.now)) {
      write(event);
    } else {
      noted(name, quiet(name).holding(event));
    }
  }

  /** Also where nothing is known of the count, so that none is ever missed. */
  private boolean mustBeRecorded(Event event) {
    return switch (event.type()) {
      case LATCHED, SILENT -> true;
      case TRIP -> {
        InterlockSpec spec = spec(event.name());
        yield event.latched() || spec == null || spec.latchAtCount() > 0;
      }
      case CLEARED -> clearsALatch(event) && trips.containsKey(event.name());
      case NOTICE, DEVICE -> event.latched();
    };
  }

  private @Nullable InterlockSpec spec(String name) {
    return turn.tank.spec.interlocks().stream()
        .filter(spec -> spec.name().equals(name))
        .findFirst()
        .orElse(null);
  }

  /** While latched, what comes and goes again is no trip; only the first end follows one. */
  private boolean clearsALatch(Event event) {
    return event.type() == Event.Type.CLEARED && isLatched(event.name());
  }

  private boolean isLatched(String name) {
    return turn.memory.latches().containsKey(name);
  }

  private Quiet quiet(String name) {
    return quiets.getOrDefault(name, Quiet.NEW);
  }

  private void write(Event event) {
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.NAME, event.name());
    Kind kind =
        switch (event.type()) {
          case TRIP -> Kind.TRIP;
          case LATCHED -> Kind.LATCHED;
          case CLEARED -> Kind.CLEARED;
          case NOTICE -> Kind.NOTICE;
          case SILENT -> Kind.SILENT;
          case DEVICE -> Kind.DEVICE;
        };
    if (kind == Kind.TRIP || kind == Kind.LATCHED || kind == Kind.SILENT) {
      fields.put(Fields.LATCHED, event.latched());
    }
    if (event.type() == Event.Type.TRIP) {
      fields.put(Fields.FIRST_OUT, event.firstOut());
      fields.put("stops", stopped(event.name()));
    }
    long repeats = quiet(event.name()).unwritten(event);
    if (repeats > 0) {
      fields.put("repeats", repeats);
    }
    if (event.type() != Event.Type.CLEARED && event.type() != Event.Type.DEVICE) {
      fields.putAll(narrator.vector());
    }
    turn.write(kind, event.why(), fields);
    noted(event.name(), quiet(event.name()).told(turn.now));
  }

  /** What was handed in stays as it was. */
  private void noted(String name, Quiet quiet) {
    quiets = new TreeMap<>(quiets);
    quiets.put(name, quiet);
  }

  private List<String> stopped(String interlock) {
    if (WaterMemory.faults(interlock)) {
      return List.of(TankFunction.EXCHANGE.word());
    }
    return turn.tank.spec.interlocks().stream()
        .filter(spec -> spec.name().equals(interlock))
        .flatMap(spec -> spec.stops().stream().sorted())
        .map(TankFunction::word)
        .toList();
  }

  private void tellTrip(Event event) {
    if (event.type() == Event.Type.TRIP) {
      trips = new TreeMap<>(trips);
      trips.put(event.name(), event.why());
    } else if (event.type() == Event.Type.CLEARED) {
      trips = new TreeMap<>(trips);
      trips.remove(event.name());
    }
    if (event.latched() || event.type() == Event.Type.TRIP) {
      tellTrip(event.name(), event.why(), event.latched());
    } else if (event.type() == Event.Type.CLEARED && !isLatched(event.name())) {
      tellTripOver(event.name());
    }
  }

  /** After a connect: what stands is told again, and what does not is taken back. */
  void tellAllTrips() {
    TreeSet<String> names = new TreeSet<>(turn.memory.latches().keySet());
    turn.tank.spec.interlocks().forEach(spec -> names.add(spec.name()));
    for (String name : names) {
      String latch = turn.memory.latches().get(name);
      String why = latch == null ? trips.get(name) : latch;
      if (why == null) {
        tellTripOver(name);
      } else {
        tellTrip(name, why, latch != null);
      }
    }
  }

  private void tellTrip(String name, String why, boolean latched) {
    Map<String, Object> content = new LinkedHashMap<>();
    content.put("at", Figures.recordTime(turn.now.wall()));
    content.put("why", why);
    content.put(Fields.LATCHED, latched);
    turn.others.add(new Effect.Tell(turn.tank.spec.name() + "/trip/" + name, content));
  }

  private void tellTripOver(String name) {
    turn.others.add(new Effect.Tell(turn.tank.spec.name() + "/trip/" + name, Map.of()));
  }
}

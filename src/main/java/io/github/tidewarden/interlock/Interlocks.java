package io.github.tidewarden.interlock;

import io.github.tidewarden.sensing.ByName;
import io.github.tidewarden.sensing.SensorSpec;
import io.github.tidewarden.sensing.Signal;
import java.util.ArrayList;
import java.util.Collections;
import java.util.Comparator;
import java.util.EnumMap;
import java.util.EnumSet;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.concurrent.TimeUnit;
import java.util.stream.Collectors;
import org.jspecify.annotations.Nullable;

/**
 * All interlocks of one tank, and the silence rules of the signals that its functions need. Pure:
 * {@link #evaluate} takes the state of the last cycle and gives that of this one.
 *
 * <p>A trip that comes while an earlier one stands, or within a minute of it, is marked as that
 * one's consequence; the earlier one is the {@link FirstOut}.
 */
public final class Interlocks {

  private final List<InterlockSpec> specs;
  private final ByName.Names names;
  private final Silences rules;

  /** What each latch that is neither an interlock's nor a signal's stops. */
  private final Map<String, TankFunction> otherLatches;

  private final List<String> probes;

  /**
   * Interlocks of one tank.
   *
   * @param specs in the order in which they are evaluated
   * @param sensors every sensor of the tank and its room
   * @param needed signals that a function needs beside those that its interlocks watch: for ozone
   *     its redox probes
   * @param otherLatches what each latch stops that is neither an interlock's nor a signal's, by its
   *     name
   */
  public Interlocks(
      List<InterlockSpec> specs,
      List<SensorSpec> sensors,
      Map<TankFunction, List<String>> needed,
      Map<String, TankFunction> otherLatches) {
    this.specs = List.copyOf(specs);
    this.otherLatches = new TreeMap<>(otherLatches);
    this.otherLatches.put(PickUp.NAME, TankFunction.OZONE);
    this.probes = List.copyOf(needed.getOrDefault(TankFunction.OZONE, List.of()));
    names = new ByName.Names(specs.stream().map(InterlockSpec::name).toList());
    Map<String, Set<TankFunction>> needs = new TreeMap<>();
    needed.forEach((function, signals) -> signals.forEach(n -> need(n, Set.of(function), needs)));
    specs.forEach(spec -> spec.cause().watched().forEach(n -> need(n, spec.stops(), needs)));
    rules =
        new Silences(
            needs, sensors.stream().collect(Collectors.toMap(SensorSpec::name, sensor -> sensor)));
  }

  private static void need(
      String signal, Set<TankFunction> by, Map<String, Set<TankFunction>> needs) {
    needs.computeIfAbsent(signal, s -> EnumSet.noneOf(TankFunction.class)).addAll(by);
  }

  /**
   * What is carried from cycle to cycle.
   *
   * @param watches where each interlock stands, by name
   * @param silences what is lost, by signal
   * @param ranNanos when each function ran last, monotonic
   * @param pickUp whether the probes answer the switching of the generator
   * @param firstOut the first trip of those that come together; null before any
   */
  public record State(
      Map<String, Watch> watches,
      Map<String, Silence> silences,
      Map<TankFunction, Long> ranNanos,
      PickUp pickUp,
      @Nullable FirstOut firstOut) {

    /** Everything quiet, as at every start. */
    public static final State QUIET = new State(Map.of(), Map.of(), Map.of(), PickUp.QUIET, null);

    Watch watch(String name) {
      return watches.getOrDefault(name, Watch.QUIET);
    }
  }

  /**
   * What one cycle gave.
   *
   * @param state to be handed in again
   * @param events what happened, first things first
   * @param stops why what may not run: latches and pick-up, then in the order of the interlocks,
   *     then of the signals
   */
  public record Outcome(State state, List<Event> events, List<Stop> stops) {}

  /** One cycle. */
  public Outcome evaluate(State before, Situation situation) {
    List<Event> events = new ArrayList<>();
    List<Stop> stops = new ArrayList<>();
    State watched = watch(before, situation, events);
    List<Stop> lost = new ArrayList<>();
    Map<String, Silence> silences = rules.listen(before.silences(), situation, events, lost);
    PickUp pickUp = probe(before, situation, events);
    addLatchStops(situation, events, stops);
    pickUp.stop().ifPresent(stops::add);
    for (InterlockSpec spec : specs) {
      addStops(spec, watched.watch(spec.name()), situation, stops);
    }
    stops.addAll(lost);
    State after =
        new State(watched.watches(), silences, watched.ranNanos(), pickUp, watched.firstOut());
    return new Outcome(after, List.copyOf(events), List.copyOf(stops));
  }

  /**
   * Why a latch may not be reset now, because its cause still stands or cannot be told. A trip
   * whose cause is over may be reset; until it is clear, and through its rest, it stops as any
   * trip.
   *
   * @return the reason in the keeper's words; null when it may be reset
   */
  public @Nullable String standingCause(String name, State state, Seen seen) {
    for (InterlockSpec spec : specs) {
      if (spec.name().equals(name)) {
        return standingCause(spec, seen);
      }
    }
    if (name.endsWith(Silences.SILENT)) {
      Signal signal = seen.raw().get(name.substring(0, name.length() - Silences.SILENT.length()));
      return signal != null && !signal.good() ? signal.name() + " is " + signal.reason() : null;
    }
    return null;
  }

  private static @Nullable String standingCause(InterlockSpec spec, Seen seen) {
    Verdict cause = seen.either(spec.cause());
    if (cause == Verdict.UNKNOWN) {
      return "whether its cause still stands cannot be told: " + lost(spec, seen.raw());
    }
    return cause == Verdict.TRUE ? "its cause still stands: " + seen.told(spec.cause()) : null;
  }

  private static String lost(InterlockSpec spec, Map<String, Signal> signals) {
    return spec.cause().watched().stream()
        .filter(name -> !there(signals.get(name)))
        .map(name -> Silences.lost(name, signals.get(name)))
        .collect(Collectors.joining(", "));
  }

  private State watch(State before, Situation situation, List<Event> events) {
    long now = situation.now().monoNanos();
    ByName<Watch> watches = names.of(before.watches());
    List<InterlockSpec> tripped = new ArrayList<>();
    for (InterlockSpec spec : specs) {
      Watch was = watches.getOrDefault(spec.name(), Watch.QUIET);
      Verdict cause = situation.seen().either(spec.cause());
      if (was.phase() == Watch.Phase.QUIET && cause != Verdict.TRUE) {
        continue;
      }
      Watch is =
          was.next(
              spec,
              cause,
              clear(spec, cause, situation),
              latch(spec, situation),
              armed(spec, before, situation),
              now);
      watches = watches.with(spec.name(), is);
      if (was.phase() == Watch.Phase.TRIPPED && is.phase() == Watch.Phase.RESTING) {
        events.add(new Event(Event.Type.CLEARED, spec.name(), told(spec, situation), false, ""));
      }
      if (was.phase() != Watch.Phase.TRIPPED && is.phase() == Watch.Phase.TRIPPED) {
        tripped.add(spec);
      } else if (is.latches(spec, now) && !situation.latched(spec.name())) {
        events.add(new Event(Event.Type.LATCHED, spec.name(), told(spec, situation), true, ""));
      }
    }
    State after =
        new State(
            watches, before.silences(), ran(before, situation), before.pickUp(), before.firstOut());
    Map<String, Watch> armed = watches;
    tripped.sort(Comparator.comparingLong(spec -> armedSince(armed, spec)));
    for (InterlockSpec spec : tripped) {
      after = trip(before, after, spec, situation, events);
    }
    return after;
  }

  private static Map<TankFunction, Long> ran(State before, Situation situation) {
    if (situation.running().isEmpty()) {
      return before.ranNanos();
    }
    Map<TankFunction, Long> ran = new EnumMap<>(TankFunction.class);
    ran.putAll(before.ranNanos());
    for (TankFunction function : situation.running()) {
      ran.put(function, situation.now().monoNanos());
    }
    return ran;
  }

  private static long armedSince(Map<String, Watch> watches, InterlockSpec spec) {
    return Objects.requireNonNull(Objects.requireNonNull(watches.get(spec.name())).armedNanos());
  }

  private State trip(
      State before, State state, InterlockSpec spec, Situation situation, List<Event> events) {
    String why = told(spec, situation);
    if (spec.notice()) {
      events.add(new Event(Event.Type.NOTICE, spec.name(), why, false, ""));
      return state;
    }
    if (situation.latched(spec.name())) {
      return state;
    }
    long now = situation.now().monoNanos();
    FirstOut earlier = state.firstOut();
    FirstOut first =
        earlier != null && earlier.draws(before, now)
            ? earlier
            : FirstOut.of(spec, state, armedSince(state.watches(), spec), now);
    boolean nth =
        spec.latchAtCount() > 0 && situation.count(spec.name()) + 1 >= spec.latchAtCount();
    boolean latched = nth || state.watch(spec.name()).latches(spec, now);
    events.add(new Event(Event.Type.TRIP, spec.name(), why, latched, first.name()));
    return new State(state.watches(), state.silences(), state.ranNanos(), state.pickUp(), first);
  }

  private PickUp probe(State before, Situation situation, List<Event> events) {
    List<Signal> seen = probes(situation.signals());
    boolean running = situation.running().contains(TankFunction.OZONE);
    PickUp is = before.pickUp().next(seen, running, situation.now());
    is.event(before.pickUp(), seen).ifPresent(events::add);
    return is;
  }

  /** Every probe that ozone needs; empty when one is not there. */
  private List<Signal> probes(Map<String, Signal> signals) {
    Signal[] seen = new Signal[probes.size()];
    for (int i = 0; i < seen.length; i++) {
      Signal signal = signals.get(probes.get(i));
      if (signal == null) {
        return List.of();
      }
      seen[i] = signal;
    }
    return List.of(seen);
  }

  private void addStops(InterlockSpec spec, Watch watch, Situation situation, List<Stop> stops) {
    if (watch.phase() == Watch.Phase.QUIET || situation.latched(spec.name())) {
      return;
    }
    String why =
        watch.phase() == Watch.Phase.RESTING
            ? "resting for "
                + seconds(watch.restUntilNanos() - situation.now().monoNanos())
                + " more after "
                + spec.name()
            : told(spec, situation);
    spec.stops().stream()
        .sorted()
        .forEach(function -> stops.add(new Stop(function, spec.name(), why, false)));
  }

  private void addLatchStops(Situation situation, List<Event> events, List<Stop> stops) {
    Map<String, String> latches = new TreeMap<>(situation.latches());
    for (Event event : events) {
      if (event.latched()) {
        latches.put(event.name(), event.why());
      }
    }
    latches.forEach(
        (name, why) ->
            stoppedBy(name)
                .forEach(function -> stops.add(new Stop(function, name, "latched: " + why, true))));
  }

  /** What a latch stops; a name that is known no more (the configuration changed) stops all. */
  public Set<TankFunction> stoppedBy(String name) {
    for (InterlockSpec spec : specs) {
      if (spec.name().equals(name)) {
        return new TreeSet<>(spec.stops());
      }
    }
    Set<TankFunction> needing = rules.stoppedBy(name);
    if (needing != null) {
      return needing;
    }
    TankFunction function = otherLatches.get(name);
    return function == null ? EnumSet.allOf(TankFunction.class) : EnumSet.of(function);
  }

  private static boolean armed(InterlockSpec spec, State before, Situation situation) {
    return switch (spec.arming()) {
      case ALWAYS -> true;
      case WANTED -> touches(spec, situation.wanted());
      case RUNNING ->
          touches(spec, situation.running())
              || followsFirstOut(spec, before, situation.now().monoNanos());
    };
  }

  /** Whether the function runs no more only because the first-out has stopped it. */
  private static boolean followsFirstOut(InterlockSpec spec, State before, long now) {
    FirstOut first = before.firstOut();
    return first != null
        && !first.name().equals(spec.name())
        && first.draws(before, now)
        && touches(spec, first.stopped());
  }

  private static boolean touches(InterlockSpec spec, Set<TankFunction> functions) {
    if (spec.stops().isEmpty()) {
      return !functions.isEmpty();
    }
    return !Collections.disjoint(spec.stops(), functions);
  }

  private static Verdict clear(InterlockSpec spec, Verdict cause, Situation situation) {
    Condition clear = spec.clear();
    if (clear != null) {
      return situation.seen().both(clear);
    }
    return switch (cause) {
      case TRUE -> Verdict.FALSE;
      case FALSE -> Verdict.TRUE;
      case UNKNOWN -> Verdict.UNKNOWN;
    };
  }

  private static Verdict latch(InterlockSpec spec, Situation situation) {
    Condition latch = spec.latchWhen();
    return latch == null ? Verdict.FALSE : situation.seen().either(latch);
  }

  private static String told(InterlockSpec spec, Situation situation) {
    return situation.seen().told(spec.cause());
  }

  private static boolean there(@Nullable Signal signal) {
    return signal != null && signal.good();
  }

  private static String seconds(long nanos) {
    return TimeUnit.NANOSECONDS.toSeconds(nanos) + " s";
  }
}

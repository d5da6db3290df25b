package io.github.tidewarden.interlock;

import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Quality;
import io.github.tidewarden.sensing.SensorSpec;
import io.github.tidewarden.sensing.Signal;
import java.time.Instant;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.concurrent.TimeUnit;

/**
 * The interlocks of one tank with time, signals and what runs in the test's hand. It remembers
 * latches and counts as the core does: by the events.
 */
final class GuardBench {
  private static final Instant EVENING = Instant.parse("2026-01-15T01:30:00Z");

  final Map<String, Signal> signals = new TreeMap<>();

  /** What differs from them by a correction. */
  final Map<String, Signal> corrected = new TreeMap<>();

  final Map<String, String> latches = new TreeMap<>();
  final Map<String, Integer> counts = new TreeMap<>();
  final Set<TankFunction> wanted = EnumSet.noneOf(TankFunction.class);
  final Set<TankFunction> running = EnumSet.noneOf(TankFunction.class);
  final List<Event> events = new ArrayList<>();
  Interlocks interlocks;
  Interlocks.State state = Interlocks.State.QUIET;
  List<Stop> stops = List.of();
  private long nanos = TimeUnit.HOURS.toNanos(-3);

  GuardBench(InterlockSpec... specs) {
    interlocks = new Interlocks(List.of(specs), List.of(), Map.of(), Map.of());
  }

  Moment now() {
    return new Moment(EVENING.plusNanos(nanos), nanos, true);
  }

  /** A good value. */
  GuardBench says(String name, Measure measure, double value) {
    signals.put(name, signal(name, measure, value, Quality.GOOD, ""));
    return this;
  }

  /** The last value is not to be believed any more. */
  GuardBench loses(String name) {
    Signal was = signals.get(name);
    signals.put(name, signal(name, was.measure(), was.value(), Quality.BAD, "silent for 60 s"));
    return this;
  }

  /** What one cycle brings. */
  List<Event> cycle() {
    Interlocks.Outcome outcome =
        interlocks.evaluate(
            state,
            new Situation(
                now(),
                seen(),
                Set.copyOf(wanted),
                Set.copyOf(running),
                Set.copyOf(running),
                Map.copyOf(latches),
                Map.copyOf(counts)));
    state = outcome.state();
    stops = outcome.stops();
    for (Event event : outcome.events()) {
      if (event.latched()) {
        latches.putIfAbsent(event.name(), event.why());
      }
      if (event.type() == Event.Type.TRIP || event.type() == Event.Type.SILENT) {
        counts.merge(event.name(), 1, Integer::sum);
      }
    }
    events.addAll(outcome.events());
    return outcome.events();
  }

  private Seen seen() {
    if (corrected.isEmpty()) {
      return Seen.raw(Map.copyOf(signals));
    }
    Map<String, Signal> all = new TreeMap<>(signals);
    all.putAll(corrected);
    return new Seen(Map.copyOf(signals), all);
  }

  /** What a cycle a second brings, the first of them now. */
  List<Event> seconds(int seconds) {
    List<Event> brought = new ArrayList<>();
    for (int second = 0; second < seconds; second++) {
      brought.addAll(cycle());
      nanos += TimeUnit.SECONDS.toNanos(1);
    }
    return brought;
  }

  void passes(long seconds) {
    nanos += TimeUnit.SECONDS.toNanos(seconds);
  }

  boolean stopped(TankFunction function) {
    return stops.stream().anyMatch(stop -> stop.function() == function);
  }

  /** Names of the events of a type, in order. */
  List<String> names(Event.Type type) {
    return events.stream().filter(event -> event.type() == type).map(Event::name).toList();
  }

  static Signal signal(String name, Measure measure, double value, Quality quality, String why) {
    return new Signal(name, measure, value, quality, why, 1_000_000, true, 1);
  }

  static SensorSpec sensor(String name, Measure measure, long latchWhenSilentSeconds) {
    return new SensorSpec(
        name,
        "lab/lagoon/" + name,
        "",
        measure,
        1,
        measure.plausibleLow(),
        measure.plausibleHigh(),
        measure.staleNanos(),
        TimeUnit.SECONDS.toNanos(latchWhenSilentSeconds),
        Map.of(),
        "",
        "");
  }

  /** An interlock of ozone, always armed, that trips at once and does nothing else. */
  static InterlockSpec plain(String name, Condition cause) {
    return new InterlockSpec(
        name, cause, Arming.ALWAYS, false, 0, null, 0, null, 0, 0, Set.of(TankFunction.OZONE));
  }

  static InterlockSpec armed(InterlockSpec spec, Arming arming) {
    return new InterlockSpec(
        spec.name(),
        spec.cause(),
        arming,
        spec.notice(),
        spec.forNanos(),
        spec.clear(),
        spec.restNanos(),
        spec.latchWhen(),
        spec.latchForNanos(),
        spec.latchAtCount(),
        spec.stops());
  }

  /** With a delay, a rest, and a latch when the cause has stood for so long; 0 for no latch. */
  static InterlockSpec timed(
      InterlockSpec spec, int forSeconds, int restSeconds, int latchSeconds) {
    return new InterlockSpec(
        spec.name(),
        spec.cause(),
        spec.arming(),
        spec.notice(),
        TimeUnit.SECONDS.toNanos(forSeconds),
        spec.clear(),
        TimeUnit.SECONDS.toNanos(restSeconds),
        latchSeconds == 0 ? null : spec.cause(),
        TimeUnit.SECONDS.toNanos(latchSeconds),
        spec.latchAtCount(),
        spec.stops());
  }
}

package io.github.tidewarden.interlock;

import io.github.tidewarden.sensing.SensorSpec;
import io.github.tidewarden.sensing.Signal;
import java.util.Collections;
import java.util.EnumSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import org.jspecify.annotations.Nullable;

/** The silence rules of every signal that some function of a tank needs, see {@link Silence}. */
final class Silences {

  /** What a latch of a lost signal is named: the signal's name and this. */
  static final String SILENT = "-silent";

  /**
   * A signal that some function needs.
   *
   * @param name the signal's
   * @param latch what its silence is called when it counts or latches
   * @param functions which need it
   * @param limitNanos silence while one of them runs that latches; 0 for none
   */
  private record Need(String name, String latch, Set<TankFunction> functions, long limitNanos) {}

  /** By what the silence of each latches as, sorted by signal. */
  private final Map<String, Need> byLatch = new LinkedHashMap<>();

  private final List<Need> needs;

  /**
   * The rules of one tank.
   *
   * @param needed which functions need each signal; one that none needs has no rule
   * @param sensors every sensor of the tank and its room, by name
   */
  Silences(Map<String, Set<TankFunction>> needed, Map<String, SensorSpec> sensors) {
    new TreeMap<>(needed)
        .forEach(
            (name, functions) -> {
              SensorSpec sensor = sensors.get(name);
              long limit = sensor == null ? 0 : sensor.latchWhenSilentNanos();
              if (!functions.isEmpty()) {
                byLatch.put(
                    name + SILENT, new Need(name, name + SILENT, EnumSet.copyOf(functions), limit));
              }
            });
    needs = List.copyOf(byLatch.values());
  }

  /** What the latch of a lost signal stops; null when it is none. */
  @Nullable Set<TankFunction> stoppedBy(String latch) {
    Need need = byLatch.get(latch);
    return need == null ? null : need.functions();
  }

  /**
   * One cycle.
   *
   * @param before what was lost, by signal
   * @param events to which is added what happened
   * @param stops to which is added why what may not run
   * @return what is lost now, by signal
   */
  Map<String, Silence> listen(
      Map<String, Silence> before, Situation situation, List<Event> events, List<Stop> stops) {
    Map<String, Silence> after = new LinkedHashMap<>();
    for (Need need : needs) {
      Signal signal = situation.signals().get(need.name());
      Silence was = before.getOrDefault(need.name(), Silence.NONE);
      boolean there = signal != null && signal.good();
      if (there && was.equals(Silence.NONE)) {
        continue;
      }
      boolean moving = !Collections.disjoint(need.functions(), situation.moving());
      Silence is = was.next(there, moving, situation.now());
      if (!is.equals(Silence.NONE)) {
        after.put(need.name(), is);
      }
      if (!situation.latched(need.latch())) {
        tell(need, was, is, signal, situation, events);
      }
      if (!there) {
        stop(need, lost(need.name(), signal), stops);
      } else if (is.resting(situation.now())) {
        stop(need, "resting after " + need.name() + " was lost", stops);
      }
    }
    return after;
  }

  private static void tell(
      Need need,
      Silence was,
      Silence is,
      @Nullable Signal signal,
      Situation situation,
      List<Event> events) {
    boolean began = is.beganAfter(was);
    if (began || is.outlasts(need.limitNanos(), situation.now())) {
      Event.Type type = began ? Event.Type.SILENT : Event.Type.LATCHED;
      boolean latches = !began || situation.count(need.latch()) + 1 >= Silence.LATCH_AT_COUNT;
      events.add(new Event(type, need.latch(), lost(need.name(), signal), latches, ""));
    }
  }

  private static void stop(Need need, String why, List<Stop> stops) {
    for (TankFunction function : need.functions()) {
      stops.add(new Stop(function, need.name(), why, false));
    }
  }

  /** That a signal is not good, and why. */
  static String lost(String name, @Nullable Signal signal) {
    return name + " is " + (signal == null ? "not configured" : signal.reason());
  }
}

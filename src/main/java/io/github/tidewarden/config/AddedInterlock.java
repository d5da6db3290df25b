package io.github.tidewarden.config;

import static io.github.tidewarden.quantity.UnitCode.SECONDS;

import io.github.tidewarden.interlock.Condition;
import io.github.tidewarden.interlock.Condition.Above;
import io.github.tidewarden.interlock.Condition.Below;
import io.github.tidewarden.interlock.Condition.Is;
import io.github.tidewarden.interlock.Condition.Not;
import io.github.tidewarden.interlock.Condition.Outside;
import io.github.tidewarden.interlock.TankFunction;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import java.util.concurrent.TimeUnit;
import java.util.stream.Collectors;
import org.jspecify.annotations.Nullable;

/** Reads an interlock that the keeper adds: one signal, one limit, what it stops. */
final class AddedInterlock {
  static final Limits DELAY = Limits.between(SECONDS, 0, 3600);
  static final Limits REST = Limits.between(SECONDS, 0, 86_400);

  private static final long USUAL_REST = TimeUnit.MINUTES.toNanos(10);
  private static final List<String> FOR_NUMBERS = List.of("above", "below", "outside");
  private static final List<String> FOR_CONTACTS = List.of("is");

  private static final Map<String, TankFunction> FUNCTIONS =
      Arrays.stream(TankFunction.values())
          .collect(Collectors.toMap(TankFunction::word, f -> f, (one, other) -> one, TreeMap::new));

  private record Cause(Condition cause, @Nullable Condition clear) {}

  private final Section section;
  private final Sensor sensor;

  private AddedInterlock(Section section, Sensor sensor) {
    this.section = section;
    this.sensor = sensor;
  }

  /** The interlock, or null after a complaint about its signal or its limit. */
  static @Nullable InterlockDraft read(String name, Section section, List<Sensor> sensors) {
    List<String> names = sensors.stream().map(Sensor::name).toList();
    Sensor sensor =
        section
            .required("signal", names.isEmpty() ? "sump" : names.get(0))
            .map(value -> value.oneOf(names))
            .flatMap(word -> sensors.stream().filter(s -> s.name().equals(word)).findFirst())
            .orElse(null);
    if (sensor == null) {
      section.abandon();
      return null;
    }
    AddedInterlock added = new AddedInterlock(section, sensor);
    Cause cause = added.cause();
    if (cause == null) {
      section.abandon();
      return null;
    }
    InterlockDraft draft = new InterlockDraft(name, cause.cause());
    draft.clear = cause.clear();
    draft.forNanos = section.nanos("for", DELAY, 0);
    draft.restNanos = section.nanos("rest", REST, USUAL_REST);
    latch(draft, section);
    draft.stops.addAll(
        section.required("stops", "[ozone]").map(AddedInterlock::stops).orElse(List.of()));
    draft.notice = draft.stops.isEmpty();
    return draft;
  }

  private @Nullable Cause cause() {
    List<String> fitting = sensor.measure().contact() ? FOR_CONTACTS : FOR_NUMBERS;
    List<String> given = fitting.stream().filter(section::has).toList();
    if (given.size() != 1) {
      section.complain(
          section.place(),
          given.isEmpty()
              ? "no limit that fits `"
                  + sensor.name()
                  + "`, which measures "
                  + sensor.measure().word()
              : "more than one limit: " + String.join(", ", given),
          "one of " + String.join(", ", fitting));
      return null;
    }
    String signal = sensor.name();
    return switch (given.get(0)) {
      case "above" -> {
        double limit = section.number("above", limits(), "");
        double clear = section.number("clear-below", limits(), limit);
        complainAboutClear("clear-below", clear > limit);
        yield new Cause(
            new Above(signal, limit),
            section.has("clear-below") ? new Not(new Above(signal, clear)) : null);
      }
      case "below" -> {
        double limit = section.number("below", limits(), "");
        double clear = section.number("clear-above", limits(), limit);
        complainAboutClear("clear-above", clear < limit);
        yield new Cause(
            new Below(signal, limit),
            section.has("clear-above") ? new Not(new Below(signal, clear)) : null);
      }
      case "outside" ->
          section
              .optional("outside")
              .map(value -> value.range(limits()))
              .map(range -> new Cause(new Outside(signal, range[0], range[1]), null))
              .orElse(null);
      default -> is();
    };
  }

  private void complainAboutClear(String key, boolean wrongSide) {
    if (wrongSide) {
      section.complain(
          section.place(key),
          "`" + key + "` lies where the limit is passed",
          "a value that the signal comes back to");
    }
  }

  private @Nullable Cause is() {
    String[] words = StateWords.of(sensor.measure());
    return section
        .optional("is")
        .map(value -> value.oneOf(List.of(words)))
        .map(word -> new Cause(new Is(sensor.name(), word.equals(words[0])), null))
        .orElse(null);
  }

  private Limits limits() {
    return Limits.between(
        Sensor.unit(sensor.measure()), sensor.spec().plausibleLow(), sensor.spec().plausibleHigh());
  }

  /** Reads {@code latch} and {@code latch-after} of an interlock that does not latch by itself. */
  static void latch(InterlockDraft draft, Section section) {
    boolean after = section.has("latch-after");
    boolean wanted = section.optional("latch").map(Value::flag).orElse(after);
    if (after && !wanted) {
      section.complain(
          section.place("latch"), "`latch` is false beside `latch-after`", "keep one of them");
    }
    long nanos = section.nanos("latch-after", DELAY, draft.forNanos);
    if (wanted) {
      draft.latches(nanos);
    }
  }

  /** The functions that are listed; null after a complaint. */
  static @Nullable List<TankFunction> stops(Value value) {
    List<Value> items = value.list();
    return items == null
        ? null
        : items.stream()
            .map(item -> Optional.ofNullable(item.oneOf(FUNCTIONS.keySet())))
            .flatMap(Optional::stream)
            .map(FUNCTIONS::get)
            .toList();
  }
}

package io.github.tidewarden.config;

import static io.github.tidewarden.quantity.UnitCode.SECONDS;

import io.github.tidewarden.interlock.Condition;
import io.github.tidewarden.interlock.Condition.Above;
import io.github.tidewarden.interlock.Condition.Below;
import io.github.tidewarden.interlock.Condition.Is;
import io.github.tidewarden.interlock.Condition.Not;
import io.github.tidewarden.interlock.Condition.Outside;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Figures;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.concurrent.TimeUnit;
import java.util.stream.Collectors;
import org.jspecify.annotations.Nullable;

/** Reads {@code interlocks} of a tank: changes to standard ones, and ones that are added. */
final class InterlockReader {
  private static final Limits DELAY = Limits.between(SECONDS, 0, 3600);
  private static final Limits REST = Limits.between(SECONDS, 0, 86_400);
  private static final long USUAL_REST = TimeUnit.MINUTES.toNanos(10);
  private static final List<String> OPERATORS = List.of("above", "below", "outside", "is");

  private final List<Sensor> sensors;
  private final List<InterlockDraft> drafts;

  /**
   * @param drafts the standard ones; changed and added to here
   */
  InterlockReader(List<Sensor> sensors, List<InterlockDraft> drafts) {
    this.sensors = sensors;
    this.drafts = drafts;
  }

  void read(Section interlocks) {
    for (Value entry : interlocks.entries()) {
      Section section = entry.section();
      if (section == null) {
        continue;
      }
      Optional<InterlockDraft> standard =
          drafts.stream().filter(draft -> draft.name.equals(entry.name())).findFirst();
      if (standard.isPresent()) {
        change(standard.get(), section);
      } else if (StandardInterlocks.NAMES.contains(entry.name())) {
        section.abandon();
        section.complain(
            entry.namePlace(),
            "the tank has no sensor for the standard interlock `" + entry.name() + "`",
            "declare the sensor, or give an interlock of your own another name");
      } else {
        Names.check(section, entry.name(), entry.namePlace());
        InterlockDraft added = add(entry.name(), section);
        if (added != null) {
          drafts.add(added);
        }
      }
    }
  }

  /** A standard interlock may only be made tighter; one that stops nothing may be set freely. */
  private static void change(InterlockDraft draft, Section section) {
    boolean free = draft.stops.isEmpty();
    InterlockDraft.Limit limit = draft.limit;
    if (limit != null) {
      double value = section.number(limit.key(), Limits.positive(limit.unit()), limit.value());
      if (!free && limit.loosenedBy(value)) {
        loosened(section, limit.key(), Figures.brief(limit.value(), limit.unit()));
      }
      draft.cause = limit.cause().apply(value);
    }
    draft.forNanos = shorter(section, "for", draft.forNanos, free);
    long rest = section.nanos("rest", REST, draft.restNanos);
    if (rest < draft.restNanos) {
      loosened(section, "rest", "at least " + Figures.span(draft.restNanos));
    }
    draft.restNanos = rest;
    changeLatch(draft, section, free);
    List<TankFunction> stops = stops(section).orElse(List.of());
    if (section.has("stops") && !stops.containsAll(draft.stops)) {
      loosened(section, "stops", "all of " + words(draft.stops));
    }
    draft.stops.addAll(stops);
    draft.notice = draft.notice && (draft.stops.isEmpty() || !free);
  }

  private static void changeLatch(InterlockDraft draft, Section section, boolean free) {
    if (draft.latches) {
      draft.latchForNanos = shorter(section, "latch-after", draft.latchForNanos, free);
      if (section.optional("latch").map(Value::flag).orElse(true)) {
        return;
      }
      loosened(section, "latch", "true: this one latches");
    } else {
      latch(draft, section);
    }
  }

  private static long shorter(Section section, String key, long usual, boolean free) {
    long nanos = section.nanos(key, DELAY, usual);
    if (!free && nanos > usual) {
      loosened(section, key, "at most " + Figures.span(usual));
    }
    return nanos;
  }

  private static void loosened(Section section, String key, String right) {
    section.complain(section.place(key), "`" + key + "` would loosen a standard interlock", right);
  }

  private static void latch(InterlockDraft draft, Section section) {
    boolean after = section.has("latch-after");
    boolean wanted = section.optional("latch").map(Value::flag).orElse(after);
    long nanos = section.nanos("latch-after", DELAY, draft.forNanos);
    if (after && !wanted) {
      section.complain(
          section.place("latch"), "`latch` is false beside `latch-after`", "keep one of them");
    }
    if (wanted) {
      draft.latches(nanos);
    }
  }

  private @Nullable InterlockDraft add(String name, Section section) {
    Sensor sensor =
        section
            .required("signal", sensors.isEmpty() ? "a sensor's name" : sensors.get(0).name())
            .map(value -> value.oneOf(sensors.stream().map(Sensor::name).toList()))
            .flatMap(word -> sensors.stream().filter(s -> s.name().equals(word)).findFirst())
            .orElse(null);
    if (sensor == null) {
      section.abandon();
      return null;
    }
    Condition cause = cause(section, sensor);
    Condition clear = clear(section, sensor);
    InterlockDraft draft =
        new InterlockDraft(name, cause == null ? new Is(sensor.name(), true) : cause);
    draft.clear = clear;
    draft.forNanos = section.nanos("for", DELAY, 0);
    draft.restNanos = section.nanos("rest", REST, USUAL_REST);
    latch(draft, section);
    if (!section.has("stops")) {
      section.required("stops", "[ozone]");
    }
    draft.stops.addAll(stops(section).orElse(List.of()));
    draft.notice = draft.stops.isEmpty();
    return draft;
  }

  private static @Nullable Condition cause(Section section, Sensor sensor) {
    List<String> given = OPERATORS.stream().filter(section::has).toList();
    List<String> fitting =
        sensor.measure().contact() ? List.of("is") : List.of("above", "below", "outside");
    if (given.size() != 1) {
      section.complain(
          section.place(),
          given.isEmpty() ? "an interlock without a limit" : "more than one limit: " + given,
          "one of " + String.join(", ", fitting));
      return null;
    }
    String operator = given.get(0);
    if (!fitting.contains(operator)) {
      section.complain(
          section.place(operator),
          "`" + operator + "` does not fit " + sensor.measure().word(),
          "one of " + String.join(", ", fitting));
      return null;
    }
    String signal = sensor.name();
    return switch (operator) {
      case "above" -> new Above(signal, section.number("above", limits(sensor), Double.NaN));
      case "below" -> new Below(signal, section.number("below", limits(sensor), Double.NaN));
      case "outside" ->
          section
              .optional("outside")
              .map(value -> value.range(limits(sensor)))
              .map(range -> new Outside(signal, range[0], range[1]))
              .orElse(null);
      default -> is(section, sensor);
    };
  }

  private static @Nullable Condition is(Section section, Sensor sensor) {
    String[] words = StateWords.of(sensor.measure());
    return section
        .optional("is")
        .map(value -> value.oneOf(List.of(words)))
        .map(word -> new Is(sensor.name(), word.equals(words[0])))
        .orElse(null);
  }

  private static @Nullable Condition clear(Section section, Sensor sensor) {
    boolean below = section.has("clear-below");
    boolean above = section.has("clear-above");
    if (!below && !above) {
      return null;
    }
    String key = below ? "clear-below" : "clear-above";
    String operator = below ? "above" : "below";
    if ((below && above) || !section.has(operator)) {
      section.complain(
          section.place(key),
          "`" + key + "` does not fit the limit",
          "`clear-below` with `above`, `clear-above` with `below`");
      return null;
    }
    double clear = section.number(key, limits(sensor), Double.NaN);
    double limit =
        section
                .optional(operator)
                .map(v -> v.measures(limits(sensor).unit().dimension()))
                .orElse(false)
            ? section.number(operator, limits(sensor), Double.NaN)
            : Double.NaN;
    if (below ? clear > limit : clear < limit) {
      section.complain(
          section.place(key),
          "`" + key + "` lies on the wrong side of `" + operator + "`",
          "a value that the signal comes back to");
    }
    return new Not(below ? new Above(sensor.name(), clear) : new Below(sensor.name(), clear));
  }

  private static Limits limits(Sensor sensor) {
    return Limits.between(
        Sensor.unit(sensor.measure()), sensor.spec().plausibleLow(), sensor.spec().plausibleHigh());
  }

  private static Optional<List<TankFunction>> stops(Section section) {
    List<String> words = Arrays.stream(TankFunction.values()).map(TankFunction::word).toList();
    return section
        .optional("stops")
        .map(Value::list)
        .map(
            items ->
                items.stream()
                    .map(item -> item.oneOf(words))
                    .flatMap(
                        word ->
                            Arrays.stream(TankFunction.values())
                                .filter(function -> function.word().equals(word)))
                    .toList());
  }

  private static String words(Set<TankFunction> functions) {
    return functions.stream().map(TankFunction::word).collect(Collectors.joining(", "));
  }
}

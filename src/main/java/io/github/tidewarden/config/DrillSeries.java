package io.github.tidewarden.config;

import io.github.tidewarden.quantity.Amount;
import io.github.tidewarden.quantity.UnitCode;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.SensorSpec;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashSet;
import java.util.List;
import java.util.Objects;
import java.util.Optional;
import java.util.Set;
import org.jspecify.annotations.Nullable;

/**
 * Reads what one sensor does in a drill: one thing from the start on, or steps that follow each
 * other. A step without a length lasts until the next begins; after one with a length the sensor
 * follows the tank again, but after a ramp it stays where that led.
 */
final class DrillSeries {
  private static final String TYPICAL = "typical";
  private static final String SILENT = "silent";
  private static final String FROZEN = "frozen";
  private static final List<String> WAYS = List.of(TYPICAL, SILENT, FROZEN);
  private static final int MAX_STEPS = 10_000;
  private static final Limits EVERY = Limits.between(UnitCode.SECONDS, 0.1, 3600);

  private final SensorSpec spec;
  private final DrillTimes times;
  private final DrillEnd end;
  private final List<Drill.SensorTurns> turns = new ArrayList<>();
  private final Set<Place> told = new HashSet<>();
  private int steps;
  private boolean spoils;

  /** When the last step began, ns since the start; -1 before the first. */
  private long begun = -1;

  /** When the last step is over, ns since the start; null when it has no end of its own. */
  private @Nullable Long over = 0L;

  /** Whether what the last step led to stays when it is over. */
  private boolean stays;

  DrillSeries(SensorSpec spec, DrillTimes times, DrillEnd end) {
    this.spec = spec;
    this.times = times;
    this.end = end;
  }

  /** Whether it changes when, or what, the messages of its topic are. */
  boolean spoils() {
    return spoils;
  }

  /** What it does, in the order of the times. */
  List<Drill.SensorTurns> read(Value value) {
    if (!value.isList()) {
      only(value);
      return turns;
    }
    List<Value> items = value.list();
    if (items == null || items.isEmpty()) {
      value.complain("`" + value.name() + "` has no steps", "such as [ { is: silent } ]");
      return turns;
    }
    items.forEach(item -> step(item, true));
    followsAgain(null);
    return turns;
  }

  private void only(Value value) {
    if (value.isMapping()) {
      value.complain("`" + value.name() + "` is one step", "a list of steps: [ { ... } ]");
      return;
    }
    Drill.Sense sense = sense(value);
    if (sense != null) {
      turns(0, sense, Drill.USUAL_EVERY_NANOS);
    }
  }

  private void step(Value item, boolean outermost) {
    Section section = item.section();
    if (section == null) {
      return;
    }
    if (++steps > MAX_STEPS) {
      if (steps == MAX_STEPS + 1) {
        item.complain("more than " + MAX_STEPS + " steps", "fewer, or longer ones");
      }
      return;
    }
    if (section.has("repeat")) {
      repeat(item, section, outermost);
      return;
    }
    Long begin = begin(item, section, outermost);
    Drill.Sense sense = what(section);
    boolean ramp = sense instanceof Drill.Reads reads && reads.overNanos() > 0;
    Long length = length(section, sense);
    Long every = section.optional("every").map(this::every).orElse(Drill.USUAL_EVERY_NANOS);
    spoils |= sense instanceof Drill.Says || section.has("every");
    if (begin == null || sense == null) {
      return;
    }
    if (told.add(item.place())) {
      end.matters(item, begin, "what happens");
      if (ramp) {
        end.matters(item, begin + Objects.requireNonNull(length) - 1, "the end of this ramp");
      }
      if (!outermost && length == null && !section.has("for")) {
        item.complain("a step that is repeated has no end", "add `for`, or `over` to a ramp");
      }
    }
    turns(begin, sense, every);
    begun = begin;
    over = length == null ? (outermost ? null : begin) : (Long) (begin + length);
    stays = ramp;
  }

  private @Nullable Long length(Section section, Drill.@Nullable Sense sense) {
    if (sense instanceof Drill.Reads ramp && ramp.overNanos() > 0) {
      return ramp.overNanos();
    }
    return section.optional("for").map(times::length).orElse(null);
  }

  private void repeat(Value item, Section section, boolean outermost) {
    Long count = section.optional("repeat").map(value -> value.whole(1, MAX_STEPS)).orElse(null);
    List<Value> inner = section.list("steps", "[ { is: silent, for: 20 s }, ... ]");
    Long begin = begin(item, section, outermost);
    if (count == null || begin == null) {
      return;
    }
    over = begin;
    for (long i = 0; i < count && steps <= MAX_STEPS; i++) {
      inner.forEach(each -> step(each, false));
    }
  }

  /** When a step begins; null after a complaint. */
  private @Nullable Long begin(Value item, Section section, boolean outermost) {
    Long before = over;
    if (!outermost || !section.has("at")) {
      if (before == null) {
        item.complain(
            "this step never begins, for the one before it has no end",
            "add `for` to that one, or `at` to this one");
      }
      return before;
    }
    Value given = section.optional("at").orElseThrow();
    Long at = times.at(given);
    long earliest = before == null ? begun + 1 : before;
    if (at != null && at < earliest) {
      given.complain(
          "this step begins at "
              + times.told(at)
              + ", and the one before it "
              + (before == null ? "begins at " : "lasts until ")
              + times.told(before == null ? begun : before),
          "steps in the order of their times, none over another");
      return null;
    }
    followsAgain(at);
    return at;
  }

  /** Where the last step is over, and another does not begin at once. */
  private void followsAgain(@Nullable Long next) {
    Long at = over;
    if (at != null && begun >= 0 && !stays && !at.equals(next)) {
      turns(at, new Drill.Follows(), Drill.USUAL_EVERY_NANOS);
    }
  }

  private void turns(long at, Drill.Sense sense, long every) {
    turns.add(new Drill.SensorTurns(at, spec.name(), sense, every));
  }

  private @Nullable Long every(Value value) {
    Amount every = value.amount(EVERY);
    return every == null ? null : (Long) every.nanos();
  }

  // What it does.

  private Drill.@Nullable Sense what(Section section) {
    List<String> found =
        List.of("is", "from", "off-by", "says").stream().filter(section::has).toList();
    if (found.size() != 1) {
      section.complain(
          section.place(),
          found.isEmpty()
              ? "this step does not say what `" + spec.name() + "` does"
              : "this step says two things: `" + String.join("` and `", found) + "`",
          "one of `is`, `from` with `to` and `over`, `off-by`, `says`, `repeat` with `steps`");
      return null;
    }
    Value value = section.optional(found.get(0)).orElseThrow();
    return switch (found.get(0)) {
      case "is" -> sense(value);
      case "from" -> ramp(section, value);
      case "off-by" -> off(value);
      default -> says(value);
    };
  }

  private static Drill.@Nullable Sense says(Value value) {
    String text = value.text();
    return text == null ? null : new Drill.Says(text);
  }

  private Drill.@Nullable Sense sense(Value value) {
    String word = value.raw();
    if (word.equals(TYPICAL)) {
      return new Drill.Follows();
    }
    if (word.equals(SILENT)) {
      return new Drill.IsSilent();
    }
    if (word.equals(FROZEN)) {
      return new Drill.IsFrozen();
    }
    Double reads = number(value);
    return reads == null ? null : new Drill.Reads(reads, reads, 0);
  }

  private @Nullable Double number(Value value) {
    Measure measure = spec.measure();
    if (measure.contact()) {
      String[] words = StateWords.of(measure);
      List<String> known = new ArrayList<>(Arrays.asList(words));
      known.addAll(WAYS);
      String word = value.oneOf(known);
      return word == null ? null : word.equals(words[0]) ? Double.valueOf(1) : Double.valueOf(0);
    }
    UnitCode unit = Sensor.unit(measure);
    Optional<String> slip = Nearest.to(value.raw(), WAYS);
    if (slip.isPresent()) {
      value.complain(
          "`" + value.name() + "` is \"" + value.raw() + "\"", "write `" + slip.get() + "`");
      return null;
    }
    Amount amount = value.amount(Limits.any(unit));
    return amount == null ? null : (Double) amount.in(unit);
  }

  private Drill.@Nullable Sense ramp(Section section, Value from) {
    if (noNumber(from)) {
      return null;
    }
    Double first = number(from);
    Double last = section.required("to", "421 mV").map(this::number).orElse(null);
    Long length = section.required("over", "5 min").map(times::length).orElse(null);
    return first == null || last == null || length == null
        ? null
        : new Drill.Reads(first, last, length);
  }

  private Drill.@Nullable Sense off(Value value) {
    if (noNumber(value)) {
      return null;
    }
    UnitCode unit = Sensor.unit(spec.measure());
    Amount by = value.amount(Limits.any(unit));
    return by == null ? null : new Drill.IsOff(by.in(unit));
  }

  private boolean noNumber(Value value) {
    if (spec.measure().contact()) {
      value.complain(
          "`" + spec.name() + "` is a contact and has no values between",
          "`is: " + StateWords.of(spec.measure())[0] + "`");
      return true;
    }
    return false;
  }
}

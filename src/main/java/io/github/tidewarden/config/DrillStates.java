package io.github.tidewarden.config;

import java.util.ArrayList;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * Reads in what state something is in a drill: one word from the start on, or a list of steps with
 * {@code at}, {@code is} and {@code for}. A step without a length lasts until the next begins;
 * after one with a length it is as usual again.
 */
final class DrillStates {

  /** From a time on, ns since the start, it is in a state. */
  record Turn(long atNanos, String word) {}

  private final List<String> words;
  private final String usual;
  private final DrillTimes times;
  private final DrillEnd end;
  private final List<Turn> turns = new ArrayList<>();
  private long begun = -1;
  private @Nullable Long over;

  /**
   * Prepares.
   *
   * @param words of its states
   * @param usual the one that it is in where nothing is said
   */
  DrillStates(List<String> words, String usual, DrillTimes times, DrillEnd end) {
    this.words = words;
    this.usual = usual;
    this.times = times;
    this.end = end;
  }

  List<Turn> read(Value value) {
    if (!value.isList() && !value.isMapping()) {
      String word = value.oneOf(words);
      return word == null ? List.of() : List.of(new Turn(0, word));
    }
    List<Value> items = value.list();
    if (items != null && items.isEmpty()) {
      value.complain("`" + value.name() + "` has no steps", "[ { at: 10 min, is: ... } ]");
    }
    for (Value item : items == null ? List.<Value>of() : items) {
      Section section = item.section();
      if (section != null) {
        step(item, section);
      }
    }
    if (over != null) {
      turns.add(new Turn(over, usual));
    }
    return turns;
  }

  private void step(Value item, Section section) {
    Long at = section.required("at", "10 min").map(times::at).orElse(null);
    String word = section.required("is", words.get(0)).map(is -> is.oneOf(words)).orElse(null);
    Long length = section.optional("for").map(times::length).orElse(null);
    if (at == null || word == null) {
      return;
    }
    long earliest = over == null ? begun + 1 : over;
    if (at < earliest) {
      item.complain(
          "this step begins at "
              + times.told(at)
              + ", and the one before it "
              + (over == null ? "begins at " : "lasts until ")
              + times.told(over == null ? begun : over),
          "steps in the order of their times, none over another");
      return;
    }
    if (over != null && at > over) {
      turns.add(new Turn(over, usual));
    }
    end.matters(item, at, "what happens");
    turns.add(new Turn(at, word));
    begun = at;
    over = length == null ? null : (Long) (at + length);
  }
}

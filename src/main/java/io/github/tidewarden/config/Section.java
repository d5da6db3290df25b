package io.github.tidewarden.config;

import io.github.tidewarden.quantity.Amount;
import io.github.tidewarden.quantity.UnitCode;
import java.util.Collection;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import org.jspecify.annotations.Nullable;
import org.snakeyaml.engine.v2.nodes.MappingNode;
import org.snakeyaml.engine.v2.nodes.NodeTuple;
import org.snakeyaml.engine.v2.nodes.ScalarNode;

/**
 * A mapping of the file. What is asked for becomes known; what nobody asks for is complained about
 * at the end ({@link Binding#finish()}), so the list of known keys cannot differ from the code.
 *
 * <p>A required value that is missing or wrong has been complained about when a method returns its
 * stand-in: NaN for a number, which makes every comparison false, so that one mistake does not
 * bring complaints about its consequences.
 */
final class Section {
  private final String name;
  private final Place place;
  private final Binding binding;
  private final Map<String, Value> values = new LinkedHashMap<>();
  private final Set<String> asked = new LinkedHashSet<>();
  private final Map<String, String> missing = new LinkedHashMap<>();
  private boolean anyKey;

  Section(String name, Place place, MappingNode node, Binding binding) {
    this.name = name;
    this.place = place;
    this.binding = binding;
    for (NodeTuple tuple : node.getValue()) {
      Place keyPlace = tuple.getKeyNode().getStartMark().map(YamlFile::place).orElse(place);
      if (!(tuple.getKeyNode() instanceof ScalarNode key)) {
        binding.complaints().add(keyPlace, "a key that is not a word", "write a plain word");
        continue;
      }
      String word = key.getValue();
      Value earlier = values.get(word);
      if (earlier != null) {
        binding
            .complaints()
            .add(
                keyPlace,
                "`" + word + "` stands here for the second time, first at " + earlier.namePlace(),
                "keep one of them");
        continue;
      }
      values.put(word, new Value(word, keyPlace, tuple.getValueNode(), binding));
    }
    binding.opened(this);
  }

  /** Where its key stands. */
  Place place() {
    return place;
  }

  void complain(Place where, String wrong, String right) {
    binding.complaints().add(where, wrong, right);
  }

  /** Where the value of a key begins; where the section's own key stands when it has none. */
  Place place(String key) {
    Value value = values.get(key);
    return value == null ? place : value.place();
  }

  /** Where a key stands; where the section's own key stands when it has none. */
  Place keyPlace(String key) {
    Value value = values.get(key);
    return value == null ? place : value.namePlace();
  }

  /** Every entry, whatever its key. */
  Collection<Value> entries() {
    anyKey = true;
    return values.values();
  }

  /** Gives up on this section: keys that nobody asked for are not complained about. */
  void abandon() {
    anyKey = true;
  }

  boolean has(String key) {
    asked.add(key);
    return values.containsKey(key);
  }

  Optional<Value> optional(String key) {
    asked.add(key);
    return Optional.ofNullable(values.get(key));
  }

  /**
   * The value, or a complaint at the end.
   *
   * @param example what would be right, such as "400 mV"
   */
  Optional<Value> required(String key, String example) {
    Optional<Value> value = optional(key);
    if (value.isEmpty()) {
      missing.put(key, example);
    }
    return value;
  }

  /** A required text; empty after a complaint. */
  String text(String key, String example) {
    return required(key, example).map(Value::text).orElse("");
  }

  /** A text that may be absent; empty when it is. */
  String optionalText(String key) {
    return optional(key).map(Value::text).orElse("");
  }

  /** A required amount in the unit of its limits; NaN after a complaint. */
  double number(String key, Limits limits, String example) {
    return inUnit(required(key, example), limits, Double.NaN);
  }

  /** An amount in the unit of its limits that may be absent; NaN after a complaint. */
  double number(String key, Limits limits, double ifAbsent) {
    return has(key) ? inUnit(optional(key), limits, Double.NaN) : ifAbsent;
  }

  private static double inUnit(Optional<Value> value, Limits limits, double otherwise) {
    return value
        .map(present -> present.amount(limits))
        .map(amount -> amount.in(limits.unit()))
        .orElse(otherwise);
  }

  /** A required time; a stand-in after a complaint. */
  long nanos(String key, Limits limits, String example, long standIn) {
    return required(key, example)
        .map(value -> value.amount(limits))
        .map(Amount::nanos)
        .orElse(standIn);
  }

  /** A time that may be absent. */
  long nanos(String key, Limits limits, long ifAbsent) {
    return optional(key).map(value -> value.amount(limits)).map(Amount::nanos).orElse(ifAbsent);
  }

  /** A required time in whole seconds; a stand-in after a complaint. */
  int wholeSeconds(String key, Limits limits, String example, int standIn) {
    Optional<Value> value = required(key, example);
    Amount amount = value.map(present -> present.amount(limits)).orElse(null);
    if (amount == null) {
      return standIn;
    }
    double seconds = amount.in(UnitCode.SECONDS);
    if (seconds != Math.rint(seconds)) {
      value.get().complain("`" + key + "` of " + amount + " is not whole", "whole seconds");
    }
    return (int) seconds;
  }

  /** A required section. */
  @Nullable Section section(String key, String example) {
    return required(key, example).map(Value::section).orElse(null);
  }

  /** A section that may be absent. */
  @Nullable Section optionalSection(String key) {
    return optional(key).map(Value::section).orElse(null);
  }

  /** The items of a required list; none after a complaint. */
  List<Value> list(String key, String example) {
    return required(key, example).map(Value::list).orElse(List.of());
  }

  /** Complains about keys that are missing or unknown; a key misspelt is complained about once. */
  void complainAboutKeys() {
    for (Value value : values.values()) {
      if (!asked.contains(value.name())) {
        boolean misspelt = Nearest.to(value.name(), asked).map(missing::remove).isPresent();
        if (misspelt || !anyKey) {
          complain(
              value.namePlace(),
              "unknown key `" + value.name() + "` in `" + name + "`",
              Nearest.remedy(value.name(), asked));
        }
      }
    }
    missing.forEach(
        (key, example) ->
            complain(
                place,
                "`" + name + "` has no `" + key + "`",
                "add `" + key + ": " + example + "`"));
  }
}

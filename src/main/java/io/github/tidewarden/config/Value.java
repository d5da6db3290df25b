package io.github.tidewarden.config;

import io.github.tidewarden.quantity.Amount;
import io.github.tidewarden.quantity.Dimension;
import io.github.tidewarden.quantity.NotAnAmountException;
import java.util.ArrayList;
import java.util.Collection;
import java.util.List;
import java.util.Map;
import java.util.Set;
import org.jspecify.annotations.Nullable;
import org.snakeyaml.engine.v2.nodes.MappingNode;
import org.snakeyaml.engine.v2.nodes.Node;
import org.snakeyaml.engine.v2.nodes.ScalarNode;
import org.snakeyaml.engine.v2.nodes.SequenceNode;
import org.snakeyaml.engine.v2.nodes.Tag;

/**
 * One value of the file with its place. Each method that reads it as something complains when it is
 * something else and gives null; whoever asks goes on with a stand-in, for the whole configuration
 * is refused anyway.
 */
final class Value {
  private static final Map<Tag, String> KINDS =
      Map.of(
          Tag.STR, "a text",
          Tag.INT, "a number",
          Tag.FLOAT, "a number",
          Tag.BOOL, "true or false",
          Tag.NULL, "empty");

  private final String name;
  private final Place namePlace;
  private final Node node;
  private final Binding binding;
  private @Nullable Section section;

  /**
   * @param name what complaints call it
   * @param namePlace where its key stands, or where it begins
   */
  Value(String name, Place namePlace, Node node, Binding binding) {
    this.name = name;
    this.namePlace = namePlace;
    this.node = node;
    this.binding = binding;
  }

  String name() {
    return name;
  }

  /** Where its key stands; for an item of a list, where it begins. */
  Place namePlace() {
    return namePlace;
  }

  /** Where it begins. */
  Place place() {
    return node.getStartMark().map(YamlFile::place).orElse(namePlace);
  }

  void complain(String wrong, String right) {
    binding.complaints().add(place(), wrong, right);
  }

  private String kind() {
    if (node instanceof MappingNode) {
      return "a mapping";
    }
    if (node instanceof SequenceNode) {
      return "a list";
    }
    return KINDS.getOrDefault(node.getTag(), "of a type that is not known");
  }

  private void wrongType(String wanted, String right) {
    complain("`" + name + "` is " + kind() + ", not " + wanted, right);
  }

  /** A text that is not empty. */
  @Nullable String text() {
    if (!(node instanceof ScalarNode scalar)) {
      wrongType("a text", "write one text");
      return null;
    }
    String text = scalar.getValue();
    if (text.isBlank()) {
      complain("`" + name + "` is empty", "write a text");
      return null;
    }
    if (!scalar.getTag().equals(Tag.STR)) {
      wrongType("a text", "put it in quotes: \"" + text + "\"");
      return null;
    }
    return text;
  }

  /** What stands there if it is one word or text, whatever its type; else empty. */
  String raw() {
    return node instanceof ScalarNode scalar ? scalar.getValue() : "";
  }

  /** A whole number without a unit, such as a count. */
  @Nullable Long whole(long least, long most) {
    if (!node.getTag().equals(Tag.INT)) {
      wrongType("a whole number", "write a number without a unit");
      return null;
    }
    try {
      long number = Long.parseLong(raw());
      if (number >= least && number <= most) {
        return number;
      }
    } catch (NumberFormatException e) {
      // One in another base, or too long: complained about below.
    }
    complain("`" + name + "` is " + raw(), "a plain whole number from " + least + " to " + most);
    return null;
  }

  /** One of the given words. */
  @Nullable String oneOf(Collection<String> words) {
    String text = text();
    if (text != null && !words.contains(text)) {
      complain("`" + name + "` is \"" + text + "\"", Nearest.remedy(text, words));
      return null;
    }
    return text;
  }

  /** True or false. */
  @Nullable Boolean flag() {
    if (!node.getTag().equals(Tag.BOOL)) {
      wrongType("true or false", "write true or false");
      return null;
    }
    return ((ScalarNode) node).getValue().equalsIgnoreCase("true");
  }

  /** An amount within limits, of the dimension of their unit. */
  @Nullable Amount amount(Limits limits) {
    String text = amountText();
    if (text == null) {
      return null;
    }
    try {
      Amount amount = Amount.parse(text, limits.unit().dimension());
      return within(amount, limits) ? amount : null;
    } catch (NotAnAmountException e) {
      complain("`" + name + "`: " + e.getMessage(), e.right());
      return null;
    }
  }

  /** Whether it is an amount of this dimension, whatever its size. */
  boolean measures(Dimension dimension) {
    try {
      return node instanceof ScalarNode scalar
          && Amount.parse(scalar.getValue(), dimension).unit().dimension() == dimension;
    } catch (NotAnAmountException e) {
      return false;
    }
  }

  /** A bare number is taken as the text that it is, so that the complaint is about its unit. */
  private @Nullable String amountText() {
    boolean scalar = node instanceof ScalarNode;
    if (scalar && Set.of(Tag.STR, Tag.INT, Tag.FLOAT).contains(node.getTag())) {
      return ((ScalarNode) node).getValue();
    }
    wrongType("a value with a unit", "write a number, a space and a unit");
    return null;
  }

  private boolean within(Amount amount, Limits limits) {
    double value = amount.in(limits.unit());
    if (limits.allow(value)) {
      return true;
    }
    complain("`" + name + "` of " + amount + " is " + outOf(value, limits), limits.words());
    return false;
  }

  private static String outOf(double value, Limits limits) {
    return value > limits.high()
        ? "over the most that is allowed, " + limits.highest()
        : "under what is allowed";
  }

  /** Two amounts, the lower first. */
  double @Nullable [] range(Limits limits) {
    List<Value> items = list();
    if (items == null) {
      return null;
    }
    if (items.size() != 2) {
      complain("`" + name + "` has " + items.size() + " values", "two: [lowest, highest]");
      return null;
    }
    Amount low = items.get(0).amount(limits);
    Amount high = items.get(1).amount(limits);
    if (low == null || high == null) {
      return null;
    }
    double[] range = {low.in(limits.unit()), high.in(limits.unit())};
    if (range[0] >= range[1]) {
      complain(
          "`" + name + "`: the lowest, " + low + ", is not under the highest, " + high,
          "the lower value first");
      return null;
    }
    return range;
  }

  boolean isMapping() {
    return node instanceof MappingNode;
  }

  boolean isList() {
    return node instanceof SequenceNode;
  }

  /** The items of a list. */
  @Nullable List<Value> list() {
    if (!(node instanceof SequenceNode sequence)) {
      wrongType("a list", "write a list: [ ... ]");
      return null;
    }
    List<Value> items = new ArrayList<>();
    for (Node item : sequence.getValue()) {
      Place place = item.getStartMark().map(YamlFile::place).orElse(namePlace);
      items.add(new Value(name, place, item, binding));
    }
    return items;
  }

  /** A mapping. */
  @Nullable Section section() {
    if (!(node instanceof MappingNode mapping)) {
      wrongType("a mapping", "write keys with values under it");
      return null;
    }
    if (section == null) {
      section = new Section(name, namePlace, mapping, binding);
    }
    return section;
  }
}

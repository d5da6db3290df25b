package io.github.tidewarden.rehearsal;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.node.DecimalNode;
import com.fasterxml.jackson.databind.node.JsonNodeFactory;
import com.fasterxml.jackson.databind.node.LongNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import com.fasterxml.jackson.databind.node.TextNode;
import java.math.BigDecimal;
import java.util.regex.Pattern;
import org.jspecify.annotations.Nullable;

/**
 * One message in the making: plain, or a JSON object with values put at JSON Pointers (RFC 6901).
 */
final class JsonAt {

  private static final Pattern INTEGER = Pattern.compile("-?(0|[1-9][0-9]{0,17})");

  private final ObjectNode root = JsonNodeFactory.instance.objectNode();
  private @Nullable String plain;

  /** Puts a number; with an empty pointer it is the whole message. */
  void number(String pointer, BigDecimal number) {
    String digits = number.toPlainString();
    put(pointer, digits, DecimalNode.valueOf(new BigDecimal(digits)));
  }

  /** Puts a text as it stands; with an empty pointer it is the whole message. */
  void text(String pointer, String text) {
    put(pointer, text, TextNode.valueOf(text));
  }

  /**
   * Puts what reads back as this text: a JSON boolean or whole number where the text is one, else a
   * string. With an empty pointer the text is the whole message.
   */
  void scalar(String pointer, String text) {
    JsonNode node =
        switch (text) {
          case "true" -> JsonNodeFactory.instance.booleanNode(true);
          case "false" -> JsonNodeFactory.instance.booleanNode(false);
          default ->
              INTEGER.matcher(text).matches()
                  ? LongNode.valueOf(Long.parseLong(text))
                  : TextNode.valueOf(text);
        };
    put(pointer, text, node);
  }

  private void put(String pointer, String whole, JsonNode node) {
    if (pointer.isEmpty()) {
      plain = whole;
      return;
    }
    String[] names = pointer.substring(1).split("/", -1);
    ObjectNode parent = root;
    for (int i = 0; i < names.length - 1; i++) {
      parent = parent.withObjectProperty(unescaped(names[i]));
    }
    parent.set(unescaped(names[names.length - 1]), node);
  }

  private static String unescaped(String name) {
    return name.replace("~1", "/").replace("~0", "~");
  }

  /** The message's payload; empty when nothing was put. */
  String payload() {
    if (plain != null) {
      return plain;
    }
    return root.isEmpty() ? "" : root.toString();
  }
}

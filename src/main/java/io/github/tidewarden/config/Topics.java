package io.github.tidewarden.config;

import java.nio.charset.StandardCharsets;
import java.util.HashMap;
import java.util.HashSet;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.regex.Pattern;

/**
 * Every topic of the site. A set-topic belongs to one actuator and is read by nothing; a value is
 * found by topic and pointer, and each pair is read by one sensor or device only.
 */
final class Topics {
  /** Longest topic, bytes of UTF-8. */
  static final int MAX_BYTES = 256;

  private static final String OWN = "tidewarden";
  private static final Pattern POINTER = Pattern.compile("(/([^~/]|~[01])*)*");
  private static final int MAX_POINTER = 128;

  private record Source(String topic, String pointer) {}

  private record Use(String owner, Value value) {}

  private final Map<String, Use> setTopics = new HashMap<>();
  private final Map<Source, Use> sources = new HashMap<>();

  /** Takes the set-topic under this key for an actuator. */
  String commanded(Section section, String key, String owner) {
    String topic = topic(section, key);
    section
        .optional(key)
        .filter(value -> !topic.isEmpty())
        .ifPresent(
            value -> {
              Use earlier = setTopics.putIfAbsent(topic, new Use(owner, value));
              if (earlier != null) {
                twice(value, "set-topic \"" + topic + "\"", owner, earlier);
              }
            });
    return topic;
  }

  /** Takes a topic and pointer that something of ours listens to. */
  void heard(Value at, String topic, String pointer, String owner) {
    if (topic.isEmpty()) {
      return;
    }
    Use earlier = sources.putIfAbsent(new Source(topic, pointer), new Use(owner, at));
    if (earlier != null) {
      String what =
          "\"" + topic + "\"" + (pointer.isEmpty() ? "" : " with pointer \"" + pointer + "\"");
      twice(at, what, owner, earlier);
    }
  }

  private static void twice(Value value, String what, String owner, Use earlier) {
    value.complain(
        what
            + " of "
            + owner
            + " is already that of "
            + earlier.owner()
            + " at "
            + earlier.value().place(),
        "each has its own");
  }

  /** Complains about every set-topic that something also listens to. */
  void finish() {
    Set<Value> told = new HashSet<>();
    sources.forEach(
        (source, use) ->
            Optional.ofNullable(setTopics.get(source.topic()))
                .filter(set -> told.add(use.value()))
                .ifPresent(
                    set ->
                        use.value()
                            .complain(
                                "\""
                                    + source.topic()
                                    + "\" of "
                                    + use.owner()
                                    + " is the set-topic of "
                                    + set.owner()
                                    + " at "
                                    + set.value().place(),
                                "a topic on which the device itself reports")));
  }

  /** A required topic; empty after a complaint. */
  static String topic(Section section, String key) {
    String topic = section.text(key, "lab/lagoon/example");
    String wrong = faultOf(topic);
    if (wrong.isEmpty()) {
      return topic;
    }
    section
        .optional(key)
        .ifPresent(
            value ->
                value.complain(
                    "the topic \"" + topic + "\" " + wrong,
                    "one topic, without wildcards, of at most " + MAX_BYTES + " bytes"));
    return "";
  }

  private static String faultOf(String topic) {
    if (topic.isEmpty()) {
      return "";
    }
    if (topic.contains("#") || topic.contains("+")) {
      return "has a wildcard";
    }
    if (topic.getBytes(StandardCharsets.UTF_8).length > MAX_BYTES) {
      return "is too long";
    }
    if (topic.chars().anyMatch(Character::isISOControl)) {
      return "has a control character";
    }
    if (topic.startsWith("$")) {
      return "belongs to the broker";
    }
    if (topic.equals(OWN) || topic.startsWith(OWN + "/")) {
      return "belongs to the daemon";
    }
    return "";
  }

  /** A JSON Pointer that may be absent; empty when it is, or after a complaint. */
  static String pointer(Section section, String key) {
    String pointer = section.optionalText(key);
    if (pointer.length() <= MAX_POINTER && POINTER.matcher(pointer).matches()) {
      return pointer;
    }
    section
        .optional(key)
        .ifPresent(
            value ->
                value.complain(
                    "`" + key + "` is not a JSON Pointer", "such as /depth or /readings/0/mv"));
    return "";
  }
}

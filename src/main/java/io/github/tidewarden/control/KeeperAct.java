package io.github.tidewarden.control;

import com.fasterxml.jackson.core.JsonFactoryBuilder;
import com.fasterxml.jackson.core.StreamReadConstraints;
import com.fasterxml.jackson.core.StreamReadFeature;
import com.fasterxml.jackson.databind.DeserializationFeature;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectReader;
import com.fasterxml.jackson.databind.json.JsonMapper;
import io.github.tidewarden.quantity.Moment;
import java.io.IOException;
import java.time.Duration;
import java.time.Instant;
import java.time.OffsetDateTime;
import java.time.format.DateTimeParseException;
import org.jspecify.annotations.Nullable;

/**
 * A keeper's act as asked for, one flat JSON object.
 *
 * @param act {@link #RESET} or {@link #NOTE}
 * @param tank the tank
 * @param name for a reset, what is to be reset; else empty
 * @param text for a note, its text; for a reset, the reason given, may be empty
 * @param by who asks
 * @param id unique to this request, so that it is done at most once
 * @param sent when it was sent; null when it does not say
 */
record KeeperAct(
    String act,
    String tank,
    String name,
    String text,
    String by,
    String id,
    @Nullable Instant sent) {

  static final String RESET = "reset";
  static final String NOTE = "note";
  static final String ID = "id";

  /** Longest request, bytes. */
  static final int MAX_BYTES = 4_096;

  /** A request older or younger than this by the trusted wall clock is refused. */
  static final Duration MOST_AGE = Duration.ofSeconds(30);

  private static final int LONGEST_WORD = 64;
  private static final int LONGEST_TEXT = 1_000;

  private static final ObjectReader JSON =
      JsonMapper.builder(
              new JsonFactoryBuilder()
                  .streamReadConstraints(
                      StreamReadConstraints.builder()
                          .maxNestingDepth(4)
                          .maxDocumentLength(MAX_BYTES)
                          .build())
                  .enable(StreamReadFeature.STRICT_DUPLICATE_DETECTION)
                  .build())
          .enable(DeserializationFeature.FAIL_ON_TRAILING_TOKENS)
          .build()
          .readerFor(JsonNode.class);

  /**
   * Reads a request.
   *
   * @return the act; null when the bytes are not one JSON object within bounds
   */
  static @Nullable KeeperAct read(byte[] payload) {
    if (payload.length > MAX_BYTES) {
      return null;
    }
    try {
      JsonNode root = JSON.readValue(payload);
      return root == null || !root.isObject()
          ? null
          : new KeeperAct(
              word(root, "act"),
              word(root, "tank"),
              word(root, "name"),
              text(root, "text", LONGEST_TEXT),
              word(root, "by"),
              word(root, ID),
              sent(root));
    } catch (IOException e) {
      return null;
    }
  }

  /**
   * Why the request cannot be considered at all.
   *
   * @return the reason in the keeper's words; null when it can
   */
  @Nullable String flaw(Moment now, java.util.List<String> requests) {
    Instant at = sent;
    if (!act.equals(RESET) && !act.equals(NOTE)) {
      return "\"" + act + "\" is none of reset, note";
    }
    if (by.isBlank()) {
      return "it does not say who asks (by)";
    }
    if (id.isBlank()) {
      return "it has no id";
    }
    if (requests.contains(id)) {
      return "a request with this id was answered before";
    }
    if (at == null) {
      return "it does not say when it was sent (sent, RFC 3339)";
    }
    if (!now.trusted()) {
      return "the wall clock is not trusted, so its age cannot be told";
    }
    Duration age = Duration.between(at, now.wall());
    if (age.abs().compareTo(MOST_AGE) > 0) {
      return "it was sent " + age.toSeconds() + " s ago; at most 30 s count";
    }
    if (act.equals(RESET) && name.isBlank()) {
      return "it does not say what to reset (name)";
    }
    if (act.equals(NOTE) && text.isBlank()) {
      return "the note is empty (text)";
    }
    return null;
  }

  private static String word(JsonNode root, String field) {
    return text(root, field, LONGEST_WORD);
  }

  private static String text(JsonNode root, String field, int longest) {
    JsonNode node = root.path(field);
    String text = node.isTextual() ? node.textValue() : "";
    return text.length() <= longest ? text : text.substring(0, longest);
  }

  private static @Nullable Instant sent(JsonNode root) {
    try {
      return OffsetDateTime.parse(word(root, "sent")).toInstant();
    } catch (DateTimeParseException e) {
      return null;
    }
  }
}

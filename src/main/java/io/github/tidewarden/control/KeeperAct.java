package io.github.tidewarden.control;

import com.fasterxml.jackson.core.JsonFactoryBuilder;
import com.fasterxml.jackson.core.StreamReadConstraints;
import com.fasterxml.jackson.core.StreamReadFeature;
import com.fasterxml.jackson.databind.DeserializationFeature;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectReader;
import com.fasterxml.jackson.databind.json.JsonMapper;
import io.github.tidewarden.quantity.Amount;
import io.github.tidewarden.quantity.Dimension;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.quantity.NotAnAmountException;
import java.io.IOException;
import java.time.Duration;
import java.time.Instant;
import java.time.OffsetDateTime;
import java.time.format.DateTimeParseException;
import java.util.Map;
import java.util.TreeMap;
import org.jspecify.annotations.Nullable;

/**
 * A keeper's act as asked for, one flat JSON object of texts.
 *
 * @param act what is to be done, see {@link Deed}
 * @param tank the tank
 * @param by who asks
 * @param id unique to this request, so that it is done at most once
 * @param sent when it was sent; null when it does not say
 * @param said everything else that is a text
 */
record KeeperAct(
    String act,
    String tank,
    String by,
    String id,
    @Nullable Instant sent,
    Map<String, String> said) {

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
              word(root, "by"),
              word(root, ID),
              sent(root),
              said(root));
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
    return null;
  }

  /** What stands in a field; empty when it is not there. */
  String said(String field) {
    return said.getOrDefault(field, "");
  }

  /** The text or reason given; may be empty. */
  String text() {
    return said("text");
  }

  /**
   * What must stand in a field.
   *
   * @throws Deed.RefusedException when it does not
   */
  String word(String field, String what) throws Deed.RefusedException {
    String word = said(field);
    if (word.isBlank()) {
      throw new Deed.RefusedException("it does not say " + what + " (" + field + ")");
    }
    return word;
  }

  /**
   * An amount with its unit.
   *
   * @param otherwise taken when the field is not there; null when it must be
   * @throws Deed.RefusedException when it is not such an amount
   */
  Amount amount(String field, Dimension wanted, @Nullable String otherwise)
      throws Deed.RefusedException {
    try {
      return Amount.parse(
          otherwise == null || said.containsKey(field) ? said(field) : otherwise, wanted);
    } catch (NotAnAmountException e) {
      throw new Deed.RefusedException(field + ": " + e.getMessage() + "; " + e.right());
    }
  }

  private static Map<String, String> said(JsonNode root) {
    Map<String, String> said = new TreeMap<>();
    root.fieldNames()
        .forEachRemaining(
            field -> {
              if (root.path(field).isTextual()) {
                said.put(field, text(root, field, LONGEST_TEXT));
              }
            });
    return said;
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

package io.github.tidewarden.sensing;

import com.fasterxml.jackson.core.JsonFactory;
import com.fasterxml.jackson.core.JsonFactoryBuilder;
import com.fasterxml.jackson.core.JsonPointer;
import com.fasterxml.jackson.core.StreamReadConstraints;
import com.fasterxml.jackson.core.StreamReadFeature;
import com.fasterxml.jackson.databind.DeserializationFeature;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectReader;
import com.fasterxml.jackson.databind.json.JsonMapper;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.charset.CharacterCodingException;
import java.nio.charset.StandardCharsets;
import java.time.Instant;
import java.time.OffsetDateTime;
import java.time.format.DateTimeParseException;
import java.util.regex.Pattern;
import org.jspecify.annotations.Nullable;

/**
 * What one message says, or why it says nothing that can be used. A payload is either a bare value
 * (a plain decimal number or a contact's text) or one JSON object from which a JSON Pointer picks
 * the value.
 *
 * @param value in the core's unit; NaN when unusable
 * @param sequence the counter, where one is configured; 0 otherwise
 * @param deviceTime the device's own time, where it is configured
 * @param fault why it is unusable, in the keeper's words; empty when usable
 */
public record Payload(double value, long sequence, @Nullable Instant deviceTime, String fault) {

  /** Longest payload that is looked at, bytes. */
  public static final int MAX_BYTES = 16_384;

  /** A plain decimal number; no hexadecimal, no "NaN", no type suffix, at most 18 digits a part. */
  private static final Pattern NUMBER =
      Pattern.compile("[+-]?\\d{1,18}(\\.\\d{1,18})?([eE][+-]?\\d{1,2})?");

  private static final Pattern UNPRINTABLE = Pattern.compile("[\\p{C}\\p{Zl}\\p{Zp}]");

  /** What a byte is read as that is not UTF-8; a message may have it of its own, too. */
  private static final char NOT_UTF_8 = '\uFFFD';

  private static final ObjectReader JSON =
      JsonMapper.builder(
              new JsonFactoryBuilder()
                  .streamReadConstraints(
                      StreamReadConstraints.builder()
                          .maxNestingDepth(16)
                          .maxNumberLength(40)
                          .maxStringLength(4_096)
                          .maxNameLength(256)
                          .maxDocumentLength(MAX_BYTES)
                          .build())
                  .enable(StreamReadFeature.STRICT_DUPLICATE_DETECTION)
                  .disable(JsonFactory.Feature.CHARSET_DETECTION)
                  .build())
          .enable(DeserializationFeature.FAIL_ON_TRAILING_TOKENS)
          .build()
          .readerFor(JsonNode.class);

  /** Reads one message in the form that the sensor's spec expects. */
  public static Payload read(SensorSpec spec, byte[] bytes) {
    if (bytes.length > MAX_BYTES) {
      return unusable("a message of " + bytes.length + " bytes, more than " + MAX_BYTES);
    }
    boolean json =
        !(spec.pointer().isEmpty()
            && spec.sequencePointer().isEmpty()
            && spec.timePointer().isEmpty());
    if (!json) {
      String text = text(bytes);
      return text == null ? unusable("not valid UTF-8") : value(spec, text, 0, null);
    }
    JsonNode root;
    try {
      root = JSON.readValue(bytes);
    } catch (IOException e) {
      return unusable("not the JSON that was expected");
    }
    return fromJson(spec, root);
  }

  /**
   * Reads a state report as text: the whole payload, or the JSON scalar at {@code pointer}.
   *
   * @return the text, never empty; null when there is none
   */
  public static @Nullable String state(String pointer, byte[] bytes) {
    if (bytes.length > MAX_BYTES) {
      return null;
    }
    String text;
    try {
      text = pointer.isEmpty() ? text(bytes) : scalar(JSON.readValue(bytes), pointer);
    } catch (IOException e) {
      return null;
    }
    return text == null || text.isEmpty() ? null : text;
  }

  /** Whether the message gave a value. */
  public boolean usable() {
    return fault.isEmpty();
  }

  private static Payload fromJson(SensorSpec spec, JsonNode root) {
    long sequence = 0;
    if (!spec.sequencePointer().isEmpty()) {
      JsonNode node = root.at(JsonPointer.compile(spec.sequencePointer()));
      if (!node.isIntegralNumber() || !node.canConvertToLong()) {
        return unusable("no whole number at " + spec.sequencePointer());
      }
      sequence = node.longValue();
    }
    Instant time = null;
    if (!spec.timePointer().isEmpty()) {
      String text = scalar(root, spec.timePointer());
      try {
        time = text == null ? null : OffsetDateTime.parse(text).toInstant();
      } catch (DateTimeParseException e) {
        time = null;
      }
      if (time == null) {
        return unusable("no RFC 3339 time at " + spec.timePointer());
      }
    }
    String text = scalar(root, spec.pointer());
    return text == null
        ? unusable("no value at " + (spec.pointer().isEmpty() ? "the top" : spec.pointer()))
        : value(spec, text, sequence, time);
  }

  private static Payload value(
      SensorSpec spec, String text, long sequence, @Nullable Instant time) {
    if (text.isEmpty()) {
      return unusable("an empty message"); // what the broker sends when a retained one is cleared
    }
    if (spec.measure().contact()) {
      Boolean state = spec.states().get(text);
      return state == null
          ? unusable("\"" + shortened(text) + "\" is none of its states")
          : new Payload(state ? 1 : 0, sequence, time, "");
    }
    if (!NUMBER.matcher(text).matches()) {
      return unusable("\"" + shortened(text) + "\" is not a number");
    }
    double value = Double.parseDouble(text) * spec.scale();
    if (!(value >= spec.plausibleLow() && value <= spec.plausibleHigh())) {
      return unusable(
          "\"%s\" is outside %s to %s %s"
              .formatted(
                  shortened(text),
                  spec.plausibleLow(),
                  spec.plausibleHigh(),
                  spec.measure().unit()));
    }
    return new Payload(value, sequence, time, "");
  }

  private static @Nullable String scalar(JsonNode root, String pointer) {
    JsonNode node = root.at(JsonPointer.compile(pointer));
    return node.isValueNode() && !node.isNull() ? node.asText() : null;
  }

  private static @Nullable String text(byte[] bytes) {
    String text = new String(bytes, StandardCharsets.UTF_8);
    return text.indexOf(NOT_UTF_8) < 0 || isUtf8(bytes) ? text.strip() : null;
  }

  private static boolean isUtf8(byte[] bytes) {
    try {
      StandardCharsets.UTF_8.newDecoder().decode(ByteBuffer.wrap(bytes));
      return true;
    } catch (CharacterCodingException e) {
      return false;
    }
  }

  /** For a person to read: no control character of a stranger's message reaches a terminal. */
  private static String shortened(String text) {
    String start = text.length() <= 40 ? text : text.substring(0, 40) + "…";
    return UNPRINTABLE.matcher(start).replaceAll("?");
  }

  private static Payload unusable(String why) {
    return new Payload(Double.NaN, 0, null, why);
  }
}

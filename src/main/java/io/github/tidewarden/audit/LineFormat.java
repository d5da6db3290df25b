package io.github.tidewarden.audit;

import static java.nio.charset.StandardCharsets.US_ASCII;
import static java.nio.charset.StandardCharsets.UTF_8;

import com.fasterxml.jackson.core.JsonFactory;
import com.fasterxml.jackson.core.JsonParser;
import com.fasterxml.jackson.core.JsonToken;
import com.fasterxml.jackson.core.StreamReadConstraints;
import com.fasterxml.jackson.core.StreamReadFeature;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import java.io.IOException;
import java.math.BigDecimal;
import java.nio.ByteBuffer;
import java.nio.charset.CharacterCodingException;
import java.time.DateTimeException;
import java.time.Instant;
import java.time.LocalDateTime;
import java.time.ZoneOffset;
import java.time.format.DateTimeFormatter;
import java.time.format.ResolverStyle;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import org.jspecify.annotations.Nullable;

/**
 * The bytes of one record: a JSON object on a line of its own, described on the site page about the
 * audit format. Each record has exactly one form; a line in any other form is refused, so what is
 * read and written again is the same bytes.
 */
final class LineFormat {

  /** The longest line, its newline included. */
  static final int MOST_LINE_BYTES = 1024 * 1024;

  /** The deepest nesting, the line's own braces included. */
  static final int MOST_DEPTH = 16;

  /** The longest number, on either side of its point. */
  static final int MOST_DIGITS = 64;

  private static final byte[] HASH_NAME = ",\"hash\":\"".getBytes(US_ASCII);
  private static final int TAIL_BYTES = HASH_NAME.length + 64 + 2;
  private static final Set<String> FIXED =
      Set.of("seq", "at", "tank", "kind", "why", "clock", "mono", "hash");
  private static final DateTimeFormatter AT =
      DateTimeFormatter.ofPattern("uuuu-MM-dd'T'HH:mm:ss.SSS'Z'", Locale.ROOT)
          .withResolverStyle(ResolverStyle.STRICT);
  private static final Instant FIRST_AT = Instant.parse("0000-01-01T00:00:00Z");
  private static final Instant AFTER_LAST_AT = Instant.parse("9999-12-31T23:59:59.999Z");
  private static final Map<String, Kind> KINDS = new TreeMap<>();
  private static final JsonFactory JSON =
      JsonFactory.builder()
          .streamReadConstraints(
              StreamReadConstraints.builder()
                  .maxDocumentLength(MOST_LINE_BYTES)
                  .maxNestingDepth(MOST_DEPTH)
                  .maxNumberLength(2 * MOST_DIGITS + 2)
                  .maxStringLength(MOST_LINE_BYTES)
                  .maxNameLength(MOST_LINE_BYTES)
                  .build())
          .enable(StreamReadFeature.STRICT_DUPLICATE_DETECTION)
          .build();

  static {
    for (Kind kind : Kind.values()) {
      KINDS.put(kind.word(), kind);
    }
  }

  private LineFormat() {}

  /** A line ready to be written, newline included, and its hash. */
  static final class Encoded {
    final byte[] bytes;
    final String hash;

    private Encoded(byte[] bytes, String hash) {
      this.bytes = bytes;
      this.hash = hash;
    }
  }

  /**
   * The line of a record.
   *
   * @throws RecordRefusedException if the format has no place for it
   */
  static Encoded encode(long seq, AuditRecord record, String previousHash) {
    byte[] body = body(seq, record);
    if (body.length + TAIL_BYTES + 1 > MOST_LINE_BYTES) {
      throw new RecordRefusedException("a line longer than " + MOST_LINE_BYTES + " bytes");
    }
    String hash = Hash.ofRecord(previousHash, body, body.length);
    byte[] line = Arrays.copyOf(body, body.length + TAIL_BYTES + 1);
    ByteBuffer tail = ByteBuffer.wrap(line, body.length, TAIL_BYTES + 1);
    tail.put(HASH_NAME).put(hash.getBytes(US_ASCII)).put("\"}\n".getBytes(US_ASCII));
    return new Encoded(line, hash);
  }

  /**
   * Reads a line, given without its newline. Says nothing about whether it belongs where it stands:
   * see {@link #isHashedAfter}.
   *
   * @throws BadLineException if the line is not exactly what {@link #encode} would write
   */
  static AuditLine decode(byte[] line) throws BadLineException {
    if (line.length >= MOST_LINE_BYTES) {
      throw new BadLineException("a line longer than " + MOST_LINE_BYTES + " bytes");
    }
    String hash = writtenHash(line);
    if (hash == null) {
      throw new BadLineException("does not end in a hash");
    }
    AuditLine read = parse(utf8(line), hash);
    try {
      byte[] body = body(read.seq(), read.record());
      if (!Arrays.equals(body, 0, body.length, line, 0, bodyLength(line))) {
        throw new BadLineException("not in the form in which records are written");
      }
    } catch (RecordRefusedException e) {
      throw new BadLineException(String.valueOf(e.getMessage()));
    }
    return read;
  }

  /** Whether the line, given without its newline, carries the hash it must have in this place. */
  static boolean isHashedAfter(String previousHash, byte[] line, AuditLine read) {
    return Hash.ofRecord(previousHash, line, bodyLength(line)).equals(read.hash());
  }

  /** The hash that stands at the end of a line, whatever stands before; null if none does. */
  static @Nullable String writtenHash(byte[] line) {
    int at = line.length - TAIL_BYTES;
    if (at < 0
        || !Arrays.equals(line, at, at + HASH_NAME.length, HASH_NAME, 0, HASH_NAME.length)
        || line[line.length - 2] != '"'
        || line[line.length - 1] != '}') {
      return null;
    }
    String hash = new String(line, at + HASH_NAME.length, 64, US_ASCII);
    return Hash.isHash(hash) ? hash : null;
  }

  /** The number that stands at the start of a line, whatever follows; 0 if none does. */
  static long writtenSeq(byte[] line) {
    String start = new String(line, 0, Math.min(line.length, 28), US_ASCII);
    int comma = start.indexOf(',');
    if (!start.startsWith("{\"seq\":") || comma < 8 || comma > 25) {
      return 0;
    }
    String digits = start.substring(7, comma);
    return digits.chars().allMatch(c -> c >= '0' && c <= '9') ? Long.parseLong(digits) : 0;
  }

  /** The line as it stands in the file, without its newline. */
  static String text(AuditLine line) {
    String body = new String(body(line.seq(), line.record()), UTF_8);
    return body + ",\"hash\":\"" + line.hash() + "\"}";
  }

  private static int bodyLength(byte[] line) {
    return line.length - TAIL_BYTES;
  }

  private static byte[] body(long seq, AuditRecord record) {
    if (seq < 1) {
      throw new RecordRefusedException("seq " + seq);
    }
    if (record.at().isBefore(FIRST_AT) || record.at().isAfter(AFTER_LAST_AT)) {
      throw new RecordRefusedException("a year that does not have four digits");
    }
    JsonText text = new JsonText(MOST_LINE_BYTES, MOST_DEPTH, MOST_DIGITS);
    text.open();
    text.field("seq", seq, 1);
    text.field("at", AT.format(LocalDateTime.ofInstant(record.at(), ZoneOffset.UTC)), 1);
    text.field("tank", record.tank(), 1);
    text.field("kind", record.kind().word(), 1);
    text.field("why", record.why(), 1);
    text.field("clock", record.trusted() ? "trusted" : "untrusted", 1);
    text.field("mono", record.monoMillis(), 1);
    for (Map.Entry<String, Object> field : record.fields().entrySet()) {
      if (FIXED.contains(field.getKey())) {
        throw new RecordRefusedException("the field name " + field.getKey() + " is taken");
      }
      text.field(field.getKey(), field.getValue(), 1);
    }
    return text.toString().getBytes(UTF_8);
  }

  private static String utf8(byte[] line) throws BadLineException {
    try {
      return UTF_8.newDecoder().decode(ByteBuffer.wrap(line)).toString();
    } catch (CharacterCodingException e) {
      throw new BadLineException("not UTF-8");
    }
  }

  private static AuditLine parse(String line, String hash) throws BadLineException {
    try (JsonParser json = JSON.createParser(line)) {
      if (json.nextToken() != JsonToken.START_OBJECT) {
        throw new BadLineException("not a JSON object");
      }
      Map<String, Object> all = map(json);
      if (json.nextToken() != null) {
        throw new BadLineException("more than one JSON value");
      }
      long seq = take(all, "seq", Long.class);
      Instant at = LocalDateTime.parse(take(all, "at", String.class), AT).toInstant(ZoneOffset.UTC);
      String tank = take(all, "tank", String.class);
      String word = take(all, "kind", String.class);
      Kind kind = KINDS.get(word);
      if (kind == null) {
        throw new BadLineException("a kind that this version does not know: " + word);
      }
      String why = take(all, "why", String.class);
      boolean trusted = take(all, "clock", String.class).equals("trusted");
      long monoMillis = take(all, "mono", Long.class);
      take(all, "hash", String.class);
      return new AuditLine(
          seq, new AuditRecord(at, trusted, monoMillis, tank, kind, why, all), hash);
    } catch (IOException e) {
      throw new BadLineException("not JSON within the limits of this format");
    } catch (DateTimeException e) {
      throw new BadLineException("a time that is not one");
    }
  }

  private static <T> T take(Map<String, Object> all, String name, Class<T> type)
      throws BadLineException {
    Object value = all.remove(name);
    if (!type.isInstance(value)) {
      throw new BadLineException("no " + name);
    }
    return type.cast(value);
  }

  private static Map<String, Object> map(JsonParser json) throws IOException, BadLineException {
    Map<String, Object> map = new LinkedHashMap<>();
    while (json.nextToken() != JsonToken.END_OBJECT) {
      String name = json.currentName();
      json.nextToken();
      map.put(name, value(json));
    }
    return map;
  }

  private static List<Object> list(JsonParser json) throws IOException, BadLineException {
    List<Object> list = new ArrayList<>();
    while (json.nextToken() != JsonToken.END_ARRAY) {
      list.add(value(json));
    }
    return list;
  }

  private static Object value(JsonParser json) throws IOException, BadLineException {
    return switch (json.currentToken()) {
      case VALUE_STRING -> json.getText();
      case VALUE_TRUE -> true;
      case VALUE_FALSE -> false;
      case VALUE_NUMBER_INT, VALUE_NUMBER_FLOAT -> number(json.getText());
      case START_ARRAY -> list(json);
      case START_OBJECT -> map(json);
      default -> throw new BadLineException("a null");
    };
  }

  /** Kept to plain digits, so that an exponent cannot ask for gigabytes. */
  private static Object number(String text) throws BadLineException {
    if (text.indexOf('e') >= 0 || text.indexOf('E') >= 0) {
      throw new BadLineException("a number with an exponent");
    }
    BigDecimal number = new BigDecimal(text);
    if (number.scale() == 0 && number.toBigInteger().bitLength() < Long.SIZE) {
      return number.longValueExact();
    }
    return number;
  }
}

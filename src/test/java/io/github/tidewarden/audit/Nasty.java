package io.github.tidewarden.audit;

import static java.nio.charset.StandardCharsets.UTF_8;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import java.math.BigDecimal;
import java.math.BigInteger;
import java.time.Instant;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.SplittableRandom;

/** Records with the strings and numbers that break parsers, from a seed. */
final class Nasty {

  private static final String[] PIECES = {
    "",
    "lagoon",
    "\"",
    "\\",
    "\n",
    "\r\n",
    "\u0000",
    "\u001b[31m",
    "\u007f",
    "\u0085",
    "\u2028",
    "\u202e",
    "\ufeff",
    "\uffff",
    "\ud800",
    "\udc00",
    "\ud83d\ude00",
    "é",
    "\",\"hash\":\"",
    ",\"hash\":",
    "\"}",
    "{\"seq\":1,",
    "/",
    "</script>",
    "\\u0041",
    "\\n",
    "' OR 1=1",
    "%s",
    "null",
  };

  final SplittableRandom random;
  private final AuditRecord record;

  Nasty(long seed) {
    random = new SplittableRandom(seed);
    record = make();
  }

  AuditRecord record() {
    return record;
  }

  /** The same record as it is read: whole numbers as Long, no half surrogate pairs. */
  AuditRecord asRead() {
    return new AuditRecord(
        record.at(),
        record.trusted(),
        record.monoMillis(),
        whole(record.tank()),
        record.kind(),
        whole(record.why()),
        map(asRead(record.fields())));
  }

  @SuppressWarnings("unchecked")
  private static Map<String, Object> map(Object value) {
    return (Map<String, Object>) value;
  }

  private AuditRecord make() {
    Kind[] kinds = Kind.values();
    Map<String, Object> fields = new LinkedHashMap<>();
    int count = random.nextInt(6);
    for (int i = 0; i < count; i++) {
      fields.put("f" + i + name(), value(2));
    }
    return new AuditRecord(
        Instant.ofEpochMilli(random.nextLong(-62_167_219_200_000L, 253_402_300_800_000L)),
        random.nextBoolean(),
        random.nextLong(),
        text(),
        kinds[random.nextInt(kinds.length)],
        text(),
        fields);
  }

  private String text() {
    StringBuilder text = new StringBuilder();
    int pieces = random.nextInt(5);
    for (int i = 0; i < pieces; i++) {
      text.append(PIECES[random.nextInt(PIECES.length)]);
      if (random.nextInt(3) == 0) {
        text.append((char) random.nextInt(0x10000));
      }
    }
    return text.toString();
  }

  private String name() {
    return new String(text().getBytes(UTF_8), UTF_8);
  }

  private Object value(int depth) {
    return switch (random.nextInt(depth < 6 ? 6 : 4)) {
      case 0 -> text();
      case 1 -> random.nextBoolean();
      case 2 -> random.nextInt(4) == 0 ? random.nextLong() : (long) random.nextInt(-3, 4);
      case 3 -> number();
      case 4 -> list(depth + 1);
      default -> mapOf(depth + 1);
    };
  }

  private BigDecimal number() {
    byte[] digits = new byte[1 + random.nextInt(20)];
    random.nextBytes(digits);
    return new BigDecimal(new BigInteger(digits), random.nextInt(-5, 60));
  }

  private List<Object> list(int depth) {
    List<Object> list = new ArrayList<>();
    int count = random.nextInt(4);
    for (int i = 0; i < count; i++) {
      list.add(value(depth));
    }
    return list;
  }

  private Map<String, Object> mapOf(int depth) {
    Map<String, Object> map = new LinkedHashMap<>();
    int count = random.nextInt(4);
    for (int i = 0; i < count; i++) {
      map.put(name(), value(depth));
    }
    return map;
  }

  private static String whole(String text) {
    StringBuilder whole = new StringBuilder();
    text.codePoints().forEach(c -> whole.appendCodePoint(c >= 0xD800 && c <= 0xDFFF ? 0xFFFD : c));
    return whole.toString();
  }

  private static Object asRead(Object value) {
    if (value instanceof BigDecimal number) {
      BigDecimal plain = new BigDecimal(number.toPlainString());
      boolean whole = plain.scale() == 0 && plain.toBigInteger().bitLength() < 64;
      return whole ? (Object) plain.longValueExact() : plain;
    }
    if (value instanceof String text) {
      return whole(text);
    }
    if (value instanceof List<?> list) {
      return list.stream().map(Nasty::asRead).toList();
    }
    if (value instanceof Map<?, ?> map) {
      Map<Object, Object> read = new LinkedHashMap<>();
      map.forEach((name, inner) -> read.put(name, asRead(inner)));
      return read;
    }
    return value;
  }
}

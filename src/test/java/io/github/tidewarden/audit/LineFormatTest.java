package io.github.tidewarden.audit;

import static java.nio.charset.StandardCharsets.ISO_8859_1;
import static java.nio.charset.StandardCharsets.UTF_8;
import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatExceptionOfType;

import io.github.tidewarden.audit.LineFormat.Encoded;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import java.math.BigDecimal;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import org.junit.jupiter.params.provider.ValueSource;

class LineFormatTest {

  private static final Instant AT = Instant.parse("2026-06-01T22:30:00.120Z");

  private static final String BODY =
      "{\"seq\":1,\"at\":\"2026-06-01T22:30:00.120Z\",\"tank\":\"lagoon\",\"kind\":\"window-opened\","
          + "\"why\":\"say \\\"hi\\\" in C:\\\\ \\u000a\",\"clock\":\"untrusted\",\"mono\":-5,"
          + "\"redox\":340.50,\"on\":true,\"signals\":{\"a\":[1,\"é\"],\"\":{}}";

  /** Printed by sha256sum for 64 zeros and BODY. */
  private static final String HASH =
      "e663e54ec0f956834fcfc2483b76bc758583b9400c37a1efa78420548a9c9918";

  @Test
  void writesTheLineThatThePageDescribes() {
    Map<String, Object> signals = new LinkedHashMap<>();
    signals.put("a", List.of(1L, "é"));
    signals.put("", Map.of());
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put("redox", new BigDecimal("340.50"));
    fields.put("on", true);
    fields.put("signals", signals);
    AuditRecord record =
        new AuditRecord(
            AT, false, -5, "lagoon", Kind.WINDOW_OPENED, "say \"hi\" in C:\\ \n", fields);

    Encoded line = LineFormat.encode(1, record, Hash.NONE);

    assertThat(new String(line.bytes, UTF_8)).isEqualTo(BODY + ",\"hash\":\"" + HASH + "\"}\n");
    assertThat(line.hash).isEqualTo(HASH);
  }

  @Test
  void readsTheLineThatThePageDescribes() throws BadLineException {
    AuditLine line = LineFormat.decode((BODY + ",\"hash\":\"" + HASH + "\"}").getBytes(UTF_8));

    assertThat(line.seq()).isEqualTo(1);
    assertThat(line.hash()).isEqualTo(HASH);
    assertThat(line.record().at()).isEqualTo(AT);
    assertThat(line.record().trusted()).isFalse();
    assertThat(line.record().monoMillis()).isEqualTo(-5);
    assertThat(line.record().tank()).isEqualTo("lagoon");
    assertThat(line.record().kind()).isEqualTo(Kind.WINDOW_OPENED);
    assertThat(line.record().why()).isEqualTo("say \"hi\" in C:\\ \n");
    assertThat(line.record().fields()).containsOnlyKeys("redox", "on", "signals");
    assertThat(line.record().fields().get("redox")).isEqualTo(new BigDecimal("340.50"));
    assertThat(line.record().fields().get("on")).isEqualTo(true);
    assertThat(line.record().fields().get("signals"))
        .isInstanceOf(LinkedHashMap.class)
        .isEqualTo(Map.of("a", List.of(1L, "é"), "", Map.of()));
  }

  @ParameterizedTest
  @EnumSource(Kind.class)
  void everyKindComesBack(Kind kind) throws BadLineException {
    assertThat(roundTrip(Samples.record(1, kind, "")).kind()).isEqualTo(kind);
  }

  @Test
  void whateverIsWrittenComesBackAndIsWrittenAgainAsTheSameBytes() throws BadLineException {
    for (long seed = 0; seed < 3_000; seed++) {
      Nasty nasty = new Nasty(seed);
      long seq = 1 + nasty.random.nextLong(1L << 55);
      Encoded line = LineFormat.encode(seq, nasty.record(), Hash.NONE);
      byte[] bytes = withoutNewline(line.bytes);

      AuditLine read = LineFormat.decode(bytes);
      AuditRecord expected = nasty.asRead();

      assertThat(read.seq()).as("seed %s", seed).isEqualTo(seq);
      assertThat(read.record()).as("seed %s", seed).isEqualTo(expected);
      assertThat(names(read.record())).as("seed %s", seed).isEqualTo(names(expected));
      assertThat(read.hash()).as("seed %s", seed).isEqualTo(line.hash);
      assertThat(LineFormat.isHashedAfter(Hash.NONE, bytes, read)).as("seed %s", seed).isTrue();
      assertThat(LineFormat.writtenSeq(bytes)).as("seed %s", seed).isEqualTo(seq);
      assertThat(LineFormat.writtenHash(bytes)).as("seed %s", seed).isEqualTo(line.hash);
      assertThat(LineFormat.text(read)).as("seed %s", seed).isEqualTo(new String(bytes, UTF_8));
      assertThat(LineFormat.encode(read.seq(), read.record(), Hash.NONE).bytes)
          .as("seed %s", seed)
          .isEqualTo(line.bytes);
    }
  }

  @Test
  void aLineNeverHoldsANewlineOrAControlCharacterInside() {
    for (long seed = 0; seed < 500; seed++) {
      byte[] line = LineFormat.encode(1, new Nasty(seed).record(), Hash.NONE).bytes;
      String text = new String(withoutNewline(line), UTF_8);
      assertThat(text.chars().noneMatch(Character::isISOControl)).as("seed %s", seed).isTrue();
    }
  }

  @Test
  void aHashInsideAStringOrAnInnerObjectDoesNotMoveTheSplit() throws BadLineException {
    String forged = "\",\"hash\":\"" + "0".repeat(64) + "\"}";
    Map<String, Object> inner = new LinkedHashMap<>();
    inner.put("first", 1L);
    inner.put("hash", "0".repeat(64));
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put("inner", inner);
    fields.put("text", forged);
    AuditRecord record = new AuditRecord(AT, true, 1, "lagoon", Kind.NOTICE, forged, fields);

    Encoded line = LineFormat.encode(7, record, Hash.NONE);
    byte[] bytes = withoutNewline(line.bytes);
    int split = new String(bytes, ISO_8859_1).lastIndexOf(",\"hash\":");

    assertThat(LineFormat.decode(bytes).record()).isEqualTo(record);
    assertThat(Hash.ofRecord(Hash.NONE, bytes, split)).isEqualTo(line.hash);
  }

  @ParameterizedTest
  @ValueSource(strings = {"seq", "at", "tank", "kind", "why", "clock", "mono", "hash"})
  void refusesAFieldThatTakesAFixedName(String name) {
    refuses(Map.of(name, 1L), "taken");
  }

  @Test
  void refusesValuesThatHaveNoPlaceInTheFormat() {
    refuses(Map.of("a", 1.5), "Double");
    refuses(Map.of("a", Double.NaN), "Double");
    refuses(Map.of("a", 1.5f), "Float");
    refuses(Map.of("a", 1), "Integer");
    refuses(Map.of("a", Map.of("b", List.of(1))), "Integer");
    refuses(Map.of("a", Map.of(1L, 1L)), "name");
    refuses(Map.of("\ud800", 1L), "surrogate");
    refuses(Map.of("a", Arrays.asList(1L, null)), "null");
  }

  @Test
  void refusesNumbersWithoutAnEnd() {
    refuses(Map.of("a", new BigDecimal("1E+1000000000")), "digits");
    refuses(Map.of("a", new BigDecimal("1E-1000000000")), "digits");
    refuses(Map.of("a", new BigDecimal("1" + "0".repeat(64))), "digits");
  }

  @Test
  void aNumberOfTheMostDigitsComesBack() throws BadLineException {
    BigDecimal most = new BigDecimal("-" + "9".repeat(64) + "." + "1".repeat(64));
    assertThat(roundTrip(with(Map.of("a", most))).fields()).containsEntry("a", most);
  }

  @Test
  void aNumberWithoutDecimalsComesBackWhole() throws BadLineException {
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put("a", new BigDecimal("340"));
    fields.put("b", new BigDecimal("3.4E+2"));
    fields.put("c", Long.MIN_VALUE);
    fields.put("d", new BigDecimal("9223372036854775808"));
    assertThat(roundTrip(with(fields)).fields())
        .containsEntry("a", 340L)
        .containsEntry("b", 340L)
        .containsEntry("c", Long.MIN_VALUE)
        .containsEntry("d", new BigDecimal("9223372036854775808"));
  }

  @Test
  void sixteenLevelsFitAndSeventeenDoNot() throws BadLineException {
    AuditRecord deepest = with(Map.of("a", nested(15)));
    assertThat(roundTrip(deepest)).isEqualTo(deepest);
    refuses(Map.of("a", nested(16)), "deeper");
    List<Object> endless = new ArrayList<>();
    endless.add(endless);
    refuses(Map.of("a", endless), "deeper");
  }

  @Test
  void aLineOfTheMostBytesFitsAndOneMoreDoesNot() throws BadLineException {
    int rest = LineFormat.encode(1, with(Map.of("a", "")), Hash.NONE).bytes.length;
    AuditRecord longest = with(Map.of("a", "x".repeat(LineFormat.MOST_LINE_BYTES - rest)));
    assertThat(LineFormat.encode(1, longest, Hash.NONE).bytes).hasSize(LineFormat.MOST_LINE_BYTES);
    assertThat(roundTrip(longest)).isEqualTo(longest);
    refuses(Map.of("a", "x".repeat(LineFormat.MOST_LINE_BYTES - rest + 1)), "longer");
    refuses(Map.of("a", "é".repeat((LineFormat.MOST_LINE_BYTES - rest) / 2 + 1)), "longer");
    refuses(Map.of("a", "x".repeat(10_000_000)), "longer");
  }

  @Test
  void refusesYearsThatDoNotHaveFourDigits() {
    for (Instant at :
        new Instant[] {Instant.MIN, Instant.MAX, Instant.parse("-0001-01-01T00:00:00Z")}) {
      AuditRecord record = new AuditRecord(at, true, 1, "", Kind.NOTICE, "", Map.of());
      assertThatExceptionOfType(RecordRefusedException.class)
          .isThrownBy(() -> LineFormat.encode(1, record, Hash.NONE));
    }
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "",
        "{}",
        "null",
        "[1]",
        "{\"seq\":1}",
        " BODY",
        "BODY ",
        "{ REST",
        "BODY,\"x\":null",
        "BODY,\"x\":1e3",
        "BODY,\"x\":1E400000000",
        "BODY,\"x\":-0",
        "BODY,\"x\":-0.0",
        "BODY,\"x\":01",
        "BODY,\"x\":NaN",
        "BODY,\"x\":.5",
        "BODY,\"x\":\"\\/\"",
        "BODY,\"x\":\"\\n\"",
        "BODY,\"x\":\"\\u0041\"",
        "BODY,\"x\":\"\\u000A\"",
        "BODY,\"x\":\"\\ud83d\\ude00\"",
        "BODY,\"x\":\"\\ud83d\"",
        "BODY,\"redox\":340.50",
        "BODY,\"seq\":1",
        "BODY,\"x\":{\"a\":1,\"a\":1}",
        "BODY,\"x\":[[[[[[[[[[[[[[[[]]]]]]]]]]]]]]]]",
        "BODY}{\"x\":1",
        "BODY,\"x\":1}//",
        "BODY,\"x\":'a'",
        "BODY,\"x\":1,",
      })
  void refusesALineInAnyOtherForm(String form) {
    String body = form.replace("BODY", BODY).replace("{ REST", "{ " + BODY.substring(1));
    byte[] withHash = (body + ",\"hash\":\"" + HASH + "\"}").getBytes(UTF_8);
    refusesLine(withHash);
    refusesLine(body.getBytes(UTF_8));
  }

  @Test
  void refusesFixedFieldsThatAreMissingOrOutOfPlaceOrOfAnotherType() {
    String tail = ",\"hash\":\"" + HASH + "\"}";
    for (String[] change :
        new String[][] {
          {"\"seq\":1,", ""},
          {"\"seq\":1", "\"seq\":\"1\""},
          {"\"seq\":1", "\"seq\":0"},
          {"\"seq\":1", "\"seq\":-1"},
          {"\"seq\":1", "\"seq\":99999999999999999999"},
          {"22:30:00.120Z", "22:30:00Z"},
          {"22:30:00.120Z", "22:30:00.120+00:00"},
          {"22:30:00.120Z", "24:30:00.120Z"},
          {"2026-06-01", "2026-02-30"},
          {"\"tank\":\"lagoon\",\"kind\"", "\"kind\""},
          {"window-opened", "window_opened"},
          {"window-opened", "opened"},
          {"\"untrusted\"", "\"unknown\""},
          {"\"untrusted\"", "false"},
          {"\"mono\":-5", "\"mono\":-5.0"},
          {"\"clock\":\"untrusted\",\"mono\":-5", "\"mono\":-5,\"clock\":\"untrusted\""},
        }) {
      String changed = BODY.replace(change[0], change[1]);
      assertThat(changed).isNotEqualTo(BODY);
      refusesLine((changed + tail).getBytes(UTF_8));
    }
  }

  @Test
  void refusesAHashInAnyOtherForm() {
    for (String tail :
        new String[] {
          ",\"hash\":\"" + HASH.toUpperCase(java.util.Locale.ROOT) + "\"}",
          ",\"hash\":\"" + HASH.substring(1) + "\"}",
          ",\"hash\":\"" + HASH + "\" }",
          ",\"hash\":\"" + HASH + "\"}\r",
          ",\"hash\": \"" + HASH + "\"}",
          ",\"hash\":" + HASH + "}",
          ",\"Hash\":\"" + HASH + "\"}",
          "}",
        }) {
      refusesLine((BODY + tail).getBytes(UTF_8));
    }
  }

  @Test
  void refusesBytesThatAreNotUtf8() {
    byte[] line = (BODY + ",\"hash\":\"" + HASH + "\"}").getBytes(UTF_8);
    byte[] latin = new String(line, UTF_8).getBytes(ISO_8859_1);
    refusesLine(latin);
  }

  @Test
  void neverFailsOtherwiseOnAnyBytes() {
    byte[] line = (BODY + ",\"hash\":\"" + HASH + "\"}").getBytes(UTF_8);
    SplittableRandom random = new SplittableRandom(20261101);
    for (int i = 0; i < 20_000; i++) {
      byte[] changed = line.clone();
      int changes = 1 + random.nextInt(4);
      for (int c = 0; c < changes; c++) {
        changed[random.nextInt(changed.length)] = (byte) random.nextInt(256);
      }
      try {
        AuditLine read = LineFormat.decode(changed);
        assertThat(LineFormat.text(read)).isEqualTo(new String(changed, UTF_8));
      } catch (BadLineException e) {
        assertThat(e).hasMessageMatching("(?s).+");
      }
    }
  }

  private static void refusesLine(byte[] line) {
    assertThatExceptionOfType(BadLineException.class)
        .as(new String(line, UTF_8))
        .isThrownBy(() -> LineFormat.decode(line));
  }

  private static void refuses(Map<String, Object> fields, String why) {
    assertThatExceptionOfType(RecordRefusedException.class)
        .isThrownBy(() -> LineFormat.encode(1, with(fields), Hash.NONE))
        .withMessageContaining(why);
  }

  private static AuditRecord with(Map<String, Object> fields) {
    return new AuditRecord(AT, true, 1, "lagoon", Kind.NOTICE, "", fields);
  }

  private static AuditRecord roundTrip(AuditRecord record) throws BadLineException {
    return LineFormat.decode(withoutNewline(LineFormat.encode(1, record, Hash.NONE).bytes))
        .record();
  }

  private static byte[] withoutNewline(byte[] line) {
    assertThat(line[line.length - 1]).isEqualTo((byte) '\n');
    return Arrays.copyOf(line, line.length - 1);
  }

  private static Object nested(int levels) {
    Object value = "x";
    for (int i = 0; i < levels; i++) {
      value = i % 2 == 0 ? List.of(value) : Map.of("a", value);
    }
    return value;
  }

  private static List<String> names(AuditRecord record) {
    return List.copyOf(record.fields().keySet());
  }
}

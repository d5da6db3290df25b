package io.github.tidewarden.sensing;

import static org.assertj.core.api.Assertions.assertThat;

import java.nio.charset.Charset;
import java.nio.charset.StandardCharsets;
import java.time.Instant;
import java.util.Arrays;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/**
 * What one message may look like, and what is never taken for a reading (SAFETY.md F02, F11, F13).
 */
class PayloadTest {

  private static Payload plain(String text) {
    return Payload.read(SensingBench.REDOX, SensingBench.bytes(text));
  }

  private static Payload json(String text) {
    return Payload.read(SensingBench.REDOX_JSON, SensingBench.bytes(text));
  }

  private static void isUnusable(Payload payload) {
    assertThat(payload.usable()).as(payload.toString()).isFalse();
    assertThat(payload.value()).isNaN();
    assertThat(payload.fault()).isNotBlank();
    assertThat(payload.deviceTime()).isNull();
  }

  @ParameterizedTest
  @CsvSource({
    "320, 320",
    "+320, 320",
    "320.5, 320.5",
    "0320.50, 320.5",
    "3.2e2, 320",
    "3.2E+02, 320",
    "32000e-2, 320",
    "50, 50",
    "700, 700",
    "000000000000000320, 320",
    "320.123456789012345678, 320.12345678901235"
  })
  void aPlainDecimalIsAReading(String text, double millivolts) {
    Payload payload = plain(text);
    assertThat(payload.fault()).isEmpty();
    assertThat(payload.value()).isEqualTo(millivolts);
    assertThat(json("{\"mv\":\"" + text + "\"}").value()).isEqualTo(millivolts);
  }

  @ParameterizedTest
  @ValueSource(strings = {" 320", "320 ", "320\n", "\t320\r\n"})
  void whiteSpaceAroundAPlainValueIsNothing(String text) {
    assertThat(plain(text).value()).isEqualTo(320);
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "",
        " ",
        "\n",
        "NaN",
        "nan",
        "Infinity",
        "-Infinity",
        "inf",
        "null",
        "\"\"",
        "\"320\"",
        "true",
        "320d",
        "320f",
        "320L",
        "0x140",
        "0x1.4p8",
        "1e999",
        "1e100",
        "-1e999",
        "320e",
        "e2",
        ".5e3",
        "320.",
        "320,5",
        "3 20",
        "320 330",
        "320\n330",
        "320mV",
        "320 mV",
        "--320",
        "+-320",
        "1_000",
        "３２０",
        "٣٢٠",
        "320\u0000",
        "\u0000320",
        "\uFEFF320",
        "[320]",
        "{\"mv\":320}",
        "0000000000000000320",
        "320.0000000000000000000"
      })
  void whatIsNoPlainDecimalIsNoReading(String text) {
    isUnusable(plain(text));
    isUnusable(json("{\"mv\":\"" + text.replace("\"", "\\\"") + "\"}"));
  }

  /** Plausible is 50 to 700 mV, as SAFETY.md prints it; an unplugged probe reads 0 or -2000. */
  @ParameterizedTest
  @ValueSource(
      strings = {"0", "-0", "-0.0", "-2000", "49.99999999999999", "700.0000000000001", "1e99"})
  void whatIsNotPlausibleIsNoReading(String text) {
    isUnusable(plain(text));
    isUnusable(json("{\"mv\":" + text + "}"));
  }

  @ParameterizedTest
  @CsvSource({
    "'{\"mv\":320}', 320",
    "'{\"mv\":320.0}', 320",
    "'{\"mv\":3.2e2}', 320",
    "'{\"mv\":32000e-2}', 320",
    "' { \"a\" : [1, {}], \"mv\" : 320.25 } ', 320.25",
    "'{\"mv\":\"320\"}', 320"
  })
  void aJsonValueAtItsPointerIsAReading(String text, double millivolts) {
    assertThat(json(text).fault()).isEmpty();
    assertThat(json(text).value()).isEqualTo(millivolts);
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "",
        " ",
        "320",
        "null",
        "[]",
        "{}",
        "{\"mv\":null}",
        "{\"mv\":true}",
        "{\"mv\":\"\"}",
        "{\"mv\":\" 320\"}",
        "{\"mv\":[320]}",
        "{\"mv\":{\"mv\":320}}",
        "{\"MV\":320}",
        "{\"mv\":NaN}",
        "{\"mv\":Infinity}",
        "{\"mv\":-Infinity}",
        "{\"mv\":\"NaN\"}",
        "{\"mv\":1e999}",
        "{\"mv\":1e9999999999}",
        "{\"mv\":-1e2147483648}",
        "{\"mv\":0x140}",
        "{\"mv\":+320}",
        "{\"mv\":0320}",
        "{\"mv\":320.}",
        "{\"mv\":.5}",
        "{mv:320}",
        "{'mv':320}",
        "{\"mv\":320,}",
        "{\"mv\":320",
        "{\"mv\":320}}",
        "{\"mv\":320} {\"mv\":330}",
        "{\"mv\":320} 7",
        "{\"mv\":320} // cold",
        "{\"mv\":320,\"mv\":330}",
        "{\"a\":{\"b\":1,\"b\":2},\"mv\":320}",
        "\uFEFF{\"mv\":320}",
        "{\"mv\":320}\u0000"
      })
  void whatIsNoStrictJsonWithTheValueIsNoReading(String text) {
    isUnusable(json(text));
  }

  @Test
  void anArrayIsPickedFromByIndex() {
    SensorSpec second = SensingBench.redox("/probes/1", 1, "", "");
    assertThat(Payload.read(second, SensingBench.bytes("{\"probes\":[1,320]}")).value())
        .isEqualTo(320);
    isUnusable(Payload.read(second, SensingBench.bytes("{\"probes\":[320]}")));
  }

  @Test
  void namesWithSlashAndTildeArePointedAtAsRfc6901Says() {
    SensorSpec odd = SensingBench.redox("/a~1b/m~0n", 1, "", "");
    assertThat(Payload.read(odd, SensingBench.bytes("{\"a/b\":{\"m~n\":320}}")).value())
        .isEqualTo(320);
  }

  /** A message in any other encoding is a mistake of set-up, and nothing to guess about. */
  @ParameterizedTest
  @ValueSource(strings = {"UTF-16LE", "UTF-16BE", "UTF-16", "UTF-32LE", "UTF-32BE"})
  void onlyUtf8IsRead(String charset) {
    isUnusable(Payload.read(SensingBench.REDOX, "320".getBytes(Charset.forName(charset))));
    isUnusable(
        Payload.read(SensingBench.REDOX_JSON, "{\"mv\":320}".getBytes(Charset.forName(charset))));
  }

  @Test
  void brokenUtf8IsNoReading() {
    byte[] latin = "{\"mv\":320,\"at\":\"Sète\"}".getBytes(StandardCharsets.ISO_8859_1);
    isUnusable(Payload.read(SensingBench.REDOX_JSON, latin));
    isUnusable(Payload.read(SensingBench.REDOX, new byte[] {'3', '2', '0', (byte) 0xC3}));
    isUnusable(Payload.read(SensingBench.REDOX, new byte[] {(byte) 0xC0, (byte) 0xB3}));
  }

  @Test
  void anOversizedMessageIsNotLookedAt() {
    byte[] padded = new byte[Payload.MAX_BYTES + 1];
    Arrays.fill(padded, (byte) ' ');
    padded[0] = '3';
    padded[1] = '2';
    padded[2] = '0';
    isUnusable(Payload.read(SensingBench.REDOX, padded));
    assertThat(Payload.state("", padded)).isNull();
    byte[] largest = Arrays.copyOf(padded, Payload.MAX_BYTES);
    assertThat(Payload.read(SensingBench.REDOX, largest).value()).isEqualTo(320);
  }

  @Test
  void aDeepMessageIsNotFollowed() {
    assertThat(json("{\"a\":" + nested(15) + ",\"mv\":320}").usable()).isTrue();
    isUnusable(json("{\"a\":" + nested(16) + ",\"mv\":320}"));
    isUnusable(json("[".repeat(Payload.MAX_BYTES)));
    isUnusable(json("{\"a\":".repeat(3_000)));
  }

  private static String nested(int depth) {
    return "[".repeat(depth) + "]".repeat(depth);
  }

  @Test
  void longNumbersAndTextsAreNotFollowed() {
    isUnusable(json("{\"mv\":" + "3".repeat(10_000) + "}"));
    isUnusable(json("{\"mv\":320." + "0".repeat(10_000) + "}"));
    isUnusable(json("{\"mv\":\"" + "3".repeat(10_000) + "\"}"));
    isUnusable(plain("3".repeat(Payload.MAX_BYTES)));
    isUnusable(plain("320." + "0".repeat(16_000)));
  }

  /** SAFETY.md F11: a probe in volts, or in microvolts. */
  @ParameterizedTest
  @CsvSource({"1000, 0.32, 320", "0.001, 320000, 320", "1000, 0.7, 700"})
  void aDeclaredUnitIsScaled(double scale, String text, double millivolts) {
    SensorSpec spec = SensingBench.redox("", scale, "", "");
    assertThat(Payload.read(spec, SensingBench.bytes(text)).value()).isEqualTo(millivolts);
  }

  @Test
  void whatIsPlausibleIsJudgedAfterScaling() {
    SensorSpec volts = SensingBench.redox("", 1000, "", "");
    isUnusable(Payload.read(volts, SensingBench.bytes("320")));
    isUnusable(Payload.read(SensingBench.REDOX, SensingBench.bytes("0.32")));
  }

  /** No number of a configuration makes anything plausible by not being a number. */
  @ParameterizedTest
  @CsvSource({"NaN, 50, 700", "1, NaN, 700", "1, 50, NaN", "Infinity, 50, 700", "0, 50, 700"})
  void aBrokenSpecReadsNothing(double scale, double low, double high) {
    SensorSpec spec =
        new SensorSpec(
            "redox-a", "t", "", Measure.REDOX, scale, low, high, 1, 0, java.util.Map.of(), "", "");
    isUnusable(Payload.read(spec, SensingBench.bytes("320")));
  }

  @ParameterizedTest
  @CsvSource({"wet, 1", "dry, 0", "' wet\n', 1"})
  void aContactHasItsTwoStates(String text, double value) {
    Payload payload = Payload.read(SensingBench.LEAK, SensingBench.bytes(text));
    assertThat(payload.fault()).isEmpty();
    assertThat(payload.value()).isEqualTo(value);
  }

  @ParameterizedTest
  @ValueSource(strings = {"WET", "Wet", "wetter", "we t", "1", "0", "true", "null", "wet\u0000"})
  void whatIsNoneOfItsStatesIsNoReading(String text) {
    isUnusable(Payload.read(SensingBench.LEAK, SensingBench.bytes(text)));
  }

  /** An empty message clears a retained one; it must not say "dry" though a state were empty. */
  @ParameterizedTest
  @ValueSource(strings = {"", " ", "\n", "\t\r\n"})
  void anEmptyMessageIsNoStateOfAContact(String text) {
    assertThat(Payload.read(SensingBench.LEAK, SensingBench.bytes(text)).fault())
        .isEqualTo("an empty message");
    assertThat(Payload.state("", SensingBench.bytes(text))).isNull();
    assertThat(Payload.state("/on", SensingBench.bytes("{\"on\":\"\"}"))).isNull();
  }

  @ParameterizedTest
  @CsvSource({
    "'{\"state\":1}', 1",
    "'{\"state\":\"1\"}', 1",
    "'{\"state\":0}', 0",
    "'{\"state\":true}', 1"
  })
  void aContactInJsonIsReadAsItIsWritten(String text, double value) {
    assertThat(Payload.read(SensingBench.RUNNING, SensingBench.bytes(text)).value())
        .isEqualTo(value);
  }

  @ParameterizedTest
  @ValueSource(
      strings = {"{\"state\":1.0}", "{\"state\":false}", "{\"state\":null}", "{\"state\":[1]}"})
  void aContactInJsonThatIsWrittenOtherwiseIsNoReading(String text) {
    isUnusable(Payload.read(SensingBench.RUNNING, SensingBench.bytes(text)));
  }

  @Test
  void theCounterIsAWholeNumberOfAtMost64Bits() {
    assertThat(counted("7").sequence()).isEqualTo(7);
    assertThat(counted("-9223372036854775808").sequence()).isEqualTo(Long.MIN_VALUE);
    assertThat(counted("9223372036854775807").sequence()).isEqualTo(Long.MAX_VALUE);
    for (String wrong : new String[] {"9223372036854775808", "7.0", "7e0", "\"7\"", "null", "[]"}) {
      isUnusable(counted(wrong));
    }
    isUnusable(Payload.read(SensingBench.COUNTED, SensingBench.bytes("{\"mv\":320}")));
  }

  private static Payload counted(String number) {
    return Payload.read(
        SensingBench.COUNTED, SensingBench.bytes("{\"mv\":320,\"n\":" + number + "}"));
  }

  @Test
  void theDevicesTimeIsRfc3339() {
    assertThat(timed("\"2026-01-15T03:00:00.250+01:00\"").deviceTime())
        .isEqualTo(Instant.parse("2026-01-15T02:00:00.250Z"));
    for (String wrong :
        new String[] {
          "\"2026-01-15T02:00:00\"",
          "\"2026-02-30T02:00:00Z\"",
          "\"2026-01-15\"",
          "\"\"",
          "1768442400",
          "null",
          "\"" + "2".repeat(4_000) + "\""
        }) {
      isUnusable(timed(wrong));
    }
    isUnusable(Payload.read(SensingBench.TIMED, SensingBench.bytes("{\"mv\":320}")));
  }

  @ParameterizedTest
  @ValueSource(
      strings = {"+999999999-12-31T23:59:59.999999999-18:00", "-999999999-01-01T00:00:00+18:00"})
  void theFarthestTimesAreReadWithoutOverflow(String time) {
    assertThat(timed("\"" + time + "\"").usable()).isTrue();
  }

  private static Payload timed(String time) {
    return Payload.read(SensingBench.TIMED, SensingBench.bytes("{\"mv\":320,\"t\":" + time + "}"));
  }

  @Test
  void saysWhatIsWrongInTheKeepersWords() {
    assertThat(plain("0.35").fault()).isEqualTo("\"0.35\" is outside 50.0 to 700.0 mV");
    assertThat(plain("320 mV").fault()).isEqualTo("\"320 mV\" is not a number");
    assertThat(json("{\"mv\":3200.0}").fault()).isEqualTo("\"3200.0\" is outside 50.0 to 700.0 mV");
    assertThat(json("{}").fault()).isEqualTo("no value at /mv");
    assertThat(json("{").fault()).isEqualTo("not the JSON that was expected");
    assertThat(counted("7.5").fault()).isEqualTo("no whole number at /n");
    assertThat(timed("\"now\"").fault()).isEqualTo("no RFC 3339 time at /t");
    assertThat(Payload.read(SensingBench.LEAK, SensingBench.bytes("damp")).fault())
        .isEqualTo("\"damp\" is none of its states");
    assertThat(plain("x".repeat(100)).fault())
        .isEqualTo("\"" + "x".repeat(40) + "…\" is not a number");
  }

  @Test
  void saysWhereItLookedAndWhatItCouldNotRead() {
    SensorSpec countedOnly = SensingBench.redox("", 1, "/n", "");
    SensorSpec timedOnly = SensingBench.redox("", 1, "", "/t");
    assertThat(Payload.read(countedOnly, SensingBench.bytes("{\"n\":1}")).fault())
        .isEqualTo("no value at the top");
    assertThat(
            Payload.read(timedOnly, SensingBench.bytes("{\"t\":\"2026-01-15T02:00:00Z\"}")).fault())
        .isEqualTo("no value at the top");
    assertThat(Payload.read(SensingBench.REDOX, new byte[] {(byte) 0xFF}).fault())
        .isEqualTo("not valid UTF-8");
    assertThat(plain("x".repeat(40)).fault())
        .isEqualTo("\"" + "x".repeat(40) + "\" is not a number");
    assertThat(plain("3".repeat(Payload.MAX_BYTES + 1)).fault())
        .isEqualTo("a message of 16385 bytes, more than 16384");
  }

  /** What a stranger sends must not steer the terminal that shows it. */
  @Test
  void aFaultShowsNoControlCharacters() {
    assertThat(plain("\u001B[2J\u0007\u202E\u2028x").fault())
        .isEqualTo("\"?[2J???x\" is not a number");
    assertThat(json("{\"mv\":\"\\ud83d\\u0000\"}").fault()).isEqualTo("\"??\" is not a number");
    assertThat(plain("x".repeat(39) + "😀").fault())
        .isEqualTo("\"" + "x".repeat(39) + "?…\" is not a number");
  }

  @Test
  void aStateReportIsTextOrAScalarInJson() {
    assertThat(Payload.state("", SensingBench.bytes(" on\n"))).isEqualTo("on");
    assertThat(Payload.state("/on", SensingBench.bytes("{\"on\":true}"))).isEqualTo("true");
    assertThat(Payload.state("/on", SensingBench.bytes("{\"on\":1}"))).isEqualTo("1");
    for (String none :
        new String[] {
          "", "true", "null", "{}", "{\"on\":null}", "{\"on\":{}}", "{\"on\":1", "[1]"
        }) {
      assertThat(Payload.state("/on", SensingBench.bytes(none))).as(none).isNull();
    }
    assertThat(Payload.state("", new byte[] {(byte) 0xFF})).isNull();
    byte[] longest = new byte[Payload.MAX_BYTES];
    Arrays.fill(longest, (byte) 'x');
    assertThat(Payload.state("", longest)).hasSize(Payload.MAX_BYTES);
  }
}

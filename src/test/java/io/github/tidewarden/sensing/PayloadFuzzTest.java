package io.github.tidewarden.sensing;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.quantity.Moment;
import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.time.Instant;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Test;

/**
 * A million messages from nowhere and a million damaged good ones, by seed and not guided by
 * coverage: never an exception, never a value outside what is plausible (SAFETY.md F02, F13).
 */
class PayloadFuzzTest {
  private static final int MESSAGES = 1_000_000;
  private static final Moment NOW =
      new Moment(Instant.parse("2026-01-15T02:00:00Z"), -7_000_000_000L, true);
  private static final Pattern SHOWABLE = Pattern.compile("[^\\p{C}]{1,120}");

  private static final List<SensorSpec> SPECS =
      List.of(
          SensingBench.REDOX,
          SensingBench.REDOX_JSON,
          SensingBench.redox("/mv", 1, "/n", "/t"),
          SensingBench.redox("", 1000, "", ""),
          SensingBench.LEAK,
          SensingBench.RUNNING);

  private static final String[] GOOD = {
    "320",
    "320.5",
    "3.2e2",
    "wet",
    "dry",
    "{\"mv\":320}",
    "{\"mv\":320.5,\"n\":7,\"t\":\"2026-01-15T02:00:00Z\"}",
    "{\"a\":[1,{\"b\":null}],\"mv\":\"320\",\"n\":8,\"t\":\"2026-01-15T02:00:01+00:00\"}",
    "{\"state\":true}",
    "{\"state\":\"0\"}"
  };

  private static final String[] TOKENS = {
    "NaN",
    "Infinity",
    "-",
    "+",
    "null",
    "\"",
    "\\u0000",
    "\\ud800",
    "1e999",
    "e",
    "E-",
    ".",
    "0x",
    "[[[[[[[[",
    "]",
    "{",
    "}",
    ",",
    ":",
    "\"mv\":",
    "\"n\":",
    "\"t\":",
    "\uFEFF",
    "\u0000",
    "💧",
    "9223372036854775808",
    "99999999999999999999999999999999999999999999",
    "/*",
    "//",
    "'",
    "\n",
    "+999999999-12-31T23:59:59Z",
    "1e-99",
    "true",
    " "
  };

  @Test
  void randomBytesAreNeverBelievedOutsideTheBand() {
    SplittableRandom random = new SplittableRandom(20260115);
    for (int i = 0; i < MESSAGES; i++) {
      byte[] bytes = new byte[random.nextInt(random.nextInt(50) == 0 ? 400 : 14)];
      random.nextBytes(bytes);
      if (random.nextBoolean()) {
        for (int at = 0; at < bytes.length; at++) {
          bytes[at] = (byte) "0123456789+-.eE \"{}[]:,mvntwedry\\".charAt((bytes[at] & 0xFF) % 33);
        }
      }
      holds(SPECS.get(i % SPECS.size()), bytes);
    }
  }

  @Test
  void damagedMessagesAreNeverBelievedOutsideTheBand() {
    SplittableRandom random = new SplittableRandom(20260116);
    int usable = 0;
    for (int i = 0; i < MESSAGES; i++) {
      byte[] bytes = GOOD[random.nextInt(GOOD.length)].getBytes(StandardCharsets.UTF_8);
      for (int damage = random.nextInt(4); damage >= 0; damage--) {
        bytes = damaged(bytes, random);
      }
      usable += holds(SPECS.get(i % SPECS.size()), bytes) ? 1 : 0;
    }
    assertThat(usable).as("some must be good, or this shows nothing").isGreaterThan(MESSAGES / 100);
  }

  private static byte[] damaged(byte[] bytes, SplittableRandom random) {
    int at = random.nextInt(bytes.length + 1);
    int to = at + random.nextInt(bytes.length - at + 1);
    byte[] head = Arrays.copyOf(bytes, at);
    byte[] tail = Arrays.copyOfRange(bytes, at, bytes.length);
    return switch (random.nextInt(6)) {
      case 0 -> joined(head, new byte[] {(byte) random.nextInt(256)}, tail);
      case 1 -> joined(head, Arrays.copyOfRange(bytes, to, bytes.length), new byte[0]);
      case 2 -> joined(head, Arrays.copyOfRange(bytes, at, to), tail);
      case 3 -> {
        byte[] flipped = bytes.clone();
        if (at < flipped.length) {
          flipped[at] ^= (byte) (1 << random.nextInt(8));
        }
        yield flipped;
      }
      default -> {
        String token = TOKENS[random.nextInt(TOKENS.length)];
        yield joined(head, token.getBytes(StandardCharsets.UTF_8), tail);
      }
    };
  }

  private static byte[] joined(byte[] head, byte[] middle, byte[] tail) {
    byte[] all = Arrays.copyOf(head, head.length + middle.length + tail.length);
    System.arraycopy(middle, 0, all, head.length, middle.length);
    System.arraycopy(tail, 0, all, head.length + middle.length, tail.length);
    return all;
  }

  /** Returns whether the message could be used. */
  private static boolean holds(SensorSpec spec, byte[] bytes) {
    Reading reading = new Reading(1, spec.topic(), bytes, false, NOW);
    Signal signal = Sensor.UNHEARD.accept(spec, reading).at(spec, NOW);
    double value = signal.value();
    boolean plausible = value >= spec.plausibleLow() && value <= spec.plausibleHigh();
    boolean right =
        signal.good()
            ? plausible && saysTheSame(spec, bytes, value)
            : Double.isNaN(value) && SHOWABLE.matcher(signal.reason()).matches();
    if (!right) {
      throw new AssertionError(
          "\"" + new String(bytes, StandardCharsets.UTF_8) + "\" gave " + signal);
    }
    if (bytes.length % 8 == 0) {
      Payload.state(spec.pointer(), bytes);
    }
    return signal.good();
  }

  /** Another reading of a plain message, by the library's own decimal arithmetic. */
  private static boolean saysTheSame(SensorSpec spec, byte[] bytes, double value) {
    if (!spec.pointer().isEmpty()) {
      return true;
    }
    String text = new String(bytes, StandardCharsets.UTF_8).strip();
    return spec.measure().contact()
        ? value == (text.equals("wet") ? 1 : 0) && (text.equals("wet") || text.equals("dry"))
        : value == new BigDecimal(text).doubleValue() * spec.scale();
  }
}

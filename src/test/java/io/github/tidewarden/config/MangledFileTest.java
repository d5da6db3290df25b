package io.github.tidewarden.config;

import static org.assertj.core.api.Assertions.assertThat;

import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Whatever is done to a file, it is either right or refused with the places of what is wrong. */
class MangledFileTest {
  private static final String ODD = "{}[]:,#&*!|>'\"%@`-?~ \t\n\u0000\u00e9\ud83d\ude00";

  @ParameterizedTest
  @ValueSource(longs = {1, 2, 3, 4})
  void linesTakenOutDoubledAndSwappedNeverCrash(long seed) {
    SplittableRandom random = new SplittableRandom(seed);
    List<String> lab = Arrays.asList(ConfigText.lab().text().split("\n"));
    for (int i = 0; i < 150; i++) {
      List<String> lines = new ArrayList<>(lab);
      int changes = 1 + random.nextInt(6);
      for (int change = 0; change < changes; change++) {
        mangle(lines, random);
      }
      isRightOrRefusedWithPlaces(String.join("\n", lines).getBytes(StandardCharsets.UTF_8));
    }
  }

  private static void mangle(List<String> lines, SplittableRandom random) {
    int at = random.nextInt(lines.size());
    switch (random.nextInt(4)) {
      case 0 -> lines.remove(at);
      case 1 -> lines.add(at, lines.get(at));
      case 2 -> lines.set(at, lines.set(random.nextInt(lines.size()), lines.get(at)));
      default -> lines.set(at, "  " + lines.get(at));
    }
  }

  @ParameterizedTest
  @ValueSource(longs = {5, 6, 7, 8})
  void charactersPutInAndTakenOutNeverCrash(long seed) {
    SplittableRandom random = new SplittableRandom(seed);
    String lab = ConfigText.lab().text();
    for (int i = 0; i < 150; i++) {
      StringBuilder text = new StringBuilder(lab);
      int changes = 1 + random.nextInt(4);
      for (int change = 0; change < changes; change++) {
        int at = random.nextInt(text.length());
        if (random.nextBoolean()) {
          text.deleteCharAt(at);
        } else {
          text.insert(at, ODD.charAt(random.nextInt(ODD.length())));
        }
      }
      isRightOrRefusedWithPlaces(text.toString().getBytes(StandardCharsets.UTF_8));
    }
  }

  @Test
  void bytesOfAnyKindNeverCrash() {
    SplittableRandom random = new SplittableRandom(9);
    for (int i = 0; i < 2_000; i++) {
      byte[] bytes = new byte[random.nextInt(200)];
      random.nextBytes(bytes);
      isRightOrRefusedWithPlaces(bytes);
    }
  }

  /** Every value by turns replaced by every kind of thing. */
  @ParameterizedTest
  @ValueSource(
      strings = {
        "~",
        "[]",
        "{}",
        "true",
        "7",
        "-1.5",
        "text",
        "\"\"",
        "{ a: b }",
        "[[1]]",
        "!x y",
        "&a b",
        "*a",
        "2 mV"
      })
  void anyValueMayBeAnything(String thing) {
    ConfigText lab = ConfigText.lab();
    for (ConfigText text : List.of(lab.withCellar(), lab.withSensorsInTheBin().withWaste())) {
      List<String> lines = Arrays.asList(text.text().split("\n"));
      for (int at = 0; at < lines.size(); at++) {
        String line = lines.get(at);
        int colon = line.indexOf(": ");
        if (colon > 0 && !line.strip().startsWith("#")) {
          List<String> changed = new ArrayList<>(lines);
          changed.set(at, line.substring(0, colon + 2) + thing);
          isRightOrRefusedWithPlaces(String.join("\n", changed).getBytes(StandardCharsets.UTF_8));
        }
      }
    }
  }

  private static void isRightOrRefusedWithPlaces(byte[] bytes) {
    try {
      Configuration read = ConfigReader.read(ConfigText.FILE, bytes);
      assertThat(read.site().tanks()).isNotEmpty();
    } catch (ConfigException refused) {
      long lines =
          1
              + new String(bytes, StandardCharsets.UTF_8)
                  .codePoints()
                  .filter(c -> c == '\n' || c == '\r' || c == 0x85 || c == 0x2028 || c == 0x2029)
                  .count();
      assertThat(refused.complaints())
          .isNotEmpty()
          .isSortedAccordingTo(
              Comparator.comparingInt(Complaint::line).thenComparingInt(Complaint::column))
          .allSatisfy(
              complaint -> {
                assertThat(complaint.line()).isBetween(1, (int) lines + 1);
                assertThat(complaint.column()).isPositive();
                assertThat(complaint.wrong()).isNotBlank();
                assertThat(complaint.right()).isNotBlank();
              });
      assertThat(refused.getMessage().lines())
          .hasSize(refused.complaints().size())
          .allMatch(line -> line.matches("lab\\.yaml:[0-9]+:[0-9]+: .+; .+"));
    }
  }
}

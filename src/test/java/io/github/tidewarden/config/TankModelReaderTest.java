package io.github.tidewarden.config;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.entry;
import static org.assertj.core.api.Assertions.within;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.EnumSource;

/** A tank model is read as written, and what is wrong in it is complained about at its place. */
class TankModelReaderTest {
  private static final Path FILE = Path.of("models/tanks.yaml");

  private static Configuration lab() {
    try {
      return ConfigText.lab().read();
    } catch (ConfigException e) {
      throw new AssertionError(e);
    }
  }

  private static TankModelFile read(String text) throws ConfigException {
    return read(text, lab());
  }

  private static TankModelFile read(String text, Configuration site) throws ConfigException {
    return TankModelReader.read(FILE, text.replace("«", "").getBytes(StandardCharsets.UTF_8), site);
  }

  private static List<String> complaints(String text, Configuration site) {
    try {
      read(text, site);
      return List.of();
    } catch (ConfigException e) {
      return e.getMessage().lines().toList();
    }
  }

  private static double value(TankModelFile file, String tank, TankFigure figure) {
    return file.of(tank).value(figure, Double.NaN);
  }

  @Test
  void ofATankStandsOverOfAllTanks() throws ConfigException {
    TankModelFile file =
        read(
            """
            all-tanks:
              redox: { gain: 0.08 V, time-constant: 30 min, highest-at: "06:30" }
              water: { evaporation-per-day: 2 % }
              sensors: { redox: { offset: 1 mV, lag: 5 s }, level: { noise: 1 mm } }
            tanks:
              lagoon:
                redox: { gain: 90 mV }
                sensors: { redox: { noise: 2 mV }, redox-b: { offset: -4 mV } }
                devices: { generator: deaf }
              nursery:
                water: { evaporation-per-day: 500 mL }
            """);
    assertThat(file.name()).isEqualTo("tanks.yaml");
    assertThat(value(file, "lagoon", TankFigure.GAIN)).isEqualTo(90);
    assertThat(value(file, "lagoon", TankFigure.TIME_CONSTANT)).isEqualTo(1800);
    assertThat(value(file, "lagoon", TankFigure.HIGHEST_AT)).isEqualTo(390);
    assertThat(value(file, "lagoon", TankFigure.EVAPORATION)).isCloseTo(6.8, within(1e-12));
    assertThat(value(file, "nursery", TankFigure.EVAPORATION)).isEqualTo(0.5);
    assertThat(value(file, "nursery", TankFigure.GAIN)).as("a tank without ozone").isNaN();
    assertThat(file.of("lagoon").told())
        .contains(
            entry("redox.gain", "90 mV"),
            entry("redox.highest-at", "06:30"),
            entry("water.evaporation-per-day", "2 %"),
            entry("sensors.redox-a.offset", "1 mV"),
            entry("sensors.redox-a.noise", "2 mV"),
            entry("sensors.redox-b.offset", "-4 mV"),
            entry("sensors.redox-b.lag", "5 s"),
            entry("sensors.sump.noise", "1 mm"),
            entry("devices.generator", "deaf"));
    assertThat(file.of("nursery").told())
        .containsExactly(
            entry("water.evaporation-per-day", "500 mL"), entry("sensors.sump.noise", "1 mm"));
  }

  /** The sign « stands where the complaint points to. */
  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      quoteCharacter = '^',
      value = {
        "all-tanks: { «redx: { gain: 90 mV } } | unknown key `redx` in `all-tanks` | write `redox`",
        "all-tanks: { redox: { «gian: 90 mV } } | unknown key `gian` in `redox` | write `gain`",
        "all-tanks: { redox: { gain: «90 } } | \"90\" has no unit | a potential in mV or V",
        "all-tanks: { redox: { gain: «90 mm } } | is a length, not a potential | mV or V",
        "all-tanks: { redox: { time-constant: «0 s } } | under what is allowed | at least 1 s",
        "all-tanks: { redox: { highest-at: «7 h } } | not a time of day | such as",
        "all-tanks: { nutrient: { per-day: «1 mg } } | is a mass, not a mass in a volume | mg/L",
        "all-tanks: { sensors: { «redux: { lag: 1 s } } } | is no sensor | write `redox`",
        "all-tanks: { sensors: { «leak: { lag: 1 s } } } | is a contact | take it out",
        "all-tanks: { sensors: { level: { noise: «1 mV } } } | is a potential | mm or cm or m",
        "all-tanks: { sensors: { level: { «nois: 1 mm } } } | unknown key `nois` | write `noise`",
        "all-tanks: { «devices: { drain: deaf } } | unknown key `devices` | known here",
        "tanks: { «lagon: { } } | the configuration has no tank `lagon` | write `lagoon`",
        "tanks: { «lagon: { any: 1 } } | the configuration has no tank `lagon` | write `lagoon`",
        "tanks: { lagoon: { sensors: { «redox-c: { lag: 1 s } } } } | no sensor of lagoon | redox-",
        "tanks: { lagoon: { devices: { «drian: deaf } } } | no device `drian` | write `drain`",
        "tanks: { lagoon: { devices: { drain: «def } } } | `drain` is \"def\" | write `deaf`",
        "tanks: { nursery: { «redox: { gain: 9 mV } } } | shows nowhere: the tank has no `ozone` |"
            + " take it out",
        "«{ } | nothing is said of any tank | begins with `all-tanks:`",
        "«# empty | the file is empty | begins with `all-tanks:`",
        "tanks: «[ lagoon ] | is a list, not a mapping | write keys",
      })
  void saysWhereWhatIsWrongAndWhatWouldBeRight(String text, String wrong, String right) {
    assertThat(complaints(text, lab())).hasSize(1);
    assertThat(complaints(text, lab()).get(0))
        .startsWith(FILE + ":1:" + (text.indexOf('«') + 1) + ": ")
        .contains(wrong, right);
  }

  @Test
  void tellsOfEverythingAtOnce() {
    assertThat(complaints("all-tanks: { redx: { } }\ntanks: { lagon: { }, nurse: { } }", lab()))
        .hasSize(3);
  }

  /** Every figure's own bounds, and each is found under its key. */
  @ParameterizedTest
  @EnumSource(TankFigure.class)
  void everyFigureIsReadWithinItsBounds(TankFigure figure) throws ConfigException {
    if (figure == TankFigure.HIGHEST_AT) {
      return; // a time of day, see above
    }
    String unit = figure.limits().unit().code();
    String text = "tanks: { lagoon: { %s: { %s: %s %s } } }";
    String high = java.math.BigDecimal.valueOf(figure.limits().high()).toPlainString();
    TankModelFile file = read(text.formatted(figure.part().word(), figure.key(), high, unit));
    assertThat(value(file, "lagoon", figure)).isEqualTo(figure.limits().high());
    String over =
        java.math.BigDecimal.valueOf(figure.limits().high())
            .add(java.math.BigDecimal.ONE)
            .toPlainString();
    assertThat(complaints(text.formatted(figure.part().word(), figure.key(), over, unit), lab()))
        .singleElement()
        .asString()
        .contains("over the most that is allowed");
  }

  @Test
  void whatTanksShareIsSaidInOneWay() throws ConfigException {
    Configuration site =
        ConfigText.lab().with("    water: 60 L\n", "    water: 60 L\n    room: gallery\n").read();
    assertThat(
            complaints(
                """
                tanks:
                  lagoon: { room: { volume: 40000 L, escapes: 5 % } }
                  nursery: { room: { volume: 30000 L } }
                """,
                site))
        .singleElement()
        .asString()
        .contains(":1:1: lagoon and nursery share one room, and its figures differ; say the same");
    assertThat(read("all-tanks: { room: { volume: 40000 L } }", site).of("nursery").told())
        .containsExactly(entry("room.volume", "40000 L"));
  }

  @Test
  void theShippedModelIsOfTheShippedConfigurationAndUsesEveryKey() throws Exception {
    Path shipped = Path.of("config/tank-model.yaml");
    TankModelFile file = TankModelReader.read(shipped, lab());
    assertThat(file.tanks()).containsOnlyKeys("lagoon", "nursery");
    assertThat(file.of("lagoon").figures()).containsOnlyKeys(TankFigure.values());
    assertThat(file.digest()).isEqualTo(ConfigReader.digest(Files.readAllBytes(shipped)));
    String text = Files.readString(shipped);
    for (SensorFigure figure : SensorFigure.values()) {
      assertThat(text).contains(figure.key() + ":");
    }
  }

  /** The page "Rehearsal" has every key with its bounds. */
  @Test
  void thePageNamesEveryKey() throws IOException {
    String page = Files.readString(Path.of("src/site/markdown/rehearsal.md"));
    for (TankFigure figure : TankFigure.values()) {
      assertThat(page).contains("| `" + figure.path() + "` |");
    }
    for (SensorFigure figure : SensorFigure.values()) {
      assertThat(page).contains("| `" + figure.key() + "` |");
    }
    for (Drill.DeviceState state : Drill.DeviceState.values()) {
      assertThat(page).contains("`" + state.word() + "`");
    }
  }

  /** Whatever is in the file, there is an answer or a complaint with a place in it. */
  @Test
  void aMangledFileIsComplainedAboutAndNeverThrows() throws IOException {
    String text = Files.readString(Path.of("config/tank-model.yaml"));
    SplittableRandom random = new SplittableRandom(4);
    Configuration site = lab();
    List<String> seen = new ArrayList<>();
    for (int i = 0; i < 2000; i++) {
      int from = random.nextInt(text.length());
      int to = Math.min(text.length(), from + random.nextInt(1, 30));
      String changed =
          text.substring(0, from) + (random.nextBoolean() ? "" : "{ - : 1 mV") + text.substring(to);
      for (String complaint : complaints(changed, site)) {
        assertThat(complaint).startsWith(FILE + ":").contains(": ", "; ");
        seen.add(complaint);
      }
    }
    assertThat(seen).hasSizeGreaterThan(500);
  }
}

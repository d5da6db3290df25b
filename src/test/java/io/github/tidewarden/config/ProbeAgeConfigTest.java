package io.github.tidewarden.config;

import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import io.github.tidewarden.dosing.ProbeAge;
import java.io.IOException;
import java.time.Duration;
import java.time.Instant;
import java.util.Objects;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** What a configuration says of how old a calibration may be, and whether there must be one. */
class ProbeAgeConfigTest {
  private static final Instant AFTERNOON = Instant.parse("2026-11-25T15:00:00Z");
  private static final String WITHOUT = "    without: {";
  private static final String CEILING = "      ceiling: 400 mV";

  /** The lagoon without a word of why its probes are not calibrated. */
  private static ConfigText asking() {
    return ConfigText.lab().with(WITHOUT, "    #");
  }

  private static ProbeAge age(ConfigText text) throws ConfigException {
    return Objects.requireNonNull(text.read().site().tanks().get(0).ozone()).probeAge();
  }

  @Test
  void aCalibrationIsNeededUnlessTheKeeperSaysWhyNot() throws ConfigException, IOException {
    assertThat(age(asking()))
        .isEqualTo(
            new ProbeAge(true, Duration.ofDays(60).toNanos(), Duration.ofDays(90).toNanos()));
    assertThat(age(ConfigText.lab())).isEqualTo(ProbeAge.NOT_REQUIRED);
    assertThat(CheckText.of(asking().read(), AFTERNOON))
        .contains(
            "    needs a calibration of every probe (`tidewarden calibrate probe`); one of 60 d is"
                + " told of, and with one of 90 d no ozone starts\n");
    assertThat(CheckText.of(ConfigText.lab().read(), AFTERNOON))
        .contains("    probe-calibration: both probes are checked by hand each month\n")
        .doesNotContain("needs a calibration");
    JsonNode told =
        new ObjectMapper()
            .readTree(CheckJson.of(asking().read(), AFTERNOON))
            .at("/tanks/0/ozone/calibration");
    assertThat(told.path("required").booleanValue()).isTrue();
    assertThat(told.path("warn-after-s").longValue()).isEqualTo(60 * 86_400);
    assertThat(told.path("forbid-after-s").longValue()).isEqualTo(90 * 86_400);
  }

  @Test
  void bothAgesCanBeSetAndLooserOnesAreTold() throws ConfigException {
    ConfigText text =
        asking()
            .with(
                CEILING,
                "      calibration: { warn-after: 80 d, forbid-after: 120 d }\n" + CEILING);
    assertThat(age(text))
        .isEqualTo(
            new ProbeAge(true, Duration.ofDays(80).toNanos(), Duration.ofDays(120).toNanos()));
    assertThat(text.read().notices())
        .contains(
            "tank lagoon: `warn-after` of `calibration` is 80 d, looser than the standard 60 d",
            "tank lagoon: `forbid-after` of `calibration` is 120 d, looser than the standard 90 d");
    assertThat(age(asking().with(CEILING, "      calibration: { warn-after: 14 d }\n" + CEILING)))
        .isEqualTo(
            new ProbeAge(true, Duration.ofDays(14).toNanos(), Duration.ofDays(90).toNanos()));
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "warn-after: 90 d | `warn-after` of 90 d is not before `forbid-after`",
        "forbid-after: 60 d | `warn-after` of 60 d is not before `forbid-after`",
        "forbid-after: 181 d | forbid-after",
        "warn-after: 0 d | warn-after",
        "warn-after: 60 | warn-after",
        "warn-aftr: 60 d | warn-aftr",
      })
  void whatCannotBeMeantIsRefused(String key, String wrong) {
    ConfigText text = asking().with(CEILING, "      calibration: { " + key + " }\n" + CEILING);
    assertThat(text.complaints())
        .singleElement()
        .satisfies(
            complaint -> {
              assertThat(complaint.wrong() + complaint.right()).contains(wrong);
              assertThat(complaint.line()).isEqualTo(line(text));
            });
  }

  private static int line(ConfigText text) {
    return 1
        + (int)
            text.text().substring(0, text.text().indexOf("      calibration: {")).lines().count();
  }
}

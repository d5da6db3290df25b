package io.github.tidewarden.config;

import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import io.github.tidewarden.control.Carbon;
import io.github.tidewarden.control.CarbonLife;
import java.io.IOException;
import java.time.Duration;
import java.time.Instant;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** What a configuration says of carbon, and what {@code check} makes of it. */
class CarbonConfigTest {
  private static final Instant AFTERNOON = Instant.parse("2026-11-25T15:00:00Z");
  private static final String CEILING = "      ceiling: 400 mV";
  private static final String WITHOUT = "    without: { ";

  private static ConfigText with(String carbon) {
    return ConfigText.lab().with(CEILING, "      carbon: " + carbon + "\n" + CEILING);
  }

  private static Map<Carbon, CarbonLife> carbon(ConfigText text) throws ConfigException {
    return text.read().site().tanks().get(0).care().carbon();
  }

  private static JsonNode told(ConfigText text) throws ConfigException, IOException {
    return new ObjectMapper().readTree(CheckJson.of(text.read(), AFTERNOON)).at("/tanks/0/ozone");
  }

  /** 400 and 500 h are our choice; no published hours were found. */
  @Test
  void eachIsOptionalAndHasItsDefaults() throws ConfigException {
    assertThat(carbon(ConfigText.lab())).isEmpty();
    assertThat(carbon(with("{ off-gas: {} }")))
        .isEqualTo(
            Map.of(
                Carbon.OFF_GAS,
                new CarbonLife(Duration.ofHours(400).toNanos(), Duration.ofHours(500).toNanos())));
    assertThat(
            carbon(with("{ off-gas: { forbid-after: 450 h }, effluent: { remind-after: 90 h } }")))
        .isEqualTo(
            Map.of(
                Carbon.OFF_GAS,
                new CarbonLife(Duration.ofHours(400).toNanos(), Duration.ofHours(450).toNanos()),
                Carbon.EFFLUENT,
                new CarbonLife(Duration.ofHours(90).toNanos(), Duration.ofHours(500).toNanos())));
  }

  @Test
  void checkTellsOfEachAndAdvisesOfWhatNothingIsSaid() throws ConfigException, IOException {
    ConfigText one = with("{ off-gas: {} }");
    assertThat(CheckText.of(one.read(), AFTERNOON))
        .contains(
            "    carbon on off-gas: from 400 h of ozone since it was changed (`tidewarden note"
                + " carbon off-gas`) it is told, from 500 h on, and while nobody has said when, no"
                + " ozone starts\n"
                + "    advice: nothing is said of carbon on effluent, so nobody counts its hours;"
                + " say `carbon: { effluent: {} }`, or why not under `without: { carbon-effluent:"
                + " ... }`\n");
    assertThat(told(one).at("/carbon/off-gas/forbid-after-s").longValue()).isEqualTo(1_800_000);
    assertThat(told(one).at("/carbon-unsaid")).hasSize(1);
    assertThat(CheckText.of(ConfigText.lab().read(), AFTERNOON))
        .contains(
            "    advice: nothing is said of carbon on off-gas and effluent, so nobody counts its"
                + " hours; say `carbon: { off-gas: {}, effluent: {} }`, or why not under `without:"
                + " { carbon-off-gas: ..., carbon-effluent: ... }`\n");
    assertThat(told(ConfigText.lab()).at("/carbon-unsaid").toString())
        .isEqualTo("[\"off-gas\",\"effluent\"]");
    assertThat(CheckText.of(ConfigText.quarantine().read(), AFTERNOON))
        .as("without ozone")
        .doesNotContain("advice");
  }

  @Test
  void aReasonUnderWithoutIsEnough() throws ConfigException, IOException {
    ConfigText said =
        with("{ off-gas: {} }").with(WITHOUT, WITHOUT + "carbon-effluent: none fits the outlet, ");
    assertThat(told(said).at("/carbon-unsaid")).isEmpty();
    assertThat(CheckText.of(said.read(), AFTERNOON))
        .contains("    carbon-effluent: none fits the outlet\n")
        .doesNotContain("advice");
    ConfigText both = with("{ off-gas: {} }").with(WITHOUT, WITHOUT + "carbon-off-gas: none, ");
    assertThat(both.complaints())
        .singleElement()
        .satisfies(
            complaint ->
                assertThat(complaint.wrong())
                    .isEqualTo("`without` names `carbon-off-gas`, but the tank has it"));
  }

  @Test
  void longerThanIsStandardIsTold() throws ConfigException {
    assertThat(with("{ effluent: { remind-after: 600 h, forbid-after: 700 h } }").read().notices())
        .contains(
            "tank lagoon: `remind-after` of the carbon on effluent is 600 h, looser than the"
                + " standard 400 h",
            "tank lagoon: `forbid-after` of the carbon on effluent is 700 h, looser than the"
                + " standard 500 h");
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "{ off-gas: { remind-after: 500 h } } | `remind-after` of 500 h is not before `forbid-after` | under 500 h",
        "{ off-gas: { forbid-after: 400 h } } | `remind-after` of 400 h is not before `forbid-after` | under 400 h",
        "{ off-gas: { forbid-after: 10 min } } | forbid-after | at least 1 h",
        "{ off-gas: { remind-after: 400 } } | remind-after | ",
        "{ off-gs: {} } | off-gs | off-gas",
        "{ off-gas: { remind: 3 h } } | remind | remind-after",
      })
  void whatCannotBeMeantIsRefused(String carbon, String wrong, String right) {
    ConfigText text = with(carbon);
    assertThat(text.complaints())
        .singleElement()
        .satisfies(
            complaint -> {
              assertThat(complaint.wrong()).contains(wrong);
              assertThat(complaint.right()).contains(right == null ? "" : right);
              assertThat(complaint.line()).isEqualTo(line(text));
            });
  }

  private static int line(ConfigText text) {
    return 1
        + (int) text.text().substring(0, text.text().indexOf("      carbon: {")).lines().count();
  }
}

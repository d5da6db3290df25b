package io.github.tidewarden.config;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.time.Instant;
import org.junit.jupiter.api.Test;

/**
 * What {@code check} says of each room should all that is made in it leak. The figures are those of
 * the worked room: 30 m3, 0.35 air changes an hour (ASHRAE for homes, quoted by the US EPA), no
 * decay, 50 mg/h: it settles at 2.42722 ppm, and bears 1.03 and 2.06 mg/h under 0.05 and 0.1 ppm.
 */
class RoomFillTest {
  private static final Instant AFTERNOON = Instant.parse("2026-11-24T15:00:00Z");
  private static final double SETTLES_PPM = 2.42722;
  private static final String SENSOR = "measures: ozone-in-air, unit: ppb }";
  private static final String WORKED =
      SENSOR + "\n    air: { volume: 30000 L, changes-per-hour: 35 % }";

  /** A second tank whose generator is in the same room. */
  private static ConfigText withTwo(int milligramsPerHour) {
    return ConfigText.lab()
        .with(SENSOR, WORKED)
        .with(
            "  nursery:\n",
            """
              reef:
                water: 340 L
                room: gallery
                sensors:
                  redox-c: { topic: lab/reef/redox, measures: redox }
                ozone:
                  generator: { kind: relay, topic: lab/reef/ozone/set, rated-output: %d mg/h }
                  windows: [ { from: "01:30", to: "03:00" } ]
                  most-per-night: 30 min
                  reference: Ag/AgCl 3 M KCl
                  band: { start-below: 340 mV, stop-above: 365 mV }
                  ceiling: 400 mV
                without: { skimmer-air: none, circulation: none, probe-calibration: none }
              nursery:
            """
                .formatted(milligramsPerHour));
  }

  private static JsonNode rooms(ConfigText text) throws ConfigException, IOException {
    return new ObjectMapper().readTree(CheckJson.of(text.read(), AFTERNOON)).at("/rooms");
  }

  /** {@code -ln(1 - C / Css) / a} of the worked room, min, cut to a tenth. */
  private static double minutes(double ppm, double milligramsPerHour) {
    double settles = SETTLES_PPM * milligramsPerHour / 50;
    return Math.floor(10 * 60 * -Math.log(1 - ppm / settles) / 0.35) / 10;
  }

  @Test
  void checkTellsBothTimesAndTheLargestGenerators() throws ConfigException, IOException {
    ConfigText worked = ConfigText.lab().with(SENSOR, WORKED);
    assertThat(CheckText.of(worked.read(), AFTERNOON))
        .contains(
            """

            the air of gallery
              should all of the 50 mg/h that is made in gallery leak into its 30000 L of air, 35 % of it new in an hour, well mixed, with no credit for decay:
                50 ppb (21 CFR 801.415) after 3.5 min; never with at most 1 mg/h made in it in all
                100 ppb (OSHA PEL, NIOSH ceiling) after 7.2 min; never with at most 2 mg/h made in it in all
              near the leak it is sooner, and more. Local codes and a licensed tradesman come first
            """);
    JsonNode gallery = rooms(worked).get(0);
    assertThat(gallery.path("room").asText()).isEqualTo("gallery");
    assertThat(gallery.path("room-mg-per-h").doubleValue()).isEqualTo(50);
    assertThat(gallery.at("/leak/0/after-min").doubleValue()).isEqualTo(minutes(0.05, 50));
    assertThat(gallery.at("/leak/1/after-min").doubleValue()).isEqualTo(minutes(0.1, 50));
    assertThat(gallery.at("/leak/0/harmless-mg-per-h").doubleValue()).isCloseTo(1.03, within(0.05));
    assertThat(gallery.at("/leak/1/harmless-mg-per-h").doubleValue()).isCloseTo(2.06, within(0.1));
  }

  /** Each alone would take longer; what leaks knows of no tanks. */
  @Test
  void allGeneratorsOfARoomLeakTogether() throws ConfigException, IOException {
    JsonNode rooms = rooms(withTwo(70));
    assertThat(rooms).hasSize(1);
    assertThat(rooms.at("/0/room-mg-per-h").doubleValue()).isEqualTo(120);
    assertThat(rooms.at("/0/leak/0/after-min").doubleValue()).isEqualTo(minutes(0.05, 120));
    assertThat(rooms.at("/0/leak/1/after-min").doubleValue()).isEqualTo(minutes(0.1, 120));
    assertThat(rooms.at("/0/leak/0/harmless-mg-per-h").doubleValue())
        .as("does not depend on what there is")
        .isEqualTo(1.0);
    assertThat(PlanText.of(withTwo(70).read())).contains("should all of the 120 mg/h that is made");
  }

  @Test
  void aRoomOfWhichNothingIsSaidIsAskedFor() throws ConfigException, IOException {
    assertThat(CheckText.of(ConfigText.lab().read(), AFTERNOON))
        .contains("the air of gallery\n  should it leak: how soon gallery fills is not known; say");
    JsonNode rooms = rooms(ConfigText.lab());
    assertThat(rooms.at("/0/room-mg-per-h").doubleValue()).isEqualTo(50);
    assertThat(rooms.at("/0/leak").isMissingNode()).isTrue();
    assertThat(rooms(ConfigText.quarantine())).as("no generator").isEmpty();
  }
}

package io.github.tidewarden.config;

import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.nio.file.Path;
import org.junit.jupiter.api.Test;

/**
 * What {@code plan} says in plain words, and the same for a machine. Figures are worked by hand
 * from the formulas of dilution in batches and at once, with 35.986 g of sea salt in a litre at 35
 * PSU and 25 degC (EOS-80, TEOS-10).
 */
class PlanTextTest {
  private static final String LAGOON_EVERY_DAY = "from: \"13:00\", to: \"22:00\" }";

  @Test
  void tellsWhatTheSiteComesTo() throws ConfigException {
    // 340 L x 3 % = 10.2 L in 21 portions: 1 - (1 - 10.2/340/21)^147; (120 - 5)/10.2, `low`; 10.2 x
    // 365 x
    // 0.035986. 60 L x 3 % = 1.8 L in 9 portions: 1 - (1 - 1.8/60/9)^63; 25 x 95 %/1.8, no sensor;
    // 1.8 x 365 x
    // 0.035986.
    assertThat(PlanText.of(ConfigText.lab().read()))
        .isEqualTo(
            """
            harbour-lab, when every night gives what is configured

            lagoon, 340 L
              Exchange: 10.2 L a day, 71.4 L a week
                new after a week: 18.95 % of the water, compounded: 21 equal portions a day
                new water: a full bin of 120 L lasts 11.27 d until it is low
                salt: 133.98 kg a year: 35.99 g of dry salt in a litre of 35 PSU at 25 Cel, times `salt-factor` of 100 %
              Ozone: at most 50 mg a night, 0.15 mg/L of water
                should it leak: how soon gallery fills is not known; say how much air it has, `rooms: { gallery: { air: { volume: 30000 L, changes-per-hour: 35 % } } }`

            nursery, 60 L
              Exchange: 1.8 L a day, 12.6 L a week
                new after a week: 18.97 % of the water, compounded: 9 equal portions a day
                new water: a full bin of 25 L lasts 13.19 d until it is low
                salt: 23.64 kg a year: 35.99 g of dry salt in a litre of 35 PSU at 25 Cel, times `salt-factor` of 100 %
              No ozone.""");
  }

  /**
   * The well-mixed box without decay: -ln(1 - a V L / G) / a, worked by hand with 1 ppb of ozone =
   * 1.9619 ug/m3 at 25 degC: 50 ppb in 45 m3 are 4.414 mg; -ln(1 - 0.35 x 4.414 / 50) / 0.35 = 5.38
   * min; in a closed room 4.414 / 50 h = 5.29 min. Limits: 50 ppb, US FDA for devices; 100 ppb,
   * NIOSH ceiling.
   */
  @Test
  void tellsHowSoonALeakWouldFillTheRoom() throws ConfigException {
    assertThat(inRoom("volume: 45000 L, changes-per-hour: 35 %"))
        .contains(
            "should all of the 50 mg/h that is made in gallery leak into its 45000 L of air, 35 % of it")
        .contains("50 ppb (21 CFR 801.415) after 5.3 min; never with at most 1.5 mg/h made")
        .contains(
            "100 ppb (OSHA PEL, NIOSH ceiling) after 10.9 min; never with at most 3 mg/h made");
    assertThat(inRoom("volume: 45000 L"))
        .contains("45000 L of air, 0 % of it new in an hour")
        .contains("      50 ppb (21 CFR 801.415) after 5.2 min\n");
    assertThat(inRoom("volume: 45000 L, changes-per-hour: 600 %"))
        .contains("50 ppb (21 CFR 801.415) after 7.5 min; never with at most 26.4 mg/h made in it")
        .contains(
            "100 ppb (OSHA PEL, NIOSH ceiling) never; never with at most 52.9 mg/h made in it in all");
  }

  private static String inRoom(String air) throws ConfigException {
    return lagoon(
        "measures: ozone-in-air, unit: ppb }",
        "measures: ozone-in-air, unit: ppb }\n    air: { " + air + " }");
  }

  @Test
  void aMixWithWaterInItTakesMore() throws ConfigException {
    // 133.98 kg x 1.15.
    assertThat(lagoon("holds: 120 L, ", "holds: 120 L, salt-factor: 115 %, "))
        .contains("salt: 154.07 kg a year: ")
        .contains("times `salt-factor` of 115 %");
  }

  @Test
  void daysWithoutAWindowExchangeNothing() throws ConfigException {
    // Three days of 10.2 L in 63 portions: 1 - (1 - 10.2/340/21)^63; (120 - 5)/(30.6/7); 3/7 of the
    // salt.
    assertThat(lagoon(LAGOON_EVERY_DAY, "from: \"13:00\", to: \"22:00\", days: [mon, wed, fri] }"))
        .contains("Exchange: 10.2 L a day on 3 days of a week, 30.6 L a week")
        .contains("new after a week: 8.61 %")
        .contains("lasts 26.31 d until it is low")
        .contains("salt: 57.42 kg a year");
  }

  @Test
  void aDayWithTwoWindowsIsOneDay() throws ConfigException {
    assertThat(
            lagoon(
                LAGOON_EVERY_DAY,
                "from: \"13:00\", to: \"16:00\", days: [mon, tue] }, "
                    + "{ from: \"17:00\", to: \"20:00\", days: [tue, wed] }"))
        .contains("10.2 L a day on 3 days of a week, 30.6 L a week");
  }

  /** Continuous: 1 - exp(-0.21) = 0.189416, worked out. */
  @Test
  void pairedHeadsExchangeContinuously() throws ConfigException {
    assertThat(lagoon("per-day: 3 %", "kind: paired\n      per-day: 3 %"))
        .contains("new after a week: 18.94 % of the water, compounded: out and in at once");
  }

  @Test
  void aTankWithoutExchangeIsToldSo() throws ConfigException {
    assertThat(PlanText.of(ConfigReader.read(Path.of("config/smallest.yaml"))))
        .contains("lagoon, 340 L\n  No exchange.\n  Ozone: at most ");
  }

  @Test
  void jsonHoldsTheSameFacts() throws ConfigException, IOException {
    Configuration lab = ConfigText.lab().read();
    JsonNode json = new ObjectMapper().readTree(PlanJson.of(lab));

    assertThat(json.at("/site").asText()).isEqualTo("harbour-lab");
    assertThat(json.at("/config-digest").asText()).isEqualTo(lab.digest());
    assertThat(json.at("/tanks/0"))
        .isEqualTo(
            new ObjectMapper()
                .readTree(
                    """
                    {"tank": "lagoon", "water-l": 340.000,
                     "exchange": {"kind": "portions", "per-day-l": 10.200, "days-per-week": 7,
                       "portions-per-day": 21, "per-week-l": 71.400,
                       "new-after-week-percent": 18.95, "bin-l": 120.000, "bin-d": 11.27,
                       "salinity-psu": 35.00, "celsius": 25.00, "dry-salt-g-per-l": 35.99,
                       "salt-factor-percent": 100.00, "salt-kg-per-year": 133.98},
                     "ozone": {"most-mg": 50.0, "most-mg-per-l": 0.15}}
                    """));
    assertThat(json.at("/tanks/1/ozone").isMissingNode()).isTrue();
    ConfigText breathed =
        ConfigText.lab()
            .with(
                "measures: ozone-in-air, unit: ppb }",
                "measures: ozone-in-air, unit: ppb }\n    air: { volume: 45000 L, changes-per-hour:"
                    + " 600 % }");
    assertThat(new ObjectMapper().readTree(PlanJson.of(breathed.read())).at("/tanks/0/ozone"))
        .isEqualTo(
            new ObjectMapper()
                .readTree(
                    """
                    {"most-mg": 50.0, "most-mg-per-l": 0.15, "room-l": 45000.000,
                     "room-changes-percent": 600.00, "room-mg-per-h": 50.0,
                     "leak": [{"ppb": 50.0, "after-min": 7.5, "harmless-mg-per-h": 26.4},
                       {"ppb": 100.0, "harmless-mg-per-h": 52.9}]}
                    """));
  }

  /** The lab's plan with its lagoon changed. */
  private static String lagoon(String old, String changed) throws ConfigException {
    return PlanText.of(ConfigText.lab().with(old, changed).read());
  }
}

package io.github.tidewarden.config;

import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.nio.file.Path;
import java.time.Instant;
import java.util.Arrays;
import org.junit.jupiter.api.Test;

/** What {@code check} says in plain words, and the same for a machine. */
class CheckTextTest {
  private static final Instant AFTERNOON = Instant.parse("2026-11-24T15:00:00Z");

  @Test
  void tellsWhatTheLagoonGetsInANight() throws ConfigException {
    assertThat(lines(ConfigText.lab(), AFTERNOON))
        .contains(
            "lagoon, 340 L, in the air of gallery",
            "  Ozone, 50 mg/h: at most 1 h, 50 mg in a night",
            "    window 01:30 to 03:00, every night",
            "    night of 2026-11-24: 2026-11-25 01:30 +00:00 to 2026-11-25 03:00 +00:00, 90 min; at most 1 h, 50 mg",
            "    night of 2026-11-25: 2026-11-26 01:30 +00:00 to 2026-11-26 03:00 +00:00, 90 min; at most 1 h, 50 mg",
            "    redox (ORP) against Ag/AgCl 3 M KCl: starts with every probe under 340 mV, ends with any at 365 mV, ceiling 400 mV",
            "    probes: redox-a, redox-b; from start to start at least 15 min; pick-up (all 20 mV up or down within 3 s of ozone on): no ozone; latched when half of it is undone within 5 s of ozone off");
  }

  @Test
  void tellsWhatGuardsIt() throws ConfigException {
    assertThat(lines(ConfigText.lab(), AFTERNOON))
        .contains(
            "hard limits: ceiling 430 mV against Ag/AgCl 3 M KCl, ozone 2 h in any 24 h, drop-out 60 s, exchange 10 % in any 24 h, imbalance 0.5 %",
            "    rests when one of these is silent: room-ozone 1 min, redox-a 1 min, redox-b 1 min, skimmer-air 30 s, circulation 30 s, sump 30 s, floor 10 min",
            "    redox-ceiling: redox-a or redox-b at or over 400 mV: no ozone; trips at once; over with redox-a and redox-b under 340 mV; rests 10 min more; latched with redox-a or redox-b at or over 420 mV after 30 s, or at trip 3 of a night",
            "    redox-low: redox-a or redox-b at or under 200 mV: no ozone; told at once while it is wanted",
            "    probes-apart: redox-a and redox-b 60 mV or more apart: no ozone; trips at once while it is wanted; rests 10 min more; latched after 10 min",
            "    air-lost: skimmer-air at or under 3 L/min: no ozone; trips after 5 s while it runs; rests 10 min more; latched after 30 s",
            "    room-ozone-notice: room-ozone at or over 50 ppb; told after 5 min",
            "    leak: floor wet: no ozone, exchange, top-off; trips at once; latched at once",
            "    salinity-off: salinity not between 33.5 PSU and 36.5 PSU: no exchange; trips at once while it runs; rests 10 min more");
  }

  /**
   * 340 L x 3 % in 21 portions, each 10.2 L / 21 at 250 mL/min out and in, and twice 2 min; new
   * after a week as PlanTextTest works it out. Of 3.4 L that evaporate in a day 21 x 7.89 min of
   * 1440 are 0.391 L, and of 10.2 L at 35 PSU that is 1.34 PSU, by hand.
   */
  @Test
  void tellsWhatTheLagoonExchanges() throws ConfigException {
    assertThat(lines(ConfigText.lab(), AFTERNOON))
        .containsSequence(
            "  Exchange: 10.2 L a day, 3 % of the water, in 21 portions of 0.486 L, out and then in",
            "    window 13:00 to 22:00, every night",
            "    new after a week: 18.95 % of the water",
            "    pumps: drain 250 mL/min, fill 250 mL/min; a portion takes 7.9 min",
            "    measured by the level of sump, 120 mL in a millimetre; it must report at least every 10 s",
            "    3.4 L are taken to evaporate in a day, 0.391 L of it while portions are under way; if nothing did, the salinity would settle 1.34 PSU lower: measure what top-off uses in a week, and say `evaporation`",
            "    new water: 35 PSU, 120 L in a full bin, what is left of it told by new-water",
            "    waits until a keeper has confirmed each batch of new water (`tidewarden batch --tank lagoon ...`) and it has mixed for 4 h",
            "    never together with ozone: the one waits for the other",
            "    top-off is held during a portion and 10 min after it, at most 2 h",
            "    stopped by circulation-lost, leak, level-high, level-low, new-water-low, salinity-off",
            "    rests when one of these is silent: circulation 30 s, sump 30 s, salinity 5 min, new-water 5 min, floor 10 min");
  }

  @Test
  void tellsWhatTheNurseryExchanges() throws ConfigException {
    assertThat(lines(ConfigText.lab(), AFTERNOON))
        .containsSequence(
            "  Exchange: 1.8 L a day, 3 % of the water, in 9 portions of 0.2 L, out and then in",
            "    window 22:00 to 06:00, every night")
        .containsSequence(
            "    new water: 35 PSU, 25 L in a full bin, what is left of it counted",
            "    waits until a keeper has confirmed each batch of new water (`tidewarden batch --tank nursery ...`) and it has mixed for 4 h",
            "    nothing holds top-off during a portion",
            "    stopped by leak, level-high, level-low");
  }

  @Test
  void tellsOfSharedEquipmentAndWhatTheBinMeasures() throws ConfigException {
    assertThat(lines(ConfigText.lab().withCellar(), AFTERNOON))
        .containsSequence(
            "    new water: 34 PSU, 200 L in the full bin of cellar, what is left of it told by cellar-volume",
            "    waits until a keeper has confirmed each batch of new water (`tidewarden batch --tank lagoon ...`) and it has mixed for 4 h",
            "    shares cellar: one tank at a time has a portion")
        .contains(
            "    waste-full: cellar-waste full: no exchange; trips at once; rests 10 min more");
    assertThat(lines(ConfigText.lab().withSensorsInTheBin(), AFTERNOON))
        .contains(
            "    waits for no keeper to confirm new water: bin-salinity measures it",
            "    new-water-salinity: bin-salinity not between 34 PSU and 36 PSU: no exchange; trips at once while it runs; rests 10 min more",
            "    new-water-temperature: bin-warmth and warmth 2 Cel or more apart: no exchange; trips at once while it runs; rests 10 min more");
  }

  @Test
  void tellsOfPairedHeadsOfDaysAndOfOzoneMeanwhile() throws ConfigException {
    ConfigText text =
        ConfigText.lab()
            .with("per-day: 3 %", "kind: paired\n      while-ozone: allowed\n      per-day: 3 %")
            .with("to: \"22:00\" }", "to: \"22:00\", days: [mon, thu] }");

    assertThat(lines(text, AFTERNOON))
        .containsSequence(
            "  Exchange: 10.2 L a day on 2 days of a week, 3 % of the water, in 21 portions of 0.486 L, out and in at once",
            "    window 13:00 to 22:00, nights of mon, thu")
        .contains("    may go together with ozone");
    assertThat(
            lines(
                text.with("      new-water:   {", "#")
                    .with(
                        "    without: {",
                        "    without: { new-water-sensor: counted from the ledger,"),
                AFTERNOON))
        .contains(
            "    nothing measures how much both heads move, so the share is as far off as they are:"
                + " calibrate both (`tidewarden calibrate --tank lagoon ...`)");
    assertThat(
            lines(
                text.with("      sump:        {", "#")
                    .with("    without: {", "    without: { level-sensor: two heads on one shaft,"),
                AFTERNOON))
        .contains(
            "    nothing measures what goes out and comes in: it is counted by the pumps' rates");
  }

  @Test
  void tellsWhatIsMissingAndWhichDeviceGivesNoConfirmation() throws ConfigException {
    assertThat(lines(ConfigText.lab(), AFTERNOON))
        .contains(
            "nursery, 60 L",
            "  No ozone.",
            "    circulation: air-driven, no return pump",
            "    generator: rests by itself 30 s after the last word; confirms within 5 s",
            "    drain: rests by itself 12 s after the last word; gives no confirmation");
  }

  /**
   * Europe/Lisbon: clocks forward on 2026-03-29 and back on 2026-10-25, both at 01:00 UTC (IANA).
   */
  @Test
  void tellsWhereTheClocksChange() throws ConfigException {
    assertThat(lines(ConfigText.lab(), Instant.parse("2026-03-28T15:00:00Z")))
        .contains(
            "    night of 2026-03-28: 2026-03-29 02:00 +01:00 to 2026-03-29 03:00 +01:00, 60 min (the clocks change); at most 1 h, 50 mg",
            "    night of 2026-03-29: 2026-03-30 01:30 +01:00 to 2026-03-30 03:00 +01:00, 90 min; at most 1 h, 50 mg");
    assertThat(lines(ConfigText.lab(), Instant.parse("2026-10-24T15:00:00Z")))
        .contains(
            "    night of 2026-10-24: 2026-10-25 01:30 +01:00 to 2026-10-25 02:00 +00:00, 90 min (the clocks change); at most 1 h, 50 mg");
  }

  @Test
  void aShortWindowBoundsTheNightBeforeTheAllowanceDoes() throws ConfigException {
    ConfigText text = ConfigText.lab().with("to: \"03:00\" }", "to: \"02:00\", days: [wed] }");

    assertThat(lines(text, AFTERNOON))
        .contains(
            "    window 01:30 to 02:00, nights of wed",
            "    night of 2026-11-24: no window",
            "    night of 2026-11-25: 2026-11-26 01:30 +00:00 to 2026-11-26 02:00 +00:00, 30 min; at most 30 min, 25 mg");
  }

  @Test
  void describesEveryConditionOfTheKeepers() throws ConfigException {
    String end = "    # Tighter than the standard";
    ConfigText text =
        ConfigText.lab()
            .with(
                end,
                "    interlocks:\n"
                    + "      dry: { signal: sump, below: 150 mm, clear-above: 170 mm, stops: [ozone] }\n"
                    + "      tell: { signal: circulation, is: running, rest: 0 s, stops: [] }\n"
                    + end);

    assertThat(lines(text, AFTERNOON))
        .contains(
            "    dry: sump at or under 150 mm: no ozone; trips at once; over with sump over 170 mm; rests 10 min more",
            "    tell: circulation running; told at once");
  }

  /** What may be loosened is told in text and JSON; what is tightened needs no word. */
  @Test
  void tellsEachDefaultThatIsLooser() throws ConfigException, IOException {
    String end = "    # Tighter than the standard";
    ConfigText text =
        ConfigText.lab()
            .with("measures: redox }", "measures: redox, stale-after: 120 s }")
            .with("measures: redox, p", "measures: redox, plausible: [20 mV, 900 mV], p")
            .with("unit: L/min, low", "unit: L/min, stale-after: 20 s, low")
            .with("unit: ppb }", "unit: ppb, stale-after: 90 s, high: 50 ppb }")
            .with(
                "ceiling: 400 mV",
                "ceiling: 400 mV\n      shortest-on: 4 min\n      shortest-off: 9 min\n     ")
            .with(
                end,
                "    interlocks:\n"
                    + "      air-lost: { for: 2 s }\n"
                    + "      room-ozone-notice: { above: 90 ppb, for: 10 min }\n"
                    + end);
    String[] told = {
      "room gallery: `stale-after` of room-ozone is 90 s, looser than the standard 1 min",
      "tank lagoon: `stale-after` of redox-a is 2 min, looser than the standard 1 min",
      "tank lagoon: `plausible` of redox-b is 20 mV to 900 mV, looser than the standard 50 mV to 700 mV",
      "tank lagoon: `shortest-on` is 4 min, looser than the standard 5 min",
      "tank lagoon: `shortest-off` is 9 min, looser than the standard 10 min",
      "tank lagoon: `above` of room-ozone-notice is 90 ppb, looser than the standard 50 ppb",
      "tank lagoon: `for` of room-ozone-notice is 10 min, looser than the standard 5 min"
    };

    assertThat(text.read().notices())
        .filteredOn(notice -> notice.contains("looser"))
        .containsExactlyInAnyOrder(told);
    assertThat(lines(text, AFTERNOON)).contains("  " + told[0], "  " + told[1], "  " + told[6]);
    JsonNode notices =
        new ObjectMapper().readTree(CheckJson.of(text.read(), AFTERNOON)).at("/notices");
    assertThat(notices).extracting(JsonNode::asText).contains(told);
    assertThat(ConfigText.lab().read().notices()).noneMatch(notice -> notice.contains("looser"));
  }

  @Test
  void theSmallestFitsOnOneScreen() throws ConfigException {
    String text = CheckText.of(ConfigReader.read(Path.of("config/smallest.yaml")), AFTERNOON);

    assertThat(text.lines().count()).isLessThanOrEqualTo(26);
    assertThat(text)
        .contains("lagoon, 340 L\n")
        .contains("room-ozone: a hard-wired room monitor cuts the supply")
        .contains("tank lagoon: one redox probe only");
  }

  @Test
  void jsonHoldsTheSameFacts() throws ConfigException, IOException {
    Configuration lab = ConfigText.lab().read();
    JsonNode json = new ObjectMapper().readTree(CheckJson.of(lab, AFTERNOON));

    assertThat(json.at("/site").asText()).isEqualTo("harbour-lab");
    assertThat(json.at("/config-digest").asText()).isEqualTo(lab.digest());
    JsonNode lagoon = json.at("/tanks/0");
    assertThat(lagoon.at("/tank").asText()).isEqualTo("lagoon");
    assertThat(lagoon.at("/water-l").decimalValue()).isEqualByComparingTo("340");
    assertThat(lagoon.at("/ozone/most-min").decimalValue()).isEqualByComparingTo("60");
    assertThat(lagoon.at("/ozone/most-mg").decimalValue()).isEqualByComparingTo("50");
    assertThat(lagoon.at("/ozone/ceiling-mv").decimalValue()).isEqualByComparingTo("400");
    assertThat(lagoon.at("/ozone/pick-up/jump-mv").decimalValue()).isEqualByComparingTo("20");
    assertThat(lagoon.at("/ozone/pick-up/on-s").asDouble()).isEqualTo(3);
    assertThat(lagoon.at("/ozone/pick-up/off-s").asDouble()).isEqualTo(5);
    assertThat(lagoon.at("/ozone/windows/0/days")).hasSize(7);
    assertThat(lagoon.at("/ozone/nights/0/open/0/from").asText())
        .isEqualTo("2026-11-25T01:30:00.000Z");
    assertThat(lagoon.at("/ozone/nights/0/open/0/clocks-change").asBoolean()).isFalse();
    assertThat(lagoon.at("/ozone/rests-when-silent-s/redox-a").asDouble()).isEqualTo(60);
    assertThat(lagoon.at("/interlocks")).hasSize(13);
    assertThat(lagoon.at("/interlocks/0/latch-at-trip").asInt()).isEqualTo(3);
    assertThat(lagoon.at("/interlocks/0/stops/0").asText()).isEqualTo("ozone");
    assertThat(lagoon.at("/devices/1/confirms").asBoolean()).isFalse();
    assertThat(lagoon.at("/exchange"))
        .isEqualTo(
            new ObjectMapper()
                .readTree(
                    """
                    {"kind": "portions", "per-day-l": 10.200, "portions-per-day": 21,
                     "portion-l": 0.486, "portion-min": 7.9,
                     "evaporation-per-day-l": 3.4, "new-after-week-percent": 18.95,
                     "windows": [{"from": "13:00", "to": "22:00",
                       "days": ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]}],
                     "drain-ml-per-min": 250.0, "fill-ml-per-min": 250.0, "level": "sump",
                     "new-water": {"bin": "lagoon", "holds-l": 120.000, "salinity-psu": 35.00,
                       "mixed-for-s": 14400.0, "confirmed-by-keeper": true,
                       "volume-sensor": "new-water"},
                     "shares": [], "while-ozone": false, "top-off-held": true,
                     "rests-when-silent-s": {"circulation": 30.0, "sump": 30.0, "salinity": 300.0,
                       "new-water": 300.0, "floor": 600.0}}
                    """));
    assertThat(json.at("/tanks/1/ozone").isMissingNode()).isTrue();
    assertThat(json.at("/tanks/1/without/top-off").asText()).isEqualTo("topped off by hand");
    assertThat(json.at("/notices")).isEmpty();
  }

  @Test
  void jsonOfARefusedConfigurationHoldsEveryComplaint() throws IOException {
    ConfigText text = ConfigText.lab().with("ceiling: 400 mV", "ceiling: 400");
    String json = "";
    try {
      text.read();
    } catch (ConfigException refused) {
      json = CheckJson.of(refused);
    }

    JsonNode complaint = new ObjectMapper().readTree(json).at("/complaints/0");
    assertThat(complaint.at("/line").asInt()).isEqualTo(68);
    assertThat(complaint.at("/column").asInt()).isEqualTo(16);
    assertThat(complaint.at("/wrong").asText()).isEqualTo("`ceiling`: \"400\" has no unit");
    assertThat(complaint.at("/right").asText()).contains("mV or V");
  }

  private static Iterable<String> lines(ConfigText text, Instant now) throws ConfigException {
    return Arrays.asList(CheckText.of(text.read(), now).split("\n"));
  }
}

package io.github.tidewarden.config;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.Instant;
import java.util.List;
import java.util.SplittableRandom;
import java.util.concurrent.TimeUnit;
import java.util.stream.Collectors;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** A drill is read as written, and what is wrong in it is complained about at its place. */
class DrillReaderTest {
  private static final Path FILE = Path.of("drill.yaml");

  private static final String DRILL =
      """
      name: everything at once
      tank: lagoon
      start: 2026-01-15 01:20
      seed: 7
      given:
        sensors:
          redox-a:
            - { is: 320 mV, for: 10 min }
            - { from: 320 mV, to: 0.35 V, over: 5 min, every: 2 s }
            - { at: "01:40", is: silent, for: 90 s }
            - repeat: 2
              steps: [ { is: frozen, for: 20 s }, { off-by: -5 mV, for: 40 s } ]
          redox-b: 321 mV
          skimmer-air: [ { at: 2 min, says: nonsense, for: 10 s } ]
          floor: dry
          sump: typical
        devices: { generator: [ { at: 20 min, is: welded, for: 1 min } ], drain: deaf }
        clock: [ { at: 30 min, stepped-by: -1 h }, { at: 32 min, is: trusted } ]
        link: [ { at: 25 min, is: down, for: 30 s } ]
        keeper:
          - { at: 1 min, by: Ines, act: note, text: carbon changed }
          - { at: 3 min, by: Ines, act: reset, interlock: leak, answer: refused }
          - { at: 4 min, by: Ines, act: hold, function: ozone, for: 1 h, because: feeding }
          - { at: 5 min, by: Ines, act: release, function: ozone, until: 2026-02-01 }
          - { at: 6 min, by: Ines, act: batch, salinity: 35 PSU, temperature: 25 Cel, mixed-for: 4 h }
          - { at: 7 min, by: Ines, act: calibrate, pump: drain, measured: 480 mL, for: 120 s }
      expect:
        - { at: "01:30:05", on: generator, rest: [drain, fill] }
        - { from: 21 min, to: "01:50", tripped: air-lost, not-latched: leak }
        - { within: 30 s, of: 40 min, notice: redox-low, first-out: air-lost, portion: idle }
      """;

  private static Configuration lab() {
    try {
      return ConfigText.lab().read();
    } catch (ConfigException e) {
      throw new AssertionError(e);
    }
  }

  private static Drill read(String text) throws ConfigException {
    return DrillReader.read(FILE, text.replace("«", "").getBytes(StandardCharsets.UTF_8), lab());
  }

  private static List<Complaint> complaints(String text) {
    try {
      read(text);
      return List.of();
    } catch (ConfigException e) {
      return e.complaints();
    }
  }

  private static long seconds(long seconds) {
    return TimeUnit.SECONDS.toNanos(seconds);
  }

  private static Drill.SensorTurns turn(long second, String sensor, Drill.Sense sense) {
    return new Drill.SensorTurns(seconds(second), sensor, sense, Drill.USUAL_EVERY_NANOS);
  }

  /** Lisbon has no offset in January (IANA tz database). */
  @Test
  void aDrillIsReadAsWritten() throws ConfigException {
    Drill drill = read(DRILL);

    assertThat(drill.name()).isEqualTo("everything at once");
    assertThat(drill.tank()).isEqualTo("lagoon");
    assertThat(drill.start()).isEqualTo(Instant.parse("2026-01-15T01:20:00Z"));
    assertThat(drill.seed()).isEqualTo(7);
    assertThat(drill.clockTrusted()).isTrue();
    assertThat(drill.endNanos()).isEqualTo(seconds(40 * 60 + 30));
    assertThat(drill.claims()).isEqualTo(6 + 8);
    assertThat(drill.expectations())
        .extracting(Drill.Expectation::span)
        .containsExactly(Drill.Span.AT, Drill.Span.THROUGHOUT, Drill.Span.WITHIN);
    assertThat(drill.expectations().get(0).fromNanos()).isEqualTo(seconds(605));
    assertThat(drill.expectations().get(1).toNanos()).isEqualTo(seconds(1800));
    assertThat(drill.expectations().get(0).claims().get(1))
        .isEqualTo(new Drill.Claim("rest", Drill.Fact.ON, "drain", false, new Drill.Spot(28, 45)));
  }

  @Test
  void aSeriesFollowsItsStepsAndThenTheTankAgain() throws ConfigException {
    List<Drill.Given> redox =
        read(DRILL).given().stream()
            .filter(
                given -> given instanceof Drill.SensorTurns turn && turn.sensor().equals("redox-a"))
            .collect(Collectors.toList());

    assertThat(redox)
        .containsExactly(
            turn(0, "redox-a", new Drill.Reads(320, 320, 0)),
            new Drill.SensorTurns(
                seconds(600), "redox-a", new Drill.Reads(320, 350, seconds(300)), seconds(2)),
            turn(1200, "redox-a", new Drill.IsSilent()),
            turn(1290, "redox-a", new Drill.IsFrozen()),
            turn(1310, "redox-a", new Drill.IsOff(-5)),
            turn(1350, "redox-a", new Drill.IsFrozen()),
            turn(1370, "redox-a", new Drill.IsOff(-5)),
            turn(1410, "redox-a", new Drill.Follows()));
  }

  @Test
  void theRestIsReadAsWritten() throws ConfigException {
    assertThat(read(DRILL).given())
        .contains(
            turn(0, "redox-b", new Drill.Reads(321, 321, 0)),
            turn(120, "skimmer-air", new Drill.Says("nonsense")),
            turn(130, "skimmer-air", new Drill.Follows()),
            turn(0, "floor", new Drill.Reads(0, 0, 0)),
            turn(0, "sump", new Drill.Follows()),
            new Drill.DeviceTurns(seconds(1200), "generator", Drill.DeviceState.WELDED),
            new Drill.DeviceTurns(seconds(1260), "generator", Drill.DeviceState.SOUND),
            new Drill.DeviceTurns(0, "drain", Drill.DeviceState.DEAF),
            new Drill.ClockSteps(seconds(1800), seconds(-3600)),
            new Drill.ClockShown(seconds(1920)),
            new Drill.LinkTurns(seconds(1500), false),
            new Drill.LinkTurns(seconds(1530), true));
    assertThat(read(DRILL).given().stream().filter(Drill.KeeperAsks.class::isInstance))
        .extracting(given -> ((Drill.KeeperAsks) given).request().get("act"))
        .containsExactly("note", "reset", "hold", "release", "batch", "calibrate");
    assertThat(read(DRILL).given())
        .filteredOn(Drill.KeeperAsks.class::isInstance)
        .extracting(given -> ((Drill.KeeperAsks) given).request().get("until"))
        .contains("2026-02-01");
  }

  @Test
  void aRampIsAStraightLineAndStaysWhereItLed() {
    Drill.Reads ramp = new Drill.Reads(300, 400, 100);
    assertThat(ramp.at(0)).isEqualTo(300);
    assertThat(ramp.at(25)).isEqualTo(325);
    assertThat(ramp.at(100)).isEqualTo(400);
    assertThat(ramp.at(1000)).isEqualTo(400);
  }

  /** In Lisbon the clocks show 01:30 twice on 25 October 2026 (IANA tz database). */
  @Test
  void aTimeThatComesTwiceIsTheEarlierOne() throws ConfigException {
    String twice = DRILL.replace("2026-01-15 01:20", "2026-10-25 01:20");
    assertThat(read(twice).expectations().get(0).fromNanos()).isEqualTo(seconds(605));
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        // The drill itself.
        "tank: lagoon | tank: «lagon | `tank` is \"lagon\" | write `lagoon`",
        "name: everything at once | «nam: everything at once | unknown key `nam` in `drill` | write `name`",
        "seed: 7 | seed: «-1 | `seed` is -1 | whole number from 0",
        "seed: 7 | seed: «seven | `seed` is a text | write a number without a unit",
        "2026-01-15 01:20 | «2026-01-15 | is not a local date and time | 2026-01-15 01:20",
        "2026-01-15 01:20 | «2026-02-30 01:20 | is not a local date and time | 2026-01-15 01:20",
        "2026-01-15 01:20 | «2026-03-29 01:20 | the clocks jump over it | since the start",
        "given: | «givn: | unknown key `givn` in `drill` | write `given`",
        // Times.
        "at: \"01:30:05\" | at: «\"01:10\" | is past when the drill starts, at 01:20 | such as `26 h`",
        "at: \"01:30:05\" | at: «\"24:30\" | is not a time of day | such as",
        "at: \"01:30:05\" | at: «10 | `at`: \"10\" has no unit | as number, space, unit",
        "at: \"01:30:05\" | at: «-1 min | is under what is allowed | at least 0",
        "at: \"01:30:05\" | at: «49 h | over the most that is allowed | at most 48 h",
        "to: \"01:50\" | to: «20 min | `to` at 01:40:00 (20 min) is not after `from` | earlier",
        // Sensors.
        "redox-b: 321 mV | «redox-c: 321 mV | lagoon has no sensor `redox-c` | write `redox-a`",
        "redox-b: 321 mV | redox-b: «321 | \"321\" has no unit | a potential in mV or V",
        "redox-b: 321 mV | redox-b: «321 ppb | not a potential | a potential in mV or V",
        "redox-b: 321 mV | redox-b: «silnt | is \"silnt\" | write `silent`",
        "redox-b: 321 mV | redox-b: «{ is: 321 mV } | is one step | a list of steps",
        "redox-b: 321 mV | redox-b: «[] | has no steps | such as",
        "floor: dry | floor: «damp | `floor` is \"damp\" | known here: wet, dry, typical",
        "floor: dry | floor: [ { from: «wet, to: dry, over: 1 min } ] | is a contact | `is: wet`",
        "{ is: 320 mV, for: 10 min | «{ ix: 320 mV, for: 10 min | does not say what `redox-a` does | one of `is`",
        "to: 0.35 V, over | over | `redox-a` has no `to` | add `to: 421 mV`",
        "at: \"01:40\", is: silent | at: «\"01:33\", is: silent | and the one before it lasts until 01:35:00 (15 min) | none over",
        "is: silent, for: 90 s } | is: silent } | this step never begins | add `for` to that one",
        "is: frozen, for: 20 s | is: frozen | a step that is repeated has no end | add `for`",
        "is: frozen, for: 20 s | «at: 1 h, is: frozen, for: 20 s | unknown key `at` | known here",
        "repeat: 2 | repeat: «0 | `repeat` is 0 | from 1 to",
        "every: 2 s | every: «0 s | is under what is allowed | at least 0.1 s",
        "{ at: 2 min, says | «{ at: 41 min, says | comes after the drill ends | take it out",
        // Devices, clock, link, keeper.
        "drain: deaf | «drein: deaf | lagoon has no device `drein` | write `drain`",
        "drain: deaf | drain: «broken | is \"broken\" | known here: sound, welded",
        "is: welded | is: «weldd | is \"weldd\" | write `welded`",
        "stepped-by: -1 h | stepped-by: «1 s | has not been stepped | over 2 s",
        "is: trusted | is: «untrusted | loses that by a step only | write `stepped-by",
        "is: down | is: «dwn | is \"dwn\" | write `down`",
        "act: note | act: «nota | `act` is \"nota\" | write `note`",
        "interlock: leak | interlock: «leek | is \"leek\" | write `leak`",
        "function: ozone, for | function: «ozon, for | is \"ozon\" | write `ozone`",
        "salinity: 35 PSU | salinity: «35 | \"35\" has no unit | in PSU",
        "at: 7 min, by: Ines, | at: 7 min, | has no `by` | add `by: Ines`",
        // Expectations.
        "on: generator | on: «genrator | `on` is \"genrator\" | write `generator`",
        "on: generator | «onn: generator | unknown key `onn` | write `on`",
        "tripped: air-lost | tripped: «redox-low | `tripped` is \"redox-low\" | write `notice: redox-low`",
        "tripped: air-lost | tripped: «redox-a-silent | is told: write `notice | redox-a-silent",
        "tripped: air-lost | tripped: «waste-full | has no sensor for this standard interlock | `check`",
        "not-latched: leak | not-latched: «level-low | trips and never latches | write `tripped: level-low`",
        "notice: redox-low | notice: «leak | it is a trip | write `tripped: leak`",
        "portion: idle | portion: «[idle, filled] | can be one only | write one name",
        "not-latched: leak | first-out: «leak | does not last | `at` or `within`",
        "of: 40 min, notice | of: 40 min, no-notice: «redox-low, notice | does not come about | `from` and `to`",
        "within: 30 s, of: 40 min, | at: 1 min, within: 30 s, of: 40 min, | more than one time | one of `at",
        "within: 30 s, of: 40 min, |  | has no time | one of `at",
        "within: 30 s, of: 40 min, | of: 40 min, | has no `within` | add `within: 30 s`",
      })
  void whatIsWrongIsComplainedAboutWithItsPlace(
      String old, @Nullable String changed, String wrong, String right) {
    assertThat(DRILL).contains(old);
    String text = DRILL.replace(old, changed == null ? "" : changed);
    List<Complaint> complaints = complaints(text);

    assertThat(complaints).isNotEmpty();
    String told = complaints.stream().map(Complaint::toString).collect(Collectors.joining("\n"));
    assertThat(told).contains(wrong, right);
    for (String place : new ConfigText(text).expectedPlaces()) {
      assertThat(told).containsPattern("(?m)^" + place + ": ");
    }
  }

  @Test
  void nothingButWhatIsWrongIsComplainedAbout() {
    assertThat(complaints(DRILL.replace("on: generator", "on: genrator"))).hasSize(1);
    assertThat(complaints(DRILL.replace("redox-b: 321 mV", "redox-c: 321 mV"))).hasSize(1);
    assertThat(complaints(DRILL.replace("2026-01-15 01:20", "2026-01-15"))).hasSize(1);
    assertThat(complaints(DRILL.replace("every: 2 s", "every: 0 s"))).hasSize(1);
    assertThat(complaints(DRILL.replace("tank: lagoon", "tank: lagon"))).hasSize(1);
  }

  @Test
  void whatIsNoDrillAtAllIsRefused() {
    assertThat(complaints(""))
        .singleElement()
        .hasToString("1:1: the file is empty; a drill begins with `name:`");
    assertThat(complaints("name: [")).singleElement().asString().contains("this is not YAML");
    assertThat(complaints("- 1")).singleElement().asString().contains("not a mapping");
    assertThat(complaints("name: x\ntank: lagoon\nstart: 2026-01-15 01:20\nexpect: []\n"))
        .singleElement()
        .hasToString("4:1: nothing is expected; at least one expectation");
    assertThatThrownBy(() -> DrillReader.read(Path.of("nowhere.yaml"), lab()))
        .hasMessageStartingWith("nowhere.yaml:1:1: there is no such file");
  }

  @Test
  void twoSensorsOfOneMessageDoNotBothSetItsRhythm() throws ConfigException {
    Configuration lab =
        ConfigText.lab()
            .with(
                "topic: lab/lagoon/redox/a, measures: redox }",
                "topic: lab/r, measures: redox, pointer: /a }")
            .with(
                "topic: lab/lagoon/redox/b, measures: redox, pointer: /mv }",
                "topic: lab/r, measures: redox, pointer: /b }")
            .read();
    String text =
        """
        name: both
        tank: lagoon
        start: 2026-01-15 01:20
        given:
          sensors:
            redox-a: [ { is: 300 mV, every: 2 s } ]
            redox-b: [ { says: nonsense, for: 1 min } ]
        expect: [ { at: 10 min, rest: generator } ]
        """;
    assertThatThrownBy(() -> DrillReader.read(FILE, text.getBytes(StandardCharsets.UTF_8), lab))
        .hasMessageContaining("drill.yaml:7:5: `redox-b` and `redox-a` speak in the same messages");
  }

  @Test
  void aBatteryBackedClockIsTrustedByItself() throws ConfigException {
    Configuration backed =
        ConfigText.lab().with("trusted-when: synchronised", "trusted-when: battery-backed").read();
    String text =
        """
        name: clock
        tank: lagoon
        start: 2026-01-15 01:20
        given: { clock: untrusted }
        expect: [ { at: 10 min, rest: generator } ]
        """;
    assertThatThrownBy(() -> DrillReader.read(FILE, text.getBytes(StandardCharsets.UTF_8), backed))
        .hasMessageContaining("drill.yaml:4:17: this site's clock is battery-backed");
    assertThat(DrillReader.read(FILE, text.getBytes(StandardCharsets.UTF_8), lab()).clockTrusted())
        .isFalse();
  }

  /** Whatever stands in a file, it is a drill or it is complained about. */
  @Test
  void aMangledDrillIsReadOrComplainedAbout() {
    SplittableRandom random = new SplittableRandom(11);
    Configuration lab = lab();
    String letters = "{}[]:,-\"' \n0mVx#&*?";
    int refused = 0;
    for (int i = 0; i < 500; i++) {
      StringBuilder text = new StringBuilder(DRILL);
      for (int changes = random.nextInt(1, 4); changes > 0; changes--) {
        int at = random.nextInt(text.length() - 20);
        int end = at + random.nextInt(1, 20);
        text.replace(
            at,
            random.nextBoolean() ? at + 1 : end,
            letters.charAt(random.nextInt(letters.length())) + "");
      }
      try {
        DrillReader.read(FILE, text.toString().getBytes(StandardCharsets.UTF_8), lab);
      } catch (ConfigException e) {
        refused++;
        assertThat(e.complaints()).as(text.toString()).isNotEmpty();
      }
    }
    assertThat(refused).isBetween(350, 499);
  }
}

package io.github.tidewarden.rehearsal;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.tuple;

import io.github.tidewarden.config.ConfigException;
import io.github.tidewarden.config.ConfigText;
import io.github.tidewarden.config.Configuration;
import io.github.tidewarden.config.Drill;
import io.github.tidewarden.config.DrillReader;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** What a drill's words do, and what it says when something is not as expected. */
class DrillingTest {
  @TempDir private Path directory;

  private Drilling.Outcome outcome(String text) throws ConfigException, IOException {
    Configuration lab = ConfigText.lab().read();
    Path file =
        Files.writeString(
            directory.resolve("drill.yaml"),
            "name: drill\ntank: lagoon\nstart: 2026-01-15 01:18\n" + text);
    Drill drill = DrillReader.read(file, lab);
    return Drilling.of(lab, drill);
  }

  private void passes(String text) throws ConfigException, IOException {
    Drilling.Outcome outcome = outcome(text);
    assertThat(outcome.passed()).as(DrillText.of(outcome, 1)).isTrue();
  }

  private static final String DOSING =
      """
      given:
        sensors:
          redox-a: 320 mV
          redox-b: 320 mV
      """;

  @Test
  void whatADrillDoesNotNameIsAsOnATypicalTank() throws Exception {
    passes(
        """
        expect:
          - { from: 1 min, to: 11 min, rest: [generator, drain, fill], portion: idle }
          - { within: 1 s, of: "01:30", on: generator, told-to-run: generator }
          - { at: 13 min, on: generator, not-tripped: leak, not-held: tank, no-notice: redox-low }
        """);
  }

  /** A drop-out of 30 s, told anew at a third of it: 20 to 30 s are left when it hears no more. */
  @Test
  void aDeviceThatIsDeafOrWithoutPowerRests() throws Exception {
    passes(
        DOSING
            + """
              devices:
                generator:
                  - { at: 14 min, is: deaf, for: 2 min }
                  - { at: 30 min, is: unpowered, for: 2 min }
            expect:
              - { at: 14 min, on: generator }
              - { from: 14 min, to: 844 s, told-to-run: generator }
              - { within: 31 s, of: 14 min, rest: generator }
              - { at: 29 min, on: generator }
              - { within: 1 ms, of: 30 min, rest: generator }
            """);
  }

  @Test
  void aDeviceThatReportsNothingIsAsGoodAsLost() throws Exception {
    passes(
        DOSING
            + """
              devices: { generator: [ { at: 8 min, is: mute } ] }
            expect:
              - { within: 6 s, of: 12 min, on: generator }
              - { within: 6 s, of: 724 s, notice: generator-unconfirmed, told-to-rest: generator }
            """);
  }

  @Test
  void aDeviceThatWakesOnIsToldToRest() throws Exception {
    passes(
        """
        given:
          devices: { generator: [ { at: 5 min, is: wakes-on } ] }
        expect:
          - { within: 1 ms, of: 5 min, on: generator }
          - { within: 1 s, of: 5 min, notice: generator-on-unasked }
          - { from: 301 s, to: 400 s, rest: generator }
        """);
  }

  @Test
  void aRampAHoldAndARhythmAreHeardAsTheyAreWritten() throws Exception {
    passes(
        """
        given:
          sensors:
            redox-b: 320 mV
            redox-a:
              - { is: 320 mV, for: 14 min }
              - { from: 320 mV, to: 364 mV, over: 2 min, every: 1 s }
              - { is: frozen, for: 5 min, every: 50 s }
              - { is: 365 mV }
        expect:
          - { from: 12.1 min, to: 21 min, on: generator }
          - { within: 1 s, of: 21 min, rest: generator }
        """);
  }

  @Test
  void whatIsNoValueIsNone() throws Exception {
    passes(
        """
        given:
          sensors:
            redox-b: 320 mV
            redox-a: [ { is: 320 mV, for: 14 min }, { says: "12 volts", for: 2 min } ]
        expect:
          - { at: 14 min, on: generator }
          - { within: 61 s, of: 14 min, rest: generator, notice: redox-a-silent }
        """);
  }

  @Test
  void anAnswerThatIsNotTheExpectedOneFails() throws Exception {
    Drilling.Outcome outcome =
        outcome(
            """
            given:
              keeper:
                - { at: 1 min, by: Ines, act: reset, interlock: leak }
                - { at: 2 min, by: Ines, act: note, text: carbon changed, answer: refused }
            expect: [ { at: 3 min, rest: generator } ]
            """);
    assertThat(outcome.drill().claims()).isEqualTo(3);
    assertThat(outcome.failures())
        .extracting(Drilling.Failure::expected, Drilling.Failure::was)
        .containsExactly(
            tuple("reset done", "it was refused"), tuple("note refused", "it was done"));
    assertThat(outcome.failures().get(0).spot()).isEqualTo(new Drill.Spot(6, 7));
    assertThat(outcome.failures().get(0).why()).contains("leak");
  }

  @Test
  void aFailureSaysWhatWasInsteadSinceWhenAndWhy() throws Exception {
    Drilling.Outcome outcome =
        outcome(
            DOSING
                + """
                    floor: [ { at: 15 min, is: wet } ]
                expect:
                  - { at: 14 min, rest: generator }
                  - { from: 13 min, to: 20 min, on: generator }
                  - { within: 10 s, of: 15 min, tripped: level-high }
                  - { within: 10 s, of: 16 min, tripped: leak }
                  - { at: 16 min, first-out: level-high, portion: filling, held: ozone, notice: redox-low }
                """);

    assertThat(DrillText.of(outcome, 1).replace(directory.toString(), "DIR"))
        .startsWith("FAILED: drill: 8 of 8 expectations\n")
        .contains(
            """
              DIR/drill.yaml:10:25
                at 01:32:00, 14 min after the start
                expected: generator at rest
                instead: it was on, since 01:30:00, 12 min after the start
                why: redox-a 320.0 mV is within the band
                what the audit of lagoon says around then:
            """,
            """
                from 01:31:00, 13 min after the start, to 01:38:00, 20 min after the start
                expected: generator on
                instead: it was at rest from 01:33:00, 15 min after the start on
                why: leak: latched: floor wet
            """,
            """
                within 10 s of 01:33:00, 15 min after the start
                expected: level-high tripped
                instead: it was not tripped all that time, from the start
            """,
            """
                within 10 s of 01:34:00, 16 min after the start
                expected: leak tripped
                instead: it was tripped before that already, since 01:33:00, 15 min after the start
                why: floor wet
            """,
            "    instead: it was leak, when the last trip came\n",
            "    instead: it was idle\n",
            "    instead: it was not held, from the start\n",
            "    expected: a notice of redox-low\n    instead: nothing of it was told\n",
            "      01:33:00  trip leak: floor wet\n");
    assertThat(outcome.failures())
        .allSatisfy(
            failure ->
                assertThat(failure.near())
                    .hasSizeBetween(1, Drilling.MOST_BEFORE + Drilling.MOST_AFTER));
  }

  @Test
  void theSameDrillGivesTheSameBytesAndAnotherSeedOthers() throws Exception {
    String text =
        """
        expect:
          - { within: 1 ms, of: "01:30", on: generator, rest: generator }
          - { at: 13 min, tripped: leak }
        """;
    String one = json(outcome("seed: 3\n" + text));
    assertThat(json(outcome("seed: 3\n" + text))).isEqualTo(one).contains("\"failed\" : 1");
    assertThat(json(outcome("seed: 4\n" + text))).isNotEqualTo(one);
  }

  private static String json(Drilling.Outcome outcome) {
    return DrillJson.of("harbour-lab", List.of(outcome), 0);
  }

  @Test
  void whatPassedIsToldInALine() throws Exception {
    Drilling.Outcome outcome = outcome("expect: [ { at: 3 min, rest: generator } ]\n");
    assertThat(DrillText.of(outcome, 90_000_000L))
        .isEqualTo(
            "passed: drill: 1 expectation, 3 min in 0.09 s (2000 times as fast as the clock)");
    assertThat(DrillText.sum(List.of(outcome))).isEqualTo("1 drill passed");
  }

  /**
   * The example of the page "Drills" passes, and what the page shows of a failure is what it says.
   */
  @Test
  void theExampleOfThePageGoesAsThePageSays() throws Exception {
    String page = Files.readString(Path.of("src/site/markdown/drill.md"));
    String example = page.split("```yaml\n", 2)[1].split("```", 2)[0];
    Configuration lab = ConfigText.lab().read();
    Path file = directory.resolve("my-drill.yaml");
    Drill drill = DrillReader.read(Files.writeString(file, example), lab);
    Drilling.Outcome passed = Drilling.of(lab, drill);
    assertThat(passed.failures()).isEmpty();
    assertThat(page).contains(DrillText.of(passed, 250_000_000L));

    String altered =
        example.replace("\"01:40:30\", on: generator", "\"01:40:30\", rest: generator");
    Drill other = DrillReader.read(Files.writeString(file, altered), lab);
    assertThat(page)
        .contains(
            DrillText.of(Drilling.of(lab, other), 1).replace(directory.toString() + "/", "")
                + "\n```");
  }
}

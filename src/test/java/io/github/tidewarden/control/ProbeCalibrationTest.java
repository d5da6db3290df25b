package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import io.github.tidewarden.dosing.ProbeAge;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** A keeper calibrates a redox probe: what is taken, what is recorded, and what is refused. */
class ProbeCalibrationTest {
  private final ProbeBench keeper = ProbeBench.free();
  private final Bench bench = keeper.bench;

  private void standsAt(double millivolts) {
    keeper.says("redox-a", millivolts);
    bench.live(160);
  }

  private String refusal(String in) {
    Effect.Answer answer = keeper.asksToCalibrate("redox-a", in);
    assertThat(answer).isNotNull();
    assertThat(answer.done()).as(answer.what()).isFalse();
    assertThat(bench.memory().probes()).isEmpty();
    return answer.what();
  }

  /**
   * Right values against Ag/AgCl 3 M KCl, which is 207 mV at 25 °C and 210 at 20 (a meter manual of
   * 2011; Droog and Schlenter 1980). ZoBell's: 428 and 439 mV against SHE (Standard Methods 2580:I)
   * or 430.28 (Nordstrom 1977, from memory); Light's: 675 (Light 1972); quinhydrone: 263 and 86 mV
   * against saturated Ag/AgCl, which is 199 mV (supplier's note; Sawyer 1995), 268 and 204 at 20 °C
   * (common tables, from memory).
   */
  @ParameterizedTest
  @CsvSource({
    "zobell, '', 25, 221, 'Standard Methods 2580:I (1997)'",
    "zobell, '', 20, 229, 'Standard Methods 2580:I (1997)'",
    "zobell, nordstrom, 25, 223.28, Nordstrom (1977)",
    "light, light, 25, 468, Light (1972)",
    "quinhydrone-4, '', 25, 255, 'supplier''s note, common tables'",
    "quinhydrone-4, '', 20, 262, 'supplier''s note, common tables'",
    "quinhydrone-7, common, 25, 78, 'supplier''s note, common tables'",
    "228.5 mV, '', 25, 228.5, the keeper's own figure",
  })
  void whatIsRecordedNamesAllThatItDependsOn(
      String in, String source, int celsius, double right, String title) {
    standsAt(right + 8.4);
    Effect.Answer answer =
        keeper.asks(
            "calibrate-probe",
            "name",
            "redox-a",
            "in",
            in,
            "temperature",
            celsius + " Cel",
            "source",
            source);
    assertThat(answer).matches(Effect.Answer::done);
    assertThat(bench.last(Kind.ACT).fields())
        .containsEntry("act", "calibrate-probe")
        .containsEntry("name", "redox-a")
        .containsEntry("solution", in.contains("mV") ? "own" : in)
        .containsEntry("source", title)
        .containsEntry("reference", "Ag/AgCl 3 M KCl")
        .containsEntry("temperature-mcel", celsius * 1000L)
        .containsEntry("published-uv", Math.round(right * 1000))
        .containsEntry("measured-uv", Math.round((right + 8.4) * 1000))
        .containsEntry("slope-ppm", 1_000_000L)
        .containsEntry("offset-uv", -8_400L)
        .containsEntry("with", "")
        .containsEntry("verdict", "as-new");
    assertThat(keeper.known("redox-a").corrected(350)).isCloseTo(341.6, within(1e-9));
  }

  @Test
  void itIsToldInWords() {
    standsAt(ProbeBench.ZOBELL + 20.25);
    assertThat(keeper.asksToCalibrate("redox-a", "zobell").what())
        .isEqualTo(
            "rosa calibrated redox-a in zobell at 25.0 °C: it reads 241.3 mV where 221.0 mV is right"
                + " by Standard Methods 2580:I (1997), against Ag/AgCl 3 M KCl; offset -20.3 mV,"
                + " usable");
    bench.live(11);
    assertThat(bench.told("lagoon/state").get("calibrations").toString())
        .contains("redox-a={at=2026-01-14T21:3", "age-d=0, solution=zobell", "offset-mv=-20.3");
    assertThat(bench.told("lagoon/state").get("signals").toString())
        .contains("redox-a={value=241.3, corrected=221.0, unit=mV");
  }

  /** The bounds of one maker's manual: 15 mV as new, 50 usable, over it to be replaced. */
  @ParameterizedTest
  @CsvSource({"15, as-new", "-15, as-new", "15.1, usable", "50, usable", "-50, usable"})
  void aProbeWithinTheBandIsTaken(double off, String verdict) {
    standsAt(ProbeBench.ZOBELL + off);
    assertThat(keeper.asksToCalibrate("redox-a", "zobell")).matches(Effect.Answer::done);
    assertThat(bench.last(Kind.ACT).fields()).containsEntry("verdict", verdict);
  }

  /** Whatever an earlier calibration said: after this one no ozone starts, until a better one. */
  @ParameterizedTest
  @CsvSource({"50.1", "-50.1", "120"})
  void aProbeBeyondTheBandIsUnfitAndStartsNoOzone(double off) {
    keeper.calibrates("redox-a", 2);
    keeper.calibrates("redox-b", 2);
    standsAt(ProbeBench.ZOBELL + off);
    Effect.Answer answer = keeper.asksToCalibrate("redox-a", "zobell");
    assertThat(answer.what()).contains("found redox-a unfit: it reads ").contains("50.0 mV is the");
    assertThat(bench.last(Kind.ACT).fields()).containsEntry("verdict", "replace");
    assertThat(keeper.known("redox-a").unfit()).isTrue();
    assertThat(keeper.known("redox-a").corrected(320)).as("it corrects nothing").isEqualTo(320);
    keeper.says("redox-a", 320);
    bench.restarts(Duration.ofSeconds(5));
    bench.connect();
    keeper.windowOpens(Bench.WINDOW_OPENS);
    assertThat(bench.runs()).isFalse();
    assertThat(bench.last(Kind.REFUSED).why())
        .startsWith("probe-calibration: redox-a was found unfit in zobell");
    keeper.asks("hold", "name", "ozone", "for", "10 min");
    keeper.calibrates("redox-a", 3);
    bench.live(700);
    assertThat(bench.runs()).as("once it is calibrated").isTrue();
  }

  // Settled or not.

  @Test
  void aProbeThatStillMovesIsRefused() {
    for (int i = 0; i < 200; i++) {
      keeper.says("redox-a", 260 - 1.2 * i / 60);
      bench.live(1);
    }
    assertThat(refusal("zobell"))
        .startsWith("redox-a has not settled: it still moves by -1.2 mV a minute")
        .contains("leave it in the solution for longer");
  }

  @Test
  void aProbeThatIsNoisyIsRefused() {
    for (int i = 0; i < 200; i++) {
      keeper.says("redox-a", ProbeBench.ZOBELL + (i % 4 < 2 ? 6 : -6));
      bench.live(1);
    }
    assertThat(refusal("zobell"))
        .startsWith("redox-a has not settled: it is noisy, 8.9 mV")
        .contains("check its plug");
  }

  @Test
  void aProbeThatWasJustPutInIsRefused() {
    keeper.says("redox-a", 320);
    bench.live(200);
    keeper.says("redox-a", ProbeBench.ZOBELL);
    bench.live(60);
    assertThat(refusal("zobell")).startsWith("redox-a has not settled: it moved by 99.0 mV");
  }

  @Test
  void aProbeThatWasSilentInBetweenIsRefused() {
    standsAt(ProbeBench.ZOBELL);
    bench.mute.add("lab/lagoon/redox/a");
    bench.live(60);
    assertThat(refusal("zobell")).isEqualTo("redox-a is silent for 61 s");
    bench.mute.clear();
    bench.live(119);
    assertThat(refusal("zobell")).contains("has not been heard for 2 min without a gap");
    bench.live(2);
    assertThat(keeper.asksToCalibrate("redox-a", "zobell")).matches(Effect.Answer::done);
  }

  @Test
  void afterAStartTheProbeIsHeardAnew() {
    standsAt(ProbeBench.ZOBELL);
    bench.restarts(Duration.ofSeconds(5));
    bench.connect();
    bench.live(10);
    assertThat(refusal("zobell")).contains("has not been heard for 2 min without a gap");
  }

  // While ozone may run.

  @Test
  void whileOzoneRunsItIsRefused() {
    bench.windowOpens();
    bench.live(5);
    assertThat(bench.runs()).isTrue();
    assertThat(refusal("zobell")).startsWith("ozone runs, or is about to; hold it first");
  }

  @ParameterizedTest
  @CsvSource({"1790, true", "1810, false", "-600, true"})
  void beforeAndInAWindowOzoneMustBeHeld(int secondsBefore, boolean refused) {
    Instant at = Bench.WINDOW_OPENS.minusSeconds(secondsBefore);
    bench.redox(ProbeBench.ZOBELL, 370); // over the band: nothing runs
    bench.passesUntil(at.minusSeconds(160));
    bench.live(160);
    if (refused) {
      assertThat(refusal("zobell"))
          .startsWith("a window for ozone is open, or opens within 30 min, and ozone is not held");
      keeper.asks("hold", "name", "exchange", "for", "1 h");
      assertThat(refusal("zobell")).contains("ozone is not held");
      keeper.asks("hold", "name", "ozone", "for", "1 h");
    }
    assertThat(keeper.asksToCalibrate("redox-a", "zobell")).matches(Effect.Answer::done);
  }

  // What cannot be meant.

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "name=redox-c in=zobell temperature=25_Cel | there is no redox probe \"redox-c\"; it is redox-a or redox-b",
        "name=skimmer-air in=zobell temperature=25_Cel | there is no redox probe \"skimmer-air\"",
        "in=zobell temperature=25_Cel | it does not say which probe (name)",
        "name=redox-a temperature=25_Cel | it does not say what the probe stands in (in)",
        "name=redox-a in=zobel temperature=25_Cel | \"zobel\" is none of zobell, light, quinhydrone-4, quinhydrone-7, and no redox such as 228 mV",
        "name=redox-a in=40_mV temperature=25_Cel | 40 mV is not between 50 and 700 mV",
        "name=redox-a in=zobell | temperature: ",
        "name=redox-a in=zobell temperature=9_Cel | a temperature of 9.0 °C is not between 10 and 40 °C",
        "name=redox-a in=zobell temperature=31_Cel | Standard Methods 2580:I (1997) tells of this solution from 1.0 °C to 30.0 °C, not at 31.0 °C",
        "name=redox-a in=light temperature=20_Cel | Light (1972) tells of this solution from 24.0 °C to 26.0 °C",
        "name=redox-a in=zobell temperature=25_Cel source=light | no source of zobell is named \"light\"; there is standard-methods and nordstrom",
      })
  void whatCannotBeMeantIsRefused(String fields, String why) {
    standsAt(ProbeBench.ZOBELL);
    String[] more = fields.replace('_', '\u00a0').split("[ =]");
    for (int i = 0; i < more.length; i++) {
      more[i] = more[i].replace('\u00a0', ' ');
    }
    Effect.Answer answer = keeper.asks("calibrate-probe", more);
    assertThat(answer.done()).isFalse();
    assertThat(answer.what()).contains(why);
  }

  // Two solutions.

  /** From pH 4 to pH 7 a sound probe moves by 255 - 78 = 177 mV. */
  @Test
  void twoSolutionsWithinAnHourGiveASlope() {
    keeper.calibrates("redox-a", "quinhydrone-4", 255 + 6);
    bench.passes(Duration.ofMinutes(50));
    bench.live(5);
    keeper.calibrates("redox-a", "quinhydrone-7", 78 + 0.5);
    ProbeMemory known = keeper.known("redox-a");
    assertThat(known.slope()).isEqualTo(Math.round(1e6 * 177 / 182.5));
    assertThat(known.corrected(261)).isCloseTo(255, within(2e-3));
    assertThat(known.corrected(78.5)).isCloseTo(78, within(2e-3));
    assertThat(bench.last(Kind.ACT).fields()).containsEntry("with", "quinhydrone-4");
    assertThat(bench.last(Kind.ACT).why()).contains("; with quinhydrone-4 slope 0.970; offset ");
  }

  @Test
  void solutionsThatAreFarApartInTimeOrNearInRedoxGiveNone() {
    keeper.calibrates("redox-a", "quinhydrone-4", 255 + 6);
    keeper.calibrates("redox-a", "zobell", ProbeBench.ZOBELL + 1);
    assertThat(keeper.known("redox-a").slope()).as("34 mV apart").isEqualTo(1_000_000);
    bench.passes(Duration.ofMinutes(61));
    bench.live(5);
    keeper.calibrates("redox-a", "quinhydrone-7", 78 + 1);
    assertThat(keeper.known("redox-a").slope()).as("an hour later").isEqualTo(1_000_000);
    keeper.calibrates("redox-b", "quinhydrone-4", 255);
    assertThat(keeper.known("redox-b").slope()).as("the other probe").isEqualTo(1_000_000);
  }

  @Test
  void aSlopeThatIsFarOffMakesItUnfit() {
    keeper.calibrates("redox-a", "quinhydrone-4", 255 - 10);
    standsAt(78 + 10);
    Effect.Answer answer = keeper.asksToCalibrate("redox-a", "quinhydrone-7");
    assertThat(answer.what())
        .contains("found redox-a unfit: from quinhydrone-4 to here it moved by 157.0 mV");
    assertThat(keeper.known("redox-a").unfit()).isTrue();
  }

  // On the disk first.

  @Test
  void itCountsOnlyWhenItIsOnTheDisk() {
    standsAt(ProbeBench.ZOBELL);
    bench.disk = Bench.Disk.HANGS;
    assertThat(keeper.asksToCalibrate("redox-a", "zobell")).isNull();
    bench.live(5);
    assertThat(bench.memory().probes()).isEmpty();
    bench.syncs();
    assertThat(bench.memory().probes()).containsOnlyKeys("redox-a");
    bench.disk = Bench.Disk.FULL;
    assertThat(keeper.asksToCalibrate("redox-a", "240 mV").done()).isFalse();
    assertThat(keeper.known("redox-a").solution()).isEqualTo("zobell");
  }

  /** Light's solution reads over any ceiling, so the interlock does what it is there for. */
  @Test
  void inLightsSolutionTheCeilingLatchesAndIsResetAfterwards() {
    standsAt(468);
    assertThat(keeper.asksToCalibrate("redox-a", "light")).matches(Effect.Answer::done);
    assertThat(bench.memory().latches()).containsOnlyKeys("redox-ceiling");
    keeper.says("redox-a", 320);
    bench.live(2);
    assertThat(keeper.asks("reset", "name", "redox-ceiling")).matches(Effect.Answer::done);
  }

  @Test
  void whatIsRememberedIsBoundedAndReadBack() {
    keeper.calibrates("redox-a", 8);
    ProbeMemory known = keeper.known("redox-a");
    Map<String, ProbeMemory> many = Map.of();
    for (int i = 0; i < 20; i++) {
      many =
          ProbeMemory.with(
              many,
              "p" + i,
              new ProbeMemory(
                  known.at().plusSeconds(i), "b", 0, "SHE", "zobell", 0, 0, 1_000_000, 0, false));
    }
    assertThat(many).hasSize(16).doesNotContainKeys("p0", "p3").containsKeys("p4", "p19");
    SiteMemory memory = bench.state.remembered();
    assertThat(Checkpoint.read(Checkpoint.of(memory))).usingRecursiveComparison().isEqualTo(memory);
    assertThat(List.copyOf(memory.tank("lagoon").probes().values())).containsExactly(known);
  }

  /** As a version wrote it that knew of no calibration. */
  @Test
  void anOlderCheckpointHasNone() {
    Map<String, Object> fields = Checkpoint.of(bench.state.remembered());
    Object tank = ((Map<?, ?>) fields.get("tanks")).get("lagoon");
    ((Map<?, ?>) tank).remove("probes");
    assertThat(Checkpoint.read(fields).tank("lagoon").probes()).isEmpty();
  }

  @Test
  void aTankWithoutOzoneHasNoProbeToCalibrate() {
    TankSpec lagoon = Specs.lagoon();
    TankSpec without =
        new TankSpec(
            "lagoon",
            340,
            "",
            lagoon.sensors(),
            lagoon.actuators(),
            lagoon.confirms(),
            List.of(),
            null,
            null,
            Map.of(),
            CareSpec.NONE);
    ProbeBench other = new ProbeBench(without, Bench.WINDOW_OPENS);
    other.bench.live(200);
    assertThat(other.asksToCalibrate("redox-a", "zobell").what())
        .isEqualTo("lagoon has no ozone, so none goes by a probe");
    assertThat(other.asks("note", "cleaned", "redox-a").what()).startsWith("lagoon has no ozone");
  }

  @Test
  void nothingIsAskedForWhereTheKeeperSaidWhy() {
    assertThat(ProbeAge.NOT_REQUIRED.required()).isFalse();
    bench.windowOpens();
    bench.live(5);
    assertThat(bench.runs()).isTrue();
  }
}

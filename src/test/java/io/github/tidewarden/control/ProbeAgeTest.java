package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.dosing.ProbeAge;
import java.time.Duration;
import java.time.Instant;
import java.util.Objects;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** How old a calibration may be: hazard F05 of SAFETY.md. */
class ProbeAgeTest {
  private static final Instant WINDOW = Bench.WINDOW_OPENS;

  private static boolean forbids(Bench bench) {
    return bench.records(Kind.REFUSED).stream()
        .anyMatch(record -> record.why().startsWith("probe-calibration: "));
  }

  private static boolean warns(Bench bench) {
    return bench.records(Kind.NOTICE).stream()
        .anyMatch(record -> "probe-calibration".equals(record.fields().get("name")));
  }

  /** Both probes calibrated so long before the window that is to come. */
  private static ProbeBench calibrated(ProbeAge age, Duration before) {
    // The first takes 162 s, so that the second is calibrated at the wanted moment.
    ProbeBench keeper =
        new ProbeBench(age, WINDOW.minus(before).minusSeconds(3 + 162 + 160 + 3_600));
    keeper.asks("hold", "name", "ozone", "for", "24 h");
    keeper.bench.passes(Duration.ofSeconds(3_600));
    keeper.calibrates("redox-b", 3);
    keeper.calibrates("redox-a", 8);
    keeper.asks("release", "name", "ozone");
    return keeper;
  }

  @Test
  void withoutACalibrationOfEveryProbeOzoneDoesNotStart() {
    ProbeBench keeper = ProbeBench.required();
    keeper.calibrates("redox-a", 8);
    keeper.windowOpens(WINDOW);
    assertThat(keeper.bench.runs()).isFalse();
    assertThat(keeper.bench.last(Kind.REFUSED).why())
        .startsWith("probe-calibration: redox-b was never calibrated; `calibrate probe redox-b`");
    assertThat(keeper.bench.told("lagoon/state").get("why").toString())
        .startsWith("probe-calibration: redox-b was never calibrated");
    keeper.asks("hold", "name", "ozone", "for", "10 min");
    keeper.calibrates("redox-b", 3);
    keeper.bench.live(600);
    assertThat(keeper.bench.runs()).as("after the hold").isTrue();
  }

  /** HAZARDS F05: day 60, 90, 91. At or over is over. */
  @ParameterizedTest
  @CsvSource({
    "PT1H, false, false",
    "PT1439H55M, false, false", // the first some minutes under 60 d
    "PT1440H0M2S, true, false",
    "PT2159H55M, true, false", // some minutes under 90 d
    "PT2160H0M2S, false, true",
    "PT2184H, false, true", // 91 d
  })
  void itWarnsFromDaySixtyAndForbidsFromDayNinety(
      Duration before, boolean warned, boolean forbidden) {
    ProbeBench keeper = calibrated(ProbeBench.REQUIRED, before);
    keeper.windowOpens(WINDOW);
    assertThat(warns(keeper.bench)).isEqualTo(warned);
    assertThat(forbids(keeper.bench)).isEqualTo(forbidden);
    assertThat(keeper.bench.runs()).isEqualTo(!forbidden);
  }

  /** Of a calibration that nobody asked for the age counts too. */
  /** Both were forgotten in the beaker, where they say what they said when they were calibrated. */
  @Test
  void aProbeThatSaysWhatItSaidInItsSolutionStartsNoOzone() {
    ProbeBench keeper = ProbeBench.required();
    keeper.calibrates("redox-a", 2);
    keeper.calibrates("redox-b", 1);
    keeper.says("redox-a", ProbeBench.ZOBELL + 6);
    keeper.says("redox-b", ProbeBench.ZOBELL + 5);
    keeper.windowOpens(WINDOW);
    keeper.bench.live(900);
    assertThat(keeper.bench.runs()).isFalse();
    assertThat(keeper.bench.last(Kind.REFUSED).why()).contains("is it in there still?");
    keeper.says("redox-a", 320);
    keeper.bench.live(30);
    assertThat(keeper.bench.runs()).as("one is enough").isFalse();
    keeper.says("redox-b", 318);
    keeper.bench.live(30);
    assertThat(keeper.bench.runs()).isTrue();
  }

  @Test
  void oneThatIsThereAgesAlsoWhereNoneIsRequired() {
    ProbeBench keeper = calibrated(ProbeAge.NOT_REQUIRED, Duration.ofDays(91));
    keeper.windowOpens(WINDOW);
    assertThat(keeper.bench.runs()).isFalse();
    assertThat(keeper.bench.last(Kind.REFUSED).why())
        .isEqualTo("probe-calibration: redox-a was calibrated 91 d ago; calibrate it anew");
  }

  @Test
  void theWarningComesOnceInAWindowAlsoOverAStart() {
    ProbeBench keeper = calibrated(ProbeBench.REQUIRED, Duration.ofDays(70));
    keeper.windowOpens(WINDOW);
    keeper.bench.restarts(Duration.ofSeconds(5));
    keeper.bench.connect();
    keeper.bench.live(60);
    assertThat(
            keeper.bench.records(Kind.NOTICE).stream()
                .filter(record -> record.why().startsWith("redox-a was calibrated"))
                .map(AuditRecord::why))
        .containsExactly("redox-a was calibrated 70 d ago; from 90 d on no ozone starts");
  }

  /** A start is forbidden; what runs is no worse than it was a second ago. */
  @Test
  void aDoseThatRunsGoesOnPastDayNinetyAndNoneStartsAfterIt() {
    ProbeBench keeper = calibrated(ProbeBench.REQUIRED, Duration.ofDays(90).minusMinutes(5));
    Bench bench = keeper.bench;
    keeper.windowOpens(WINDOW);
    bench.live(1_200);
    assertThat(bench.runs()).as("20 min later").isTrue();
    bench.redox(366, 366).live(3);
    assertThat(bench.runs()).isFalse();
    bench.redox(320, 322).live(700);
    assertThat(bench.runs()).isFalse();
    assertThat(forbids(bench)).isTrue();
  }

  @Test
  void aStartAndAPowerCutForgetNothing() {
    ProbeBench keeper = calibrated(ProbeBench.REQUIRED, Duration.ofDays(89));
    Bench bench = keeper.bench;
    bench.restarts(Duration.ofMinutes(1));
    assertThat(bench.memory().probes()).containsOnlyKeys("redox-a", "redox-b");
    bench.passes(Duration.ofDays(50));
    bench.reboots(Duration.ofMinutes(1));
    bench.connect();
    keeper.windowOpens(WINDOW);
    assertThat(bench.runs()).isTrue();
    bench.reboots(Duration.ofDays(2));
    bench.connect();
    keeper.windowOpens(WINDOW.plus(Duration.ofDays(3)));
    assertThat(bench.runs()).isFalse();
    assertThat(forbids(bench)).isTrue();
  }

  /** After a power cut the clock says what it likes, until somebody vouches for it. */
  @Test
  void aClockThatNobodyVouchesForMakesNoneYounger() {
    ProbeBench keeper = calibrated(ProbeBench.REQUIRED, Duration.ofDays(95));
    Bench bench = keeper.bench;
    bench.trusted = false;
    bench.reboots(Duration.ofDays(95), WINDOW.minus(Duration.ofDays(94)));
    bench.connect();
    bench.live(900);
    assertThat(bench.runs()).isFalse();
    Duration off = Duration.between(bench.wall, WINDOW.minusSeconds(1_000));
    bench.wall = bench.wall.plus(off);
    bench.trustsClock();
    keeper.windowOpens(WINDOW);
    assertThat(bench.runs()).isFalse();
    assertThat(forbids(bench)).isTrue();
  }

  @Test
  void aClockThatWasSetBackMakesNoneYoungerInTheSameBoot() {
    ProbeBench keeper = calibrated(ProbeBench.REQUIRED, Duration.ofDays(40));
    Bench bench = keeper.bench;
    bench.passes(Duration.ofDays(91));
    bench.stepsClock(Duration.between(bench.wall, WINDOW.minusSeconds(1_000)));
    bench.trustsClock();
    keeper.windowOpens(WINDOW);
    assertThat(bench.runs()).isFalse();
    assertThat(forbids(bench)).isTrue();
  }

  @Test
  void oneThatIsDatedAheadIsNone() {
    ProbeBench keeper = calibrated(ProbeBench.REQUIRED, Duration.ofDays(-30));
    Bench bench = keeper.bench;
    bench.reboots(Duration.ofMinutes(1), WINDOW.minusSeconds(1_000));
    bench.connect();
    keeper.windowOpens(WINDOW);
    assertThat(bench.runs()).isFalse();
    assertThat(bench.last(Kind.REFUSED).why()).contains("at a time that is yet to come");
  }

  @Test
  void oneAgainstAnotherElectrodeIsNone() {
    ProbeBench keeper = calibrated(ProbeBench.REQUIRED, Duration.ofDays(1));
    Bench bench = keeper.bench;
    TankSpec lagoon = ProbeBench.lagoon(ProbeBench.REQUIRED);
    var ozone = Objects.requireNonNull(lagoon.ozone());
    var other =
        new io.github.tidewarden.dosing.OzoneSpec(
            ozone.generator(),
            ozone.ratedMilligramsPerHour(),
            ozone.windows(),
            ozone.mostPerNightNanos(),
            ozone.probes(),
            "Ag/AgCl saturated KCl",
            ozone.startBelowMillivolts(),
            ozone.stopAboveMillivolts(),
            ozone.ceilingMillivolts(),
            ozone.shortestOnNanos(),
            ozone.shortestOffNanos(),
            ozone.quantumNanos(),
            ozone.probeAge(),
            ozone.firstDoseNanos());
    bench.site = new Site(Specs.site(Specs.with(lagoon, other)));
    bench.restarts(Duration.ofSeconds(5));
    bench.connect();
    keeper.windowOpens(WINDOW);
    assertThat(bench.runs()).isFalse();
    assertThat(bench.last(Kind.REFUSED).why())
        .contains("redox-a was calibrated against another reference electrode");
  }
}

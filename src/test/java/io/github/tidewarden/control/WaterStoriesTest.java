package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.time.Duration;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;

/** The exchange of water as a keeper would see it, on the lagoon of the shipped configuration. */
class WaterStoriesTest {
  private static final Duration PORTION = Duration.ofMinutes(20);

  /** Connected, 20 min before the window opens, the level watched. */
  private static WaterBench bench(long seed) {
    WaterBench bench = new WaterBench(seed, WaterBench.OPENS.minusSeconds(1200));
    bench.connects();
    bench.live(1190);
    bench.confirmsBatch();
    return bench;
  }

  private static void untilPhase(WaterBench bench, String phase) {
    assertThat(bench.liveUntil(() -> bench.phase().equals(phase), PORTION)).as(phase).isTrue();
  }

  private static void untilDone(WaterBench bench, int portions) {
    assertThat(bench.liveUntil(() -> bench.records(Kind.FILLED).size() >= portions, PORTION))
        .as("portion %d is done", portions)
        .isTrue();
  }

  @Test
  void aPortionGoesOutAndComesInWithTopOffHeld() {
    WaterBench bench = bench(1);
    assertThat(bench.records(Kind.PORTION)).isEmpty();
    double before = bench.levelMm();

    untilPhase(bench, "DRAINING");
    assertThat(bench.records(Kind.PORTION)).hasSize(1);
    assertThat(bench.liveUntil(() -> bench.on("drain"), Duration.ofSeconds(5))).isTrue();
    assertThat(bench.on("top-off-hold")).isTrue();
    assertThat(bench.on("fill")).isFalse();
    untilPhase(bench, "DRAINED");
    assertThat(bench.drainedLitres).isCloseTo(10.2 / 21, within(0.01));
    untilPhase(bench, "FILLING");
    assertThat(bench.on("drain")).isFalse();
    untilDone(bench, 1);

    assertThat(bench.levelMm()).isCloseTo(before, within(0.6));
    assertThat(bench.toppedWhilePortion).isFalse();
    assertThat(bench.memory().portion()).isNull();
    assertThat(bench.records.stream().map(AuditRecord::kind).filter(WaterStoriesTest::ofWater))
        .containsExactly(Kind.EXCHANGED, Kind.PORTION, Kind.DRAINED, Kind.FILLED);
    bench.live(300);
    assertThat(bench.on("top-off-hold")).as("held for 10 min after it").isTrue();
    assertThat(bench.latches()).isEmpty();
  }

  private static boolean ofWater(Kind kind) {
    return List.of(Kind.PORTION, Kind.DRAINED, Kind.FILLED, Kind.EXCHANGED).contains(kind);
  }

  @Test
  void aDayMeetsItsShareThoughThePumpsAreTenPerCentOff() {
    WaterBench bench = bench(2);
    bench.drainLitresPerMinute = 0.225;
    bench.fillLitresPerMinute = 0.275;
    double low = bench.levelMm();
    double high = bench.levelMm();
    for (int minute = 0; minute < 9 * 60 + 2; minute++) {
      bench.live(60);
      low = Math.min(low, bench.levelMm());
      high = Math.max(high, bench.levelMm());
    }
    assertThat(bench.latches()).isEmpty();
    assertThat(bench.drainedLitres).isCloseTo(10.2, within(0.2));
    assertThat(bench.filledLitres).isCloseTo(10.2, within(0.4));
    assertThat(low).isGreaterThan(180);
    assertThat(high).isLessThan(240);
    assertThat(bench.psu()).isCloseTo(35, within(0.1));
    assertThat(bench.toppedWhilePortion).isFalse();
    AuditRecord account = bench.last(Kind.EXCHANGED);
    assertThat(account.fields()).containsEntry("owed-ml", 10_200L);
    assertThat((Long) account.fields().get("missed-ml")).isLessThan(204);
  }

  @Test
  void aReturnPumpThatStopsInMidPortionIsWaitedFor() {
    WaterBench bench = bench(3);
    untilPhase(bench, "DRAINING");
    assertThat(bench.liveUntil(() -> bench.drainedLitres >= 0.31, PORTION)).isTrue();
    double litresWhenStopped = bench.drainedLitres;
    bench.returnRuns = false;
    bench.live(2);
    assertThat(bench.on("drain")).as("at rest within 2 s").isFalse();
    bench.live(298);
    assertThat(bench.levelMm()).isGreaterThan(270);
    assertThat(bench.on("top-off-hold")).isTrue();
    bench.returnRuns = true;
    bench.live(590);
    assertThat(bench.drainedLitres).isCloseTo(litresWhenStopped, within(0.02));
    assertThat(bench.on("fill")).isFalse();
    untilDone(bench, 1);
    assertThat(bench.latches()).isEmpty();
    assertThat(bench.drainedLitres).as("only the rest").isCloseTo(10.2 / 21, within(0.06));
    assertThat(bench.filledLitres).as("all of it").isCloseTo(bench.drainedLitres, within(0.1));
  }

  @Test
  void killedAtAnySecondOfAPortionNothingIsDrainedTwice() {
    for (int second = 0; second < 420; second += 14) {
      WaterBench bench = bench(100 + second);
      untilPhase(bench, "DRAINING");
      bench.live(second);
      bench.restarts(3);
      bench.connects();
      assertThat(
              bench.liveUntil(
                  () -> bench.memory().portion() == null || !bench.latches().isEmpty(),
                  Duration.ofMinutes(30)))
          .as("killed after %d s", second)
          .isTrue();
      assertThat(bench.latches()).as("killed after %d s", second).isEmpty();
      assertThat(bench.drainedLitres).as("killed after %d s", second).isLessThan(0.5 + 0.07);
      assertThat(bench.filledLitres)
          .as("killed after %d s; what is within doubt, 0.18 L, is not filled", second)
          .isCloseTo(bench.drainedLitres, within(0.2));
    }
  }

  /** With a level that is stuck each start of the program would fill anew. Hazards F14, F40. */
  @Test
  void aProgramThatStartsAgainAndAgainDoesNotFillForEver() {
    WaterBench bench = bench(21);
    untilPhase(bench, "FILLING");
    bench.live(20);
    for (int start = 1; start <= 3; start++) {
      assertThat(bench.latches()).as("start %d", start).isEmpty();
      bench.restarts(5);
      bench.connects();
      bench.live(10);
    }
    assertThat(bench.liveUntil(() -> !bench.latches().isEmpty(), PORTION)).isTrue();
    assertThat(bench.latches()).containsKey("portion-restarted");
    double filled = bench.filledLitres;
    bench.live(900);
    assertThat(bench.filledLitres).isEqualTo(filled);
    bench.asks("reset", "name", "portion-restarted");
    assertThat(bench.memory().portion()).isNull();
    assertThat(bench.latches()).doesNotContainKey("portion-restarted");
  }

  /**
   * Each start in a portion finds every sensor silent. No pump runs then, so that is no loss that
   * counts: the third would latch.
   */
  @Test
  void startsInAPortionLatchNoSensorAsSilent() {
    WaterBench bench = bench(22);
    untilPhase(bench, "DRAINED");
    for (int start = 0; start < 2; start++) {
      bench.restarts(3);
      bench.connects();
      bench.live(60);
    }
    untilDone(bench, 1);
    assertThat(bench.records(Kind.SILENT)).isEmpty();
    assertThat(bench.latches()).isEmpty();
  }

  /** Top-off is let go with the daemon, and it is fresh water that comes in. Hazard F39. */
  @Test
  void waterThatCameWhileTheDaemonWasAwayIsTold() {
    WaterBench bench = bench(23);
    untilPhase(bench, "FILLING");
    bench.restarts(600);
    bench.connects();
    untilDone(bench, 1);
    assertThat(bench.filledLitres).isLessThan(0.25);
    assertThat(bench.last(Kind.NOTICE).fields()).containsEntry(Fields.NAME, "filled-unseen");
    assertThat(bench.last(Kind.NOTICE).why()).contains("measure the salinity");
  }

  /** The same before what went out is known: the portion counts whole, and is told. */
  @Test
  void aPortionThatWasCutOffWhileItWasDrainedCountsWhole() {
    WaterBench bench = bench(26);
    untilPhase(bench, "DRAINED");
    bench.restarts(600);
    bench.connects();
    untilDone(bench, 1);
    assertThat(bench.last(Kind.FILLED).fields())
        .hasEntrySatisfying(Fields.OUT_ML, out -> assertThat((Long) out).isLessThan(200));
    assertThat(bench.memory().drained().spentInNight(java.time.LocalDate.of(2026, 1, 14)))
        .isEqualTo(486);
    assertThat(bench.last(Kind.NOTICE).fields()).containsEntry(Fields.NAME, "drained-unseen");
  }

  /** What was lost while nobody looked is not made good with salt water. Hazards F37, F40. */
  @Test
  void aLevelThatIsLowerThanItWasDrainedToWaitsForTheKeeper() {
    WaterBench bench = bench(24);
    untilPhase(bench, "FILLING");
    bench.sumpLitres -= 0.6; // 5 mm
    bench.restarts(3);
    bench.connects();
    assertThat(bench.liveUntil(() -> !bench.latches().isEmpty(), PORTION)).isTrue();
    assertThat(bench.latches()).containsOnlyKeys("level-disagrees");
    bench.live(900);
    assertThat(bench.filledLitres).as("only before the restart").isLessThan(0.07);
    bench.asks("reset", "name", "level-disagrees");
    assertThat(bench.memory().portion()).isNull();
  }

  /** Skimmate is noted while a portion is on its way to the disk: that record comes first. */
  @Test
  void whatIsWrittenBehindAPortionOnItsWayToTheDiskIsRememberedBehindIt() {
    WaterBench bench = bench(25);
    untilDone(bench, 1);
    bench.diskSlow = true;
    assertThat(
            bench.liveUntil(() -> bench.records(Kind.PORTION).size() == 2, PORTION.multipliedBy(2)))
        .isTrue();
    assertThat(bench.memory().portion()).isNull();
    assertThat(bench.asks("note", "text", "cup", "skimmate", "1 L")).isNull();
    bench.diskSlow = false;
    bench.live(2);
    assertThat(bench.memory().portion()).isNotNull();
    assertThat(bench.memory().salt().salt()).as("of the litre").isBetween(-35_100L, -34_000L);
  }

  @Test
  void aBlockedDrainLatchesAndItsResetEndsThePortion() {
    WaterBench bench = bench(4);
    bench.drainLitresPerMinute = 0;
    assertThat(bench.liveUntil(() -> !bench.latches().isEmpty(), PORTION)).isTrue();
    assertThat(bench.latches()).containsOnlyKeys("drain-blocked");
    assertThat(bench.last(Kind.TRIP).fields()).containsEntry("stops", List.of("exchange"));
    bench.live(600);
    assertThat(bench.filledLitres).isZero();
    bench.drainLitresPerMinute = 0.25;
    bench.asks("reset", "name", "drain-blocked");
    assertThat(bench.latches()).isEmpty();
    assertThat(bench.memory().portion()).isNull();
    untilDone(bench, 1);
  }

  @Test
  void aLeakPutsThePumpsToRestAtOnceAndTheRefillWaitsForTheReset() {
    WaterBench bench = bench(5);
    untilPhase(bench, "FILLING");
    assertThat(bench.liveUntil(() -> bench.on("fill"), PORTION)).isTrue();
    bench.live(20);
    bench.floor = "wet";
    bench.live(2);
    assertThat(bench.on("fill")).isFalse();
    assertThat(bench.latches()).containsOnlyKeys("leak");
    bench.floor = "dry";
    double filled = bench.filledLitres;
    bench.live(900);
    assertThat(bench.filledLitres).isEqualTo(filled);
    bench.asks("reset", "name", "leak");
    untilDone(bench, 1);
    assertThat(bench.filledLitres).isCloseTo(bench.drainedLitres, within(0.1));
  }

  @Test
  void aBrokerThatIsLostEndsTheRunAndThePortionGoesOnLater() {
    WaterBench bench = bench(6);
    untilPhase(bench, "DRAINING");
    bench.live(40);
    bench.event(new Event.LinkDown("gone"));
    bench.live(60);
    assertThat(bench.on("drain")).isFalse();
    bench.connects();
    untilDone(bench, 1);
    assertThat(bench.drainedLitres).isLessThan(0.5 + 0.07);
    assertThat(bench.filledLitres + bench.toppedLitres)
        .as("the hold dropped out in the gap as well")
        .isCloseTo(bench.drainedLitres, within(0.1));
    assertThat(bench.latches()).isEmpty();
  }

  @Test
  void withAFullDiskNoPortionBegins() {
    WaterBench bench = bench(7);
    bench.diskFull = true;
    bench.live(1800);
    assertThat(bench.drainedLitres).isZero();
    assertThat(bench.memory().portion()).isNull();
  }

  @Test
  void aBinThatIsEmptyLeavesAPortionThatNamesTheDryPump() {
    WaterBench bench = bench(8);
    untilPhase(bench, "FILLING");
    bench.fillLitresPerMinute = 0;
    assertThat(bench.liveUntil(() -> !bench.latches().isEmpty(), PORTION)).isTrue();
    assertThat(bench.latches()).containsOnlyKeys("fill-dry");
  }

  /** Hazard F71. */
  @Test
  void aTopOffThatIsHeldForTwoHoursIsReleasedAndThePortionWaitsForAKeeper() {
    WaterBench bench = bench(9);
    untilPhase(bench, "DRAINING");
    bench.live(30);
    bench.returnRuns = false;
    bench.live(7_300);
    assertThat(bench.on("top-off-hold")).isFalse();
    assertThat(bench.latches()).containsOnlyKeys("top-off-released");
    bench.returnRuns = true;
    bench.live(1_800);
    assertThat(bench.on("fill")).isFalse();
    bench.asks("reset", "name", "top-off-released");
    bench.liveUntil(() -> bench.memory().portion() != null, PORTION);
    assertThat(bench.memory().portion().number()).as("the old one is given up").isEqualTo(2);
    untilDone(bench, 1);
  }

  /** A leak or a blocked weir (SAFETY.md F69); the figures are ours. */
  /** What was drained before is not known, so for 24 h no portion begins that the gate denies. */
  @Test
  void afterALogThatCannotBeReadNoPortionBeginsForADay() {
    WaterBench bench = new WaterBench(11, WaterBench.OPENS.minus(Duration.ofHours(20)));
    bench.losesItsPast();
    bench.connects();
    bench.live(60);
    assertThat(bench.asks("reset", "name", "audit-unreadable").done()).isTrue();
    bench.jumpsTo(WaterBench.OPENS.minusSeconds(1200));
    bench.live(1190);
    bench.confirmsBatch();
    bench.live(1800);
    assertThat(bench.records(Kind.PORTION)).isEmpty();
    assertThat(bench.why()).contains("hard limit of 24 h");
    bench.jumpsTo(WaterBench.OPENS.plus(Duration.ofHours(4)).minusSeconds(600));
    bench.live(1800);
    assertThat(bench.records(Kind.PORTION)).isNotEmpty();
    assertThat(bench.latches()).isEmpty();
  }

  @Test
  void aLevelThatFallsThreeMillimetresAMinuteAtRestIsToldAndNothingFills() {
    WaterBench bench = new WaterBench(11, WaterBench.OPENS.minus(Duration.ofHours(2)));
    bench.connects();
    bench.live(1190);
    bench.leakLitresPerMinute = 3 * WaterBench.LITRES_PER_MM;
    assertThat(bench.liveUntil(() -> !bench.latches().isEmpty(), Duration.ofMinutes(3))).isTrue();
    assertThat(bench.latches()).containsOnlyKeys("level-falls");
    bench.live(2);
    assertThat(bench.on("top-off-hold")).isTrue();
    double topped = bench.toppedLitres;
    bench.live(600);
    assertThat(bench.filledLitres).isZero();
    assertThat(bench.toppedLitres).isEqualTo(topped);
  }

  /** A broken wire (SAFETY.md F16): the sensor's heartbeat stays out for 10 min. */
  @Test
  void aLeakSensorThatFallsSilentLetsNoPortionBegin() {
    WaterBench bench = bench(15);
    untilDone(bench, 1);
    bench.floor = "";
    bench.live(3600);
    assertThat(bench.records(Kind.PORTION)).hasSizeLessThanOrEqualTo(2);
    int portions = bench.records(Kind.PORTION).size();
    bench.live(3600);
    assertThat(bench.records(Kind.PORTION)).hasSize(portions);
    assertThat(bench.why()).contains("floor");
    bench.floor = "dry";
    untilDone(bench, portions + 1);
  }

  @Test
  void aLeakHoldsTopOffUntilAKeeperHasSeenToIt() {
    WaterBench bench = bench(12);
    bench.floor = "wet";
    bench.live(3 * 3600);
    assertThat(bench.on("top-off-hold")).isTrue();
    assertThat(bench.on("drain")).isFalse();
  }

  @Test
  void topOffStaysHeldInAPortionThroughARestartThatTheLinkIsSlowToFollow() {
    WaterBench bench = bench(15);
    untilPhase(bench, "DRAINED");
    double topped = bench.toppedLitres;
    bench.restarts(3);
    bench.refusesRuns = true;
    bench.connects();
    assertThat(bench.on("top-off-hold")).as("not let go").isTrue();
    bench.live(3);
    bench.refusesRuns = false;
    bench.live(60);
    assertThat(bench.on("top-off-hold")).isTrue();
    assertThat(bench.toppedLitres).isEqualTo(topped);
    assertThat(bench.records(Kind.SILENT).stream().map(r -> r.fields().get("name")))
        .doesNotContain("top-off-hold-unconfirmed");
  }

  @Test
  @Timeout(60)
  void aHoldThatIsOnUnaskedIsToldToRestAndNotToHold() {
    WaterBench bench = new WaterBench(16, WaterBench.OPENS.minus(Duration.ofHours(2)));
    bench.connects();
    bench.live(1190);
    assertThat(bench.on("top-off-hold")).isFalse();
    bench.says("lab/lagoon/top-off/state", "{\"on\":true}");
    bench.live(60);
    assertThat(bench.on("top-off-hold")).isFalse();
    assertThat(bench.records(Kind.DEVICE)).hasSize(1);
  }

  @Test
  void aPortionLeftBehindByAConfigurationWithoutExchangeHoldsUpNoOzone() {
    WaterBench bench = bench(14);
    untilPhase(bench, "DRAINING");
    bench.wall = WaterBench.OPENS.plus(Duration.ofHours(12)).plusSeconds(1800);
    bench.mono += Duration.ofHours(12).toNanos();
    bench.losesItsExchange();
    bench.connects();
    bench.redox = 320;
    bench.live(700);
    assertThat(bench.memory().portion()).isNotNull();
    assertThat(bench.on("generator")).isTrue();
  }

  @Test
  void whatADayWithoutTheDaemonOwedLapsesAndIsTold() {
    WaterBench bench = bench(10);
    bench.live(600);
    bench.wall = bench.wall.plus(Duration.ofDays(3));
    bench.mono += Duration.ofDays(3).toNanos();
    bench.event(new Event.Stalled(Duration.ofDays(3).toNanos()));
    bench.live(5);
    assertThat(bench.records(Kind.EXCHANGED)).hasSize(4);
    assertThat(bench.last(Kind.EXCHANGED).fields()).containsEntry("missed-ml", 10_200L);
  }
}

package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import io.github.tidewarden.config.ConfigText;
import io.github.tidewarden.exchange.ExchangeSpec;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.util.List;
import java.util.Objects;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/**
 * What an exchange meets beside the textbook's portion, on the lagoon of the shipped configuration:
 * other pumps, leaks at odd times, a return that stops at rest, a bin that fills by itself, nights
 * in which portions follow each other. The figures are ours.
 */
class WaterTroubleTest {
  private static final Duration PORTION = Duration.ofMinutes(20);
  private static final LocalDate NIGHT = LocalDate.of(2026, 1, 14);

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

  private static void untilLatched(WaterBench bench, Duration atMost) {
    assertThat(bench.liveUntil(() -> !bench.latches().isEmpty(), atMost)).as(bench.why()).isTrue();
  }

  /** The exchange of the tank with other pumps, or measured otherwise. */
  private static ExchangeSpec exchange(
      ExchangeSpec.Kind kind, boolean measured, double litresPerMinute, double imbalanceLitres) {
    ExchangeSpec now = WaterBench.lagoon().tanks().get(0).exchange();
    return new ExchangeSpec(
        kind,
        now.litresPerDay(),
        now.portionLitres(),
        now.windows(),
        new ExchangeSpec.Pump("drain", litresPerMinute),
        new ExchangeSpec.Pump("fill", litresPerMinute),
        measured ? now.level() : null,
        now.bin(),
        now.evaporationLitresPerDay(),
        imbalanceLitres,
        now.whileOzone(),
        now.salinitySensor(),
        now.temperatureSensor(),
        now.shares());
  }

  private static void reconfigures(WaterBench bench, ExchangeSpec exchange) {
    bench.reconfigures(exchange);
    bench.connects();
  }

  // The clock.

  /** Hazard F43: the windows are over, and the clock goes back by two hours into one of them. */
  @Test
  void whatHasLapsedIsNotExchangedAfterAStepBack() {
    WaterBench bench = bench(8);
    bench.asks("hold", "name", "exchange", "for", "8 h");
    bench.live(5);
    bench.jumpsTo(WaterBench.OPENS.plus(Duration.ofHours(9)).plusSeconds(30));
    bench.live(10);
    assertThat(bench.last(Kind.EXCHANGED).fields())
        .containsEntry("missed-ml", 10_200L)
        .containsEntry(Fields.NIGHT, NIGHT.toString());
    int accounts = bench.records(Kind.EXCHANGED).size();
    bench.wall = bench.wall.minusSeconds(7200);
    bench.live(3 * 3600);
    assertThat(bench.drainedLitres).isZero();
    assertThat(bench.records(Kind.EXCHANGED)).hasSize(accounts);
    bench.jumpsTo(WaterBench.OPENS.plus(Duration.ofDays(1)).minusSeconds(1200));
    bench.live(2400);
    assertThat(bench.records(Kind.PORTION)).as("the next night").isNotEmpty();
  }

  /** Two days back: neither the night that lapsed nor the one before is exchanged any more. */
  @Test
  void whatHasLapsedIsNotExchangedAfterAStepBackOfTwoDays() {
    WaterBench bench = bench(26);
    bench.asks("hold", "name", "exchange", "for", "8 h");
    bench.live(5);
    bench.jumpsTo(WaterBench.OPENS.plus(Duration.ofHours(9)).plusSeconds(30));
    bench.live(10);
    int accounts = bench.records(Kind.EXCHANGED).size();
    bench.wall = bench.wall.minus(Duration.ofHours(50));
    bench.live(3 * 3600);
    bench.jumpsTo(WaterBench.OPENS.plusSeconds(60));
    bench.live(3 * 3600);
    assertThat(bench.records(Kind.PORTION)).isEmpty();
    assertThat(bench.records(Kind.EXCHANGED)).hasSize(accounts);
    bench.jumpsTo(WaterBench.OPENS.plus(Duration.ofDays(1)).minusSeconds(1200));
    bench.live(2400);
    assertThat(bench.records(Kind.PORTION)).as("the next night").isNotEmpty();
  }

  /** It goes back in mid-portion, over an account that was closed: what is out comes in again. */
  @Test
  void aPortionInAWindowThatHasClosedIsFilledAndTakesNoMoreOut() {
    WaterBench bench = bench(9);
    assertThat(bench.liveUntil(() -> bench.on("drain"), PORTION)).isTrue();
    bench.live(30);
    bench.wall = bench.wall.plus(Duration.ofHours(10));
    bench.live(2);
    bench.wall = bench.wall.minus(Duration.ofHours(10));
    double out = bench.drainedLitres;
    assertThat(bench.liveUntil(() -> !bench.records(Kind.FILLED).isEmpty(), PORTION)).isTrue();
    assertThat(bench.drainedLitres).isCloseTo(out, within(0.02));
    bench.live(3600);
    assertThat(bench.records(Kind.PORTION)).hasSize(1);
  }

  /** A clock that was days ahead must not end the exchange until it gets there again. */
  @Test
  void aClockThatWasDaysAheadCostsOneNightAtMost() {
    WaterBench bench = bench(10);
    bench.wall = bench.wall.plus(Duration.ofDays(40));
    bench.live(10);
    bench.wall = bench.wall.minus(Duration.ofDays(40));
    bench.live(10);
    assertThat(bench.last(Kind.EXCHANGED).why()).startsWith("the clock was ahead by days");
    assertThat(bench.memory().accounted()).isEqualTo(NIGHT.minusDays(1));
    assertThat(bench.liveUntil(() -> !bench.records(Kind.PORTION).isEmpty(), PORTION)).isTrue();
  }

  // Pumps.

  /** Nobody has measured the new heads: what the old ones moved says nothing of them. */
  @Test
  void aRateThatIsChangedEndsWhatWasCalibrated() {
    WaterBench bench = bench(1);
    reconfigures(bench, exchange(ExchangeSpec.Kind.PAIRED, false, 0.25, 1.7));
    bench.live(2);
    for (String pump : List.of("drain", "fill")) {
      assertThat(bench.asks("calibrate", "name", pump, "measured", "500 mL", "for", "120 s").done())
          .isTrue();
    }
    reconfigures(bench, exchange(ExchangeSpec.Kind.PAIRED, false, 1, 1.7));
    bench.drainLitresPerMinute = 1;
    bench.fillLitresPerMinute = 1;
    bench.live(9 * 3600);
    assertThat(bench.latches()).isEmpty();
    assertThat(bench.drainedLitres).isBetween(9.0, 11.0);
  }

  /** Heads of which the file says a quarter of what they move. */
  @Test
  void aBinThatLosesFourPortionsForOneIsNoNoise() {
    WaterBench bench = bench(2);
    reconfigures(bench, exchange(ExchangeSpec.Kind.PAIRED, false, 0.1, 1.7));
    bench.drainLitresPerMinute = 1;
    bench.fillLitresPerMinute = 1;
    untilLatched(bench, Duration.ofHours(1));
    assertThat(bench.latches()).containsOnlyKeys("fill-runs-on");
    assertThat(bench.drainedLitres).isLessThan(5.5);
    bench.asks("reset", "name", "fill-runs-on");
    bench.live(120);
    assertThat(bench.latches()).isEmpty();
  }

  /** Hazard F38 with two heads and no level: the bin does not lose what it should. */
  @Test
  void aDryFillHeadWithoutALevelIsSeenByTheBin() {
    WaterBench bench = bench(3);
    reconfigures(bench, exchange(ExchangeSpec.Kind.PAIRED, false, 0.25, 1.7));
    bench.fillLitresPerMinute = 0;
    untilLatched(bench, Duration.ofHours(3));
    assertThat(bench.latches()).containsOnlyKeys("fill-dry");
    assertThat(bench.drainedLitres).isLessThan(2.5);
  }

  @Test
  void aPortionThatNothingMeasuresAnyMoreWaitsForTheKeeper() {
    WaterBench bench = bench(4);
    untilPhase(bench, "FILLING");
    reconfigures(bench, exchange(ExchangeSpec.Kind.PAIRED, false, 0.25, 1.7));
    untilLatched(bench, PORTION);
    assertThat(bench.latches()).containsOnlyKeys("level-disagrees");
  }

  /** Levels that are on record are worth other litres from then on. */
  @ParameterizedTest
  @ValueSource(strings = {"DRAINING", "FILLING"})
  void aPortionThatIsMeasuredOtherwiseThanItWasBegunWaitsForTheKeeper(String phase) {
    WaterBench bench = bench(4);
    untilPhase(bench, phase);
    bench.live(20);
    ExchangeSpec as = exchange(ExchangeSpec.Kind.PORTIONS, true, 0.25, 1.7);
    reconfigures(bench, measuredBy(as, 0.06));
    untilLatched(bench, PORTION);
    assertThat(bench.latches()).containsOnlyKeys("level-disagrees");
    assertThat(bench.last(Kind.TRIP).why()).contains("1 mm of the level is 60 mL", "120 mL");
    double drained = bench.drainedLitres;
    double filled = bench.filledLitres;
    bench.live(900);
    assertThat(bench.drainedLitres).isEqualTo(drained);
    assertThat(bench.filledLitres).isEqualTo(filled);
    bench.asks("reset", "name", "level-disagrees");
    assertThat(bench.memory().portion()).isNull();
    int done = bench.records(Kind.FILLED).size();
    assertThat(
            bench.liveUntil(
                () -> bench.records(Kind.FILLED).size() > done, PORTION.multipliedBy(2)))
        .isTrue();
  }

  private static ExchangeSpec measuredBy(ExchangeSpec as, double litresPerMillimetre) {
    ExchangeSpec.Level level = as.level();
    return new ExchangeSpec(
        as.kind(),
        as.litresPerDay(),
        as.portionLitres(),
        as.windows(),
        as.drain(),
        as.fill(),
        new ExchangeSpec.Level(
            level.sensor(), litresPerMillimetre, level.lowMillimetres(), level.highMillimetres()),
        as.bin(),
        as.evaporationLitresPerDay(),
        as.imbalanceLitres(),
        as.whileOzone(),
        as.salinitySensor(),
        as.temperatureSensor(),
        as.shares());
  }

  /** Of a portion less than half came in, and with the next one the limit could be passed. */
  @Test
  void outAndInThatAreTooFarApartWaitForTheKeeper() {
    WaterBench bench = new WaterBench(5, WaterBench.OPENS.minusSeconds(1200));
    reconfigures(bench, exchange(ExchangeSpec.Kind.PORTIONS, true, 0.25, 0.73));
    bench.live(1190);
    bench.confirmsBatch();
    assertThat(bench.liveUntil(() -> bench.filledLitres > 0.2, Duration.ofMinutes(30))).isTrue();
    bench.fillLitresPerMinute = 0;
    untilLatched(bench, Duration.ofHours(1));
    assertThat(bench.latches()).containsOnlyKeys("out-and-in-apart");
    assertThat(bench.last(Kind.TRIP).why()).contains("apart");
    bench.fillLitresPerMinute = 0.25;
    bench.asks("reset", "name", "out-and-in-apart");
    assertThat(bench.memory().apartMillilitres()).isZero();
    int done = bench.records(Kind.FILLED).size();
    assertThat(bench.liveUntil(() -> bench.records(Kind.FILLED).size() > done, PORTION)).isTrue();
  }

  // Leaks.

  /** The level is watched also while a portion waits. Hazards F37, F69. */
  @ParameterizedTest
  @ValueSource(ints = {20, 180})
  void aLeakIsToldWhileAPortionWaitsForItsKeeper(int minutesLater) {
    WaterBench bench = bench(6);
    bench.drainLitresPerMinute = 0;
    untilLatched(bench, PORTION);
    bench.live(minutesLater * 60);
    bench.leakLitresPerMinute = 0.36;
    bench.topsOff = minutesLater < 60; // after two hours its hold is over, and would hide a leak
    assertThat(
            bench.liveUntil(
                () -> bench.latches().containsKey("level-falls"), Duration.ofMinutes(3)))
        .isTrue();
    assertThat(bench.filledLitres).isZero();
  }

  @Test
  void aLeakRightAfterAPortionIsToldWithinSixMinutes() {
    WaterBench bench = bench(7);
    assertThat(bench.liveUntil(() -> !bench.records(Kind.FILLED).isEmpty(), PORTION)).isTrue();
    bench.leakLitresPerMinute = 0.36;
    untilLatched(bench, Duration.ofMinutes(6));
    assertThat(bench.latches()).containsOnlyKeys("level-falls");
  }

  /** What was latched for longer than top-off may be held counts for nothing. */
  @Test
  void aLeakThatIsResetInTheMorningLeavesThePortionToBeFilled() {
    WaterBench bench = bench(8);
    untilPhase(bench, "FILLING");
    bench.live(5);
    bench.floor = "wet";
    bench.live(5);
    bench.floor = "dry";
    bench.live(7300);
    bench.asks("reset", "name", "leak");
    bench.live(1);
    assertThat(bench.latches()).isEmpty();
    assertThat(bench.on("top-off-hold")).isTrue();
    assertThat(bench.liveUntil(() -> !bench.records(Kind.FILLED).isEmpty(), PORTION)).isTrue();
    assertThat(bench.toppedWhilePortion).isFalse();
  }

  /** The rest that greets every device at a new connection is no word for this one. */
  @Test
  void topOffIsNotLetGoByANewConnectionWhileALeakIsLatched() {
    WaterBench bench = bench(9);
    bench.floor = "wet";
    bench.live(60);
    assertThat(bench.on("top-off-hold")).isTrue();
    bench.event(new Event.LinkDown("gone"));
    bench.live(2);
    bench.refusesRuns = true;
    bench.connects();
    assertThat(bench.on("top-off-hold")).isTrue();
    bench.live(3);
    assertThat(bench.on("top-off-hold")).isTrue();
  }

  // Top-off and return.

  /** A batch that comes late: portions follow each other without a pause. */
  @Test
  void portionsThatFollowEachOtherLetTopOffHaveItsTurn() {
    WaterBench bench = new WaterBench(10, WaterBench.OPENS.minusSeconds(1200));
    bench.connects();
    bench.live(1190);
    bench.live(5 * 3600);
    bench.confirmsBatch();
    double topped = bench.toppedLitres;
    bench.live(4 * 3600);
    assertThat(bench.latches()).isEmpty();
    assertThat(bench.records(Kind.FILLED)).hasSizeGreaterThan(19);
    assertThat(bench.toppedLitres - topped).as("made good in 4 h").isGreaterThan(0.2);
    assertThat(bench.toppedWhilePortion).isFalse();
    assertThat(bench.levelMm()).isGreaterThan(205);
  }

  /** Hazard F71: held in mid-portion for the return that stands still, with a broker that flaps. */
  @Test
  void aLinkThatComesAndGoesDoesNotBeginTheTwoHoursOfTopOffAnew() {
    WaterBench bench = bench(16);
    untilPhase(bench, "DRAINED");
    bench.returnRuns = false;
    int longest =
        longestHold(
            bench,
            Duration.ofHours(4),
            Duration.ofMinutes(100),
            () -> {
              bench.event(new Event.LinkDown("gone"));
              bench.live(2);
              bench.connects();
            });
    assertThat(longest).isBetween(6_000, 7_200);
    assertThat(bench.latches()).containsOnlyKeys("top-off-released");
  }

  /**
   * The same with no portion under way, and a program that begins again and again: it is held as
   * long as ever, but for what the first start does not know of the half hour before it.
   */
  @ParameterizedTest
  @ValueSource(ints = {1, 9, 25, 110})
  void startsOfTheProgramDoNotBeginTheTwoHoursOfTopOffAnew(int minutes) {
    WaterBench bench = bench(17);
    bench.asks("hold", "name", "exchange", "for", "12 h");
    bench.live(600);
    bench.returnRuns = false;
    int longest =
        longestHold(
            bench,
            Duration.ofHours(4),
            Duration.ofMinutes(minutes),
            () -> {
              bench.restarts(5);
              bench.connects();
            });
    assertThat(longest).isBetween(5_400, 7_200);
    assertThat(bench.latches()).isEmpty();
    assertThat(bench.records(Kind.NOTICE)).isNotEmpty();
  }

  /** Once it has had its pause the two hours are whole again, also over a start. */
  @Test
  void aPauseOfTopOffIsRemembered() {
    WaterBench bench = bench(18);
    assertThat(bench.records(Kind.TOP_OFF_HELD))
        .extracting(record -> record.fields().get(Fields.HELD_MS))
        .as("the start, and the pause after it")
        .containsExactly(1_800_000L, 0L);
    bench.asks("hold", "name", "exchange", "for", "12 h");
    bench.asks("hold", "name", "top-off", "for", "100 min");
    bench.live(3_700);
    assertThat(Objects.requireNonNull(bench.memory().topOffHeld()).amount()).isEqualTo(3_600_000);
    bench.isWithoutPower(Duration.ofSeconds(30));
    bench.connects();
    bench.live(1);
    assertThat(Objects.requireNonNull(bench.memory().topOffHeld()).amount())
        .as("what passed since by the wall clock is no half hour")
        .isEqualTo(3_600_000);
    bench.live(1_700);
    assertThat(Objects.requireNonNull(bench.memory().topOffHeld()).amount()).isEqualTo(5_400_000);
  }

  /** For how many seconds in a row top-off was held at most; every so often something happens. */
  private static int longestHold(WaterBench bench, Duration time, Duration every, Runnable what) {
    int longest = 0;
    int held = 0;
    for (int second = 1; second <= time.toSeconds(); second++) {
      if (second % every.toSeconds() == 0) {
        what.run();
      }
      bench.live(1);
      held = bench.on("top-off-hold") ? held + 1 : 0;
      longest = Math.max(longest, held);
    }
    return longest;
  }

  /** Hazard F68, with no portion under way. */
  @Test
  void aReturnThatStoppedAtRestIsWaitedForTenMinutes() {
    WaterBench bench = bench(11);
    assertThat(bench.liveUntil(() -> !bench.records(Kind.FILLED).isEmpty(), PORTION)).isTrue();
    bench.live(660);
    assertThat(bench.on("top-off-hold")).isFalse();
    bench.returnRuns = false;
    bench.live(900);
    assertThat(bench.on("top-off-hold")).isTrue();
    bench.returnRuns = true;
    bench.live(595);
    assertThat(bench.on("top-off-hold")).isTrue();
    assertThat(bench.records(Kind.PORTION)).hasSize(1);
    assertThat(bench.liveUntil(() -> bench.records(Kind.PORTION).size() == 2, PORTION)).isTrue();
    assertThat(bench.latches()).isEmpty();
  }

  /** A hold that says nothing of itself is none. */
  @Test
  void noPumpRunsWhileTheHoldOnTopOffIsNotConfirmed() {
    WaterBench bench = bench(12);
    bench.holdMute = true;
    bench.live(1800);
    assertThat(bench.why()).containsAnyOf("top-off is held", "top-off could not be held");
    assertThat(bench.records(Kind.PORTION)).as("and none begins").isEmpty();
    assertThat(bench.drainedLitres).isZero();
    assertThat(bench.filledLitres).isZero();
  }

  /** Also before its water is known to be out: each start would hold top-off anew. */
  @Test
  void aProgramThatStartsAgainAndAgainWhileItDrainsWaitsForTheKeeper() {
    WaterBench bench = bench(13);
    untilPhase(bench, "DRAINING");
    for (int start = 0; start < 3; start++) {
      bench.restarts(5);
      bench.connects();
      bench.live(10);
    }
    assertThat(bench.latches()).containsOnlyKeys("portion-restarted");
  }

  /**
   * Two faults at once: the level sticks when the fill begins, and the program is killed at the end
   * of each fill. What goes in more than went out stays under the limit of 1.7 L, also with
   * portions that are nearly as large.
   */
  @ParameterizedTest
  @CsvSource({
    "0.5, 0, level-stuck", "0.5, 1, level-stuck", "0.5, 2, level-stuck",
    "1.5, 0, level-stuck", "1.5, 1, level-stuck", "1.5, 2, portion-restarted"
  })
  void aStuckLevelAndStartsInTheFillDoNotPassTheLimitOfOutAndIn(
      double portionLitres, int kills, String latch) {
    WaterBench bench = new WaterBench(5, WaterBench.OPENS.minusSeconds(1200));
    bench.reconfigures(withPortions(portionLitres, 1.7));
    bench.connects();
    bench.live(1190);
    bench.confirmsBatch();
    assertThat(bench.liveUntil(() -> bench.on("fill"), PORTION.multipliedBy(2))).isTrue();
    bench.stuckMm = bench.levelMm();
    bench.noiseMm = 0;
    for (int kill = 0; kill < kills && bench.latches().isEmpty(); kill++) {
      double filled = bench.filledLitres;
      bench.liveUntil(() -> !bench.on("fill") && bench.filledLitres > filled, PORTION);
      bench.restarts(5);
      bench.connects();
      bench.liveUntil(() -> bench.on("fill") || !bench.latches().isEmpty(), PORTION);
    }
    untilLatched(bench, Duration.ofHours(1));
    assertThat(bench.latches()).containsOnlyKeys(latch);
    assertThat(bench.filledLitres - bench.drainedLitres).isBetween(0.2, 1.7);
  }

  private static ExchangeSpec withPortions(double litres, double imbalanceLitres) {
    ExchangeSpec now = WaterBench.lagoon().tanks().get(0).exchange();
    return new ExchangeSpec(
        now.kind(),
        now.litresPerDay(),
        litres,
        now.windows(),
        now.drain(),
        now.fill(),
        now.level(),
        now.bin(),
        now.evaporationLitresPerDay(),
        imbalanceLitres,
        now.whileOzone(),
        now.salinitySensor(),
        now.temperatureSensor(),
        now.shares());
  }

  /** Hazard F45, where nothing can hold top-off: 0.25 L/min are 2 mm a minute. */
  @Test
  void aFillThatIsWeldedOnIsToldAlsoInATankThatIsToppedOffByHand() {
    String hold =
        "    top-off: { hold: { kind: relay, topic: lab/lagoon/top-off/hold,"
            + " state: lab/lagoon/top-off/state } }";
    ConfigText text = ConfigText.lab();
    WaterBench bench =
        new WaterBench(
            WaterBench.lagoon(
                text.with(hold, "    #")
                    .with("    without: {", "    without: { top-off: by hand,")),
            5,
            WaterBench.OPENS.minusSeconds(1200));
    bench.topsOff = false;
    bench.connects();
    bench.live(600);
    bench.sumpLitres += 2;
    bench.live(600);
    assertThat(bench.latches()).as("a keeper pours in 2 L").isEmpty();
    bench.leakLitresPerMinute = -0.25;
    untilLatched(bench, Duration.ofMinutes(10));
    assertThat(bench.latches()).containsOnlyKeys("level-rises");
    assertThat(bench.levelMm()).isLessThan(245);
  }

  /** Hazard F60: a reset would give the portion up, and latch again in the same cycle. */
  @Test
  void aResetWhileTheLevelFallsOrIsNotKnownIsRefused() {
    WaterBench bench = bench(19);
    bench.asks("hold", "name", "exchange", "for", "10 h");
    bench.live(700);
    bench.leakLitresPerMinute = 0.36;
    untilLatched(bench, Duration.ofMinutes(5));
    Effect.Answer answer = bench.asks("reset", "name", "level-falls");
    assertThat(answer.done()).isFalse();
    assertThat(answer.what())
        .matches("the level falls \\d\\.\\d mm a minute with everything at rest");
    bench.leakLitresPerMinute = 0;
    bench.jumpsTo(bench.wall.plusSeconds(300));
    assertThat(bench.asks("reset", "name", "level-falls").what())
        .matches("sump is silent for \\d+ s, so nobody knows whether it still moves");
    bench.live(130);
    assertThat(bench.asks("reset", "name", "level-falls").what())
        .as("a silent return may have stood still")
        .startsWith("the level is not seen at rest yet");
    bench.live(600);
    assertThat(bench.asks("reset", "name", "level-falls").done()).isTrue();
    bench.live(300);
    assertThat(bench.latches()).isEmpty();
  }

  // The bin.

  /**
   * Hazard F70, drop by drop: 0.12 L/min of fresh water into 22 L, as much as is drawn and more.
   */
  @Test
  void aBinThatFillsByItselfIsSeen() {
    WaterBench bench = new WaterBench(14, WaterBench.OPENS.minusSeconds(1200));
    bench.binLitres = 22;
    bench.connects();
    bench.live(1190);
    bench.confirmsBatch();
    assertThat(drips(bench, 0.12, 90)).isTrue();
    assertThat(bench.binLitres).isLessThan(32);
  }

  /** No faster than it is drawn, so that it never rises: its ledger says that it should fall. */
  @Test
  void aBinThatNeverFallsIsSeenToo() {
    WaterBench bench = new WaterBench(15, WaterBench.OPENS.minusSeconds(1200));
    bench.binLitres = 100;
    bench.connects();
    bench.live(1190);
    bench.confirmsBatch();
    assertThat(drips(bench, 10.2 / 540, 540)).isFalse();
    bench.jumpsTo(WaterBench.OPENS.plus(Duration.ofDays(1)).minusSeconds(1200));
    bench.live(1200);
    assertThat(drips(bench, 10.2 / 540, 540)).isTrue();
  }

  private static boolean drips(WaterBench bench, double litresPerMinute, int minutes) {
    for (int minute = 0; minute < minutes && bench.records(Kind.NEW_WATER).isEmpty(); minute++) {
      bench.binPsu *= bench.binLitres / (bench.binLitres + litresPerMinute);
      bench.binLitres += litresPerMinute;
      bench.live(60);
    }
    return !bench.records(Kind.NEW_WATER).isEmpty();
  }

  // What is told.

  /** Two portions that are killed while they drain: what really went out, and what is missed. */
  @Test
  void theAccountTellsWhatWentOutAndNotWhatCouldHave() {
    WaterBench bench = bench(16);
    for (int killed = 1; killed <= 2; killed++) {
      int done = killed;
      assertThat(bench.liveUntil(() -> bench.on("drain"), Duration.ofMinutes(40))).isTrue();
      bench.live(20);
      bench.restarts(3);
      bench.connects();
      assertThat(bench.liveUntil(() -> bench.records(Kind.FILLED).size() == done, PORTION))
          .isTrue();
    }
    bench.live(9 * 3600);
    AuditRecord account = bench.last(Kind.EXCHANGED);
    long out = (Long) account.fields().get(Fields.OUT_ML);
    assertThat(out / 1000.0).isCloseTo(bench.drainedLitres, within(0.4));
    assertThat(account.fields()).containsEntry("missed-ml", 10_200 - out);
    assertThat(account.fields()).containsEntry("week-out-ml", out);
  }

  @Test
  void aPortionThatWasGivenUpStandsInTheLedger() {
    WaterBench bench = bench(17);
    bench.fillLitresPerMinute = 0;
    untilLatched(bench, PORTION);
    bench.asks("reset", "name", "fill-dry");
    assertThat(bench.memory().ledger().outMillilitres(NIGHT))
        .isCloseTo(Math.round(1000 * bench.drainedLitres), within(60L));
  }

  /** The year's sums begin anew on 1 January. */
  @Test
  void theNewYearBeginsWithNothing() {
    WaterBench bench = new WaterBench(18, Instant.parse("2025-12-31T12:40:00Z"));
    bench.connects();
    bench.live(1190);
    bench.confirmsBatch();
    assertThat(bench.liveUntil(() -> bench.records(Kind.FILLED).size() == 1, PORTION)).isTrue();
    bench.jumpsTo(Instant.parse("2026-01-04T23:00:00Z"));
    bench.live(5);
    AuditRecord last = bench.last(Kind.EXCHANGED);
    assertThat(last.fields()).containsEntry(Fields.NIGHT, "2026-01-04");
    assertThat(last.fields()).containsEntry("year-out-ml", 0L);
    assertThat(bench.records(Kind.EXCHANGED).get(1).fields())
        .hasEntrySatisfying("year-out-ml", out -> assertThat((Long) out).isPositive());
  }

  /** Not that at last no portion fitted the window any more. */
  @Test
  void theAccountTellsWhatHeldUpThePortions() {
    WaterBench bench = bench(19);
    bench.diskFull = true;
    bench.live(9 * 3600 - 60);
    bench.diskFull = false;
    bench.live(180);
    assertThat(bench.last(Kind.EXCHANGED).why()).isEqualTo("no portion can be recorded");
  }

  private static @Nullable String latched(WaterBench bench) {
    untilLatched(bench, PORTION);
    return bench.latches().keySet().iterator().next();
  }

  /** A calm sensor that tells whole millimetres is not stuck when it has moved by one. */
  @Test
  void aCoarseSensorThatHasMovedIsNotStuck() {
    WaterBench bench = new WaterBench(20, WaterBench.OPENS.minusSeconds(1200));
    bench.noiseMm = 0;
    bench.stepMm = 1;
    bench.evaporationLitresPerDay = 0;
    bench.connects();
    bench.live(1190);
    bench.confirmsBatch();
    bench.drainLitresPerMinute = 0.045;
    assertThat(latched(bench)).isEqualTo("drain-blocked");
  }
}

package io.github.tidewarden.exchange;

import static io.github.tidewarden.exchange.Exchange.Phase.ASKING;
import static io.github.tidewarden.exchange.Exchange.Phase.DRAINED;
import static io.github.tidewarden.exchange.Exchange.Phase.DRAINING;
import static io.github.tidewarden.exchange.Exchange.Phase.FILLED;
import static io.github.tidewarden.exchange.Exchange.Phase.FILLING;
import static io.github.tidewarden.exchange.Exchange.Phase.HOLDING;
import static io.github.tidewarden.exchange.Exchange.Phase.IDLE;
import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;
import static org.assertj.core.api.Assertions.within;

import io.github.tidewarden.exchange.Exchange.Outcome;
import io.github.tidewarden.sensing.Quality;
import java.time.Duration;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** Portions as timed stories: from due to done, and held up. */
class ExchangeTest {
  private static final long MINUTE = ExchangeBench.MINUTE;

  /**
   * Two means of 90 readings with 1 mm of noise differ by 0.15 mm, or 18 mL; this is five times.
   */
  private static final double LEVEL_LITRES = 0.09;

  private final ExchangeBench bench = new ExchangeBench(ExchangeBench.PORTIONS, 1);

  @Test
  void aPortionGoesOutThenInAndTheLevelIsBack() {
    bench.until(ASKING);
    assertThat(bench.proposal.why()).isEqualTo("a portion of 0.5 L is due");
    assertThat(bench.draining).isFalse();
    bench.until(DRAINING);
    assertThat(bench.proposal.why()).isEqualTo("a portion of 0.5 L goes out");
    assertThat(bench.proposal.drainNanos()).isEqualTo(2 * MINUTE);
    bench.until(DRAINED);
    assertThat(bench.sump.outLitres).isEqualTo(0.5, within(1e-9));
    long drained = bench.mono;
    bench.until(() -> bench.portion.stage() == Portion.Stage.FILLING);
    assertThat(bench.mono - drained).isEqualTo(90 * ExchangeBench.SECOND);
    assertThat(bench.sump.inLitres).isZero();
    bench.until(FILLED).untilDone();
    assertThat(bench.sump.outLitres).isEqualTo(0.5, within(1e-9));
    assertThat(bench.sump.inLitres).isEqualTo(0.5, within(LEVEL_LITRES));
    assertThat(bench.outLitres).isEqualTo(0.5, within(LEVEL_LITRES));
    assertThat(bench.outcomes)
        .hasExactlyElementsOfTypes(
            Outcome.Reserve.class, Outcome.Drained.class, Outcome.Done.class);
    bench.seconds(600);
    assertThat(bench.proposal.why()).isEqualTo("nothing is due");
    assertThat(bench.portion).isNull();
  }

  /** A reservation that is not yet on disk moves no water, and is told again. */
  @Test
  void nothingRunsBeforeThePortionIsOnDisk() {
    for (int second = 0; second < 300; second++) {
      Exchange.Proposal proposal = bench.propose();
      assertThat(proposal.drain() || proposal.fill()).isFalse();
      bench.pass();
    }
    assertThat(bench.phase()).isEqualTo(ASKING);
    bench.dueLitres = 0;
    bench.second();
    assertThat(bench.phase()).isEqualTo(IDLE);
    assertThat(bench.sump.outLitres).isZero();
  }

  /** What is told once and not folded is told again, and nothing goes on before. */
  @Test
  void nothingComesInBeforeItIsOnDiskWhatCameOut() {
    bench.until(DRAINED);
    for (int second = 0; second < 300; second++) {
      assertThat(bench.propose().fill()).isFalse();
      bench.pass();
    }
    assertThat(bench.proposal.outcome()).isInstanceOf(Outcome.Drained.class);
    assertThat(bench.phase()).isEqualTo(DRAINED);
    bench.until(FILLED);
    for (int second = 0; second < 300; second++) {
      assertThat(bench.propose().fill()).isFalse();
      bench.pass();
    }
    assertThat(bench.proposal.outcome()).isInstanceOf(Outcome.Done.class);
    assertThat(bench.phase()).isEqualTo(FILLED);
    bench.untilDone();
    assertThat(bench.sump.inLitres).isEqualTo(0.5, within(LEVEL_LITRES));
  }

  /** What stands above the weir drains into the sump: it holds at once, and the portion waits. */
  @Test
  void theReturnStopsInMidPortion() {
    bench.until(DRAINING).until(() -> bench.sump.outLitres >= 0.31);
    assertThat(bench.sump.outLitres).isEqualTo(0.31, within(0.005));
    bench.sump.returnRuns = false;
    bench.stops = List.of("circulation-lost");
    bench.seconds(1);
    double drained = bench.sump.outLitres;
    assertThat(bench.proposal.why()).isEqualTo("circulation-lost");
    bench.seconds(89);
    assertThat(bench.sump.reading()).as("the sump has risen").isEqualTo(283.4, within(6.0));
    bench.seconds(210);
    bench.sump.returnRuns = true;
    bench.seconds(600);
    assertThat(bench.sump.outLitres).as("pumps at rest all the time").isEqualTo(drained);
    assertThat(bench.phase()).isEqualTo(DRAINING);
    bench.stops = List.of();
    bench.until(DRAINED);
    assertThat(bench.sump.outLitres).as("only the rest").isEqualTo(0.5, within(0.005));
    bench.until(FILLING).untilDone();
    assertThat(bench.faults).isEmpty();
    assertThat(bench.sump.outLitres).isEqualTo(0.5, within(0.005));
    assertThat(bench.sump.inLitres).as("the full portion").isEqualTo(0.5, within(LEVEL_LITRES));
  }

  @ParameterizedTest
  @ValueSource(doubles = {0.02, 0.1, 0.25, 0.4})
  void theReturnStopsWhileItFills(double filledLitres) {
    bench.until(FILLING).until(() -> bench.sump.inLitres >= filledLitres);
    bench.sump.returnRuns = false;
    bench.stops = List.of("circulation-lost");
    bench.seconds(300);
    bench.sump.returnRuns = true;
    bench.seconds(600);
    assertThat(bench.phase()).isEqualTo(DRAINED);
    assertThat(bench.sump.inLitres).isEqualTo(filledLitres, within(0.005));
    bench.stops = List.of();
    bench.untilDone();
    assertThat(bench.faults).isEmpty();
    // It stops early by what the pump moves in 20 s, since the mean of 40 s lags by that.
    assertThat(bench.sump.inLitres).isBetween(0.5 - LEVEL_LITRES - 0.084, 0.5 + LEVEL_LITRES);
  }

  /** Whatever the phase, the water waits for as long as it takes, and no latch comes of it. */
  @ParameterizedTest
  @CsvSource({"DRAINED", "FILLED"})
  void theReturnStopsWhileTheLevelIsJudged(Exchange.Phase phase) {
    bench.until(phase).seconds(30);
    bench.sump.returnRuns = false;
    bench.stops = List.of("circulation-lost");
    bench.seconds(300);
    bench.sump.returnRuns = true;
    bench.seconds(600);
    assertThat(bench.phase()).isEqualTo(phase);
    bench.stops = List.of();
    bench.untilDone();
    assertThat(bench.faults).isEmpty();
    assertThat(bench.sump.inLitres).isEqualTo(0.5, within(LEVEL_LITRES));
  }

  /** After 2 h the rest is left in the tank, and what came out is filled again. */
  @Test
  void aDrainThatIsHeldUpTooLongIsTakenAsItIs() {
    bench.until(DRAINING).until(() -> bench.sump.outLitres >= 0.3);
    bench.stops = List.of("circulation-lost");
    bench.seconds(2 * 3600);
    assertThat(bench.phase()).isEqualTo(DRAINED);
    bench.stops = List.of();
    bench.untilDone();
    assertThat(bench.faults).isEmpty();
    assertThat(bench.sump.outLitres).isEqualTo(0.3, within(0.005));
    assertThat(bench.sump.inLitres).isEqualTo(0.3, within(LEVEL_LITRES));
    assertThat(bench.outLitres).isEqualTo(0.3, within(LEVEL_LITRES));
    bench.second();
    assertThat(bench.phase()).as("the rest is due again").isEqualTo(ASKING);
  }

  /** What others share is theirs meanwhile: it is in turn for five minutes of fifteen, the last. */
  @Test
  void aHoldThatCannotBeHadIsGivenUpAndTriedAgain() {
    bench.topOffHeld = false;
    bench.until(HOLDING);
    long began = bench.now().monoNanos();
    long waited = bench.state.waitsNanos();
    bench.until(IDLE);
    assertThat(bench.now().since(began)).isEqualTo(Duration.ofMinutes(5).toNanos());
    assertThat(bench.state.waitsNanos()).as("others come first").isGreaterThan(waited);
    for (int second = 0; second < 598; second++) {
      bench.second();
      assertThat(bench.state.inTurn()).as("%s", bench.state).isFalse();
    }
    bench.until(HOLDING);
    bench.topOffHeld = true;
    bench.until(DRAINING);
    assertThat(bench.outcomes).hasSize(1);
  }

  /**
   * Nobody tops the tank off while a portion waits half a day for new water: what evaporates until
   * then is neither taken for drained nor filled with salt water.
   */
  @Test
  void whatEvaporatesWhileAPortionWaitsIsNotFilledWithSaltWater() {
    bench.sump.evaporationLitresPerDay = 0.9; // 3.4 are configured, and reckoned for two hours
    bench.until(DRAINING).until(() -> bench.sump.outLitres >= 0.45);
    bench.stops = List.of("new-water-low");
    bench.seconds(14 * 3600);
    bench.stops = List.of();
    bench.untilDone();
    assertThat(bench.faults).isEmpty();
    assertThat(bench.outLitres).as("booked").isBetween(0.45, 0.5);
    assertThat(bench.sump.inLitres).as("filled").isBetween(0.4, 0.5 + LEVEL_LITRES);
  }

  /** What is drained waits for its water as long as something stops it. */
  @Test
  void aFillThatIsHeldUpForADayIsFilledThen() {
    bench.until(FILLING).seconds(10);
    bench.stops = List.of("new-water-low");
    bench.seconds(24 * 3600);
    assertThat(bench.phase()).isEqualTo(DRAINED);
    bench.sump.topOff();
    bench.stops = List.of();
    bench.untilDone();
    assertThat(bench.faults).isEmpty();
    assertThat(bench.sump.millimetres)
        .as("top-off had filled it: nothing more comes in")
        .isEqualTo(Sump.NOMINAL_MILLIMETRES, within(0.5));
  }

  /** Held up when it had most of its time it goes on where it was, after the level has settled. */
  @Test
  void aFillThatIsHeldUpInItsSecondHalfIsBroughtToItsEnd() {
    bench.sump.fillLitresPerMinute = 0.18;
    bench.until(FILLING).seconds(95);
    double half = bench.sump.inLitres;
    assertThat(half).isBetween(0.27, 0.3);
    bench.stops = List.of("new-water-low");
    bench.seconds(600);
    assertThat(bench.sump.inLitres).isEqualTo(half, within(0.01));
    bench.stops = List.of();
    bench.untilDone();
    assertThat(bench.faults).isEmpty();
    assertThat(bench.sump.inLitres).isEqualTo(0.5, within(LEVEL_LITRES));
  }

  /** A lease is cut to whole seconds, and some devices take none that is shorter than theirs. */
  @ParameterizedTest
  @ValueSource(ints = {1, 5, 30})
  void aPumpThatIsGivenNoMoreHadItsTime(int shortestRunSeconds) {
    bench.shortestRunSeconds = shortestRunSeconds;
    bench.until(DRAINED).untilDone();
    assertThat(bench.faults).isEmpty();
    double shorter = 0.25 / 60 * shortestRunSeconds;
    assertThat(bench.sump.outLitres).isBetween(0.5 - shorter, 0.5);
    assertThat(bench.sump.inLitres).isEqualTo(bench.sump.outLitres, within(LEVEL_LITRES));
  }

  @Test
  void aPumpThatIsNeverLetRunEndsThePortionAfterTwoHours() {
    bench.gateShut = true;
    bench.until(DRAINING).seconds(2 * 3600 - 5);
    assertThat(bench.phase()).isEqualTo(DRAINING);
    bench.until(DRAINED);
    bench.untilDone();
    assertThat(bench.sump.outLitres + bench.sump.inLitres).isZero();
    assertThat(bench.faults).isEmpty();
    assertThat(bench.outLitres).isEqualTo(0, within(LEVEL_LITRES));
  }

  @Test
  void whatIsOwedIsGivenPortionByPortion() {
    bench.dueLitres = 1.5;
    bench.until(() -> bench.outLitres > 1.3);
    assertThat(bench.sump.outLitres).isEqualTo(1.5, within(LEVEL_LITRES));
    assertThat(bench.surplusLitres()).isEqualTo(0, within(LEVEL_LITRES));
    assertThat(bench.sump.millimetres)
        .isEqualTo(Sump.NOMINAL_MILLIMETRES, within(LEVEL_LITRES / 0.12));
  }

  @Test
  void lessThanAQuarterOfAPortionIsNotBegun() {
    bench.dueLitres = bench.spec.litresPerDay() / 21 / 4 - 0.001;
    bench.seconds(600);
    assertThat(bench.proposal.why()).isEqualTo("nothing is due");
    bench.dueLitres += 0.002;
    bench.second();
    assertThat(bench.phase()).isEqualTo(ASKING);
  }

  @ParameterizedTest
  @CsvSource({
    "PORTIONS, 479, a portion does not fit the window any more",
    "PORTIONS, 480, a portion of 0.5 L is due",
    "PAIRED, 239, a portion does not fit the window any more",
    "PAIRED, 240, a portion of 0.5 L is due"
  })
  void onlyWhatFitsTheWindowWholeIsBegun(ExchangeSpec.Kind kind, int leftSeconds, String why) {
    ExchangeBench bench = new ExchangeBench(ExchangeBench.spec(kind, true), 2);
    bench.windowLeftNanos = leftSeconds * ExchangeBench.SECOND;
    bench.warmUp();
    bench.second();
    assertThat(bench.proposal.why()).isEqualTo(why);
  }

  /** Pumps that are known to be slow need more of the window. */
  @Test
  void theTrueRateDecidesWhatFits() {
    bench.rates = new Rates(new Rates.Rate(0.25, 0.2), new Rates.Rate(0.25, 0.2));
    bench.windowLeftNanos = 539 * ExchangeBench.SECOND;
    bench.warmUp();
    bench.second();
    assertThat(bench.phase()).isEqualTo(IDLE);
    bench.windowLeftNanos = 540 * ExchangeBench.SECOND;
    bench.second();
    assertThat(bench.phase()).isEqualTo(ASKING);
  }

  /** A portion is 4.2 mm of the sump, which is to stay between 180 and 240 mm; 1.5 mm are kept. */
  @ParameterizedTest
  @CsvSource({"185.5, IDLE", "186.0, ASKING", "238.0, ASKING", "238.7, IDLE"})
  void onlyWhatFitsTheLevelRangeIsBegun(double millimetres, Exchange.Phase phase) {
    bench.sump.noiseMillimetres = 0;
    bench.sump.millimetres = millimetres;
    bench.warmUp();
    bench.second();
    assertThat(bench.phase()).isEqualTo(phase);
  }

  /** What was too much or too little before is made good by a quarter of a portion at most. */
  @ParameterizedTest
  @CsvSource({"0.05, 0.45", "-0.05, 0.55", "1, 0.375", "-1, 0.625"})
  void whatIsApartIsCorrected(double surplusLitres, double comesIn) {
    bench.inLitres = surplusLitres;
    bench.until(FILLED).untilDone();
    assertThat(bench.faults).isEmpty();
    assertThat(bench.sump.inLitres).isEqualTo(comesIn, within(LEVEL_LITRES));
  }

  @Test
  void nothingIsBegunThatWouldPutOutAndInTooFarApart() {
    bench.inLitres = -1.1;
    bench.warmUp();
    bench.propose();
    assertThat(bench.phase()).isEqualTo(ASKING);
    bench.inLitres = -1.2;
    bench.second();
    assertThat(bench.phase()).isEqualTo(IDLE);
    assertThat(bench.faults).hasSize(1);
    assertThat(bench.faults.get(0).name()).isEqualTo(Exchange.Latch.OUT_AND_IN_APART);
  }

  @Test
  void aLevelThatIsNotKnownStopsEverything() {
    bench.until(DRAINING).seconds(20);
    double out = bench.sump.outLitres;
    bench.levelQuality = Quality.UNCERTAIN;
    bench.seconds(3600);
    assertThat(bench.proposal.why()).isEqualTo("the level is not known");
    assertThat(bench.sump.outLitres).isEqualTo(out);
    bench.levelQuality = Quality.GOOD;
    bench.until(FILLING).seconds(20);
    double in = bench.sump.inLitres;
    bench.levelQuality = Quality.BAD;
    bench.seconds(3600);
    assertThat(bench.sump.inLitres).isEqualTo(in);
    bench.levelQuality = Quality.GOOD;
    bench.untilDone();
    assertThat(bench.faults).isEmpty();
    assertThat(bench.sump.inLitres).isEqualTo(0.5, within(LEVEL_LITRES + 0.05));
  }

  @Test
  void neverBeginsOnALevelThatMoves() {
    bench.sump.siphonLitresPerMinute = 0.2;
    bench.seconds(300);
    assertThat(bench.proposal.why()).isEqualTo("the level is not at rest");
  }

  @Test
  void aReadingInTenSecondsIsEnough() {
    bench.readingEverySeconds = 10;
    bench.sump.noiseMillimetres = 0.3;
    bench.until(DRAINED).untilDone();
    assertThat(bench.faults).isEmpty();
    assertThat(bench.sump.outLitres).isEqualTo(0.5, within(1e-9));
    assertThat(bench.sump.inLitres).isEqualTo(0.5, within(LEVEL_LITRES));
  }

  /** Waves, and sensors that tell whole millimetres; in still water their rounding is the noise. */
  @ParameterizedTest
  @CsvSource({"0, 0", "3, 0", "0, 1", "0.2, 1", "1, 1"})
  void otherWatersAndSensorsLatchNothing(double noise, double resolution) {
    bench.sump.noiseMillimetres = noise;
    bench.sump.resolutionMillimetres = resolution;
    bench.dueLitres = 20;
    bench.until(() -> bench.outLitres > 19.7 || !bench.faults.isEmpty());
    assertThat(bench.faults).isEmpty();
    assertThat(bench.sump.outLitres).isEqualTo(bench.outLitres, within(0.8));
    assertThat(bench.sump.inLitres).isEqualTo(bench.inLitres, within(0.8));
  }

  /** A hold or the end of the window: what is out comes in again, and no more goes out. */
  @Test
  void noMoreGoesOutAndWhatIsOutComesInAgain() {
    bench.until(DRAINING).seconds(60);
    bench.ends = List.of("hold: tank is held by the keeper");
    bench.second();
    assertThat(bench.phase()).isEqualTo(DRAINED);
    double out = bench.sump.outLitres;
    bench.untilDone();
    assertThat(bench.faults).isEmpty();
    assertThat(bench.sump.outLitres).isEqualTo(out, within(1e-9)).isBetween(0.2, 0.3);
    assertThat(bench.sump.inLitres).isEqualTo(out, within(LEVEL_LITRES));
    bench.seconds(3_600);
    assertThat(bench.phase()).isEqualTo(IDLE);
    assertThat(bench.proposal.why()).isEqualTo("hold: tank is held by the keeper");
  }

  @Test
  void waitsForItsTurnAndRemembersSinceWhen() {
    bench.waits = List.of("cellar serves reef");
    bench.until(Exchange.Phase.WAITING);
    assertThat(bench.proposal.why()).isEqualTo("cellar serves reef");
    long since = bench.state.waitsNanos();
    bench.seconds(600);
    assertThat(bench.state.waitsNanos()).isEqualTo(since);
    bench.waits = List.of();
    bench.second();
    assertThat(bench.phase()).isEqualTo(ASKING);
    assertThat(bench.state.waitsNanos()).isEqualTo(since);
    bench.untilDone();
    bench.waits = List.of("cellar serves reef");
    bench.dueLitres = 2;
    bench.until(Exchange.Phase.WAITING);
    assertThat(bench.state.waitsNanos()).isGreaterThan(since);
  }

  /** What the bin lost is what came in, and by the level what went out: pumps 10 % off. */
  @Test
  void pairedHeadsAreMeasuredByWhatTheBinLost() {
    ExchangeBench paired = new ExchangeBench(ExchangeBench.PAIRED, 3);
    paired.sump.drainLitresPerMinute *= 0.9;
    paired.sump.fillLitresPerMinute *= 0.9;
    paired.dueLitres = 8;
    paired.binLitres = 120;
    paired.until(
        () -> {
          paired.binLitres = 120 - paired.sump.inLitres;
          return paired.outLitres > 7 || !paired.faults.isEmpty();
        });
    assertThat(paired.faults).isEmpty();
    assertThat(paired.inLitres).isEqualTo(paired.sump.inLitres, within(0.01));
    assertThat(paired.outLitres).isEqualTo(paired.sump.outLitres, within(2 * LEVEL_LITRES));
    assertThat(paired.rates.drain().off()).isBetween(-0.1, -0.03);
    assertThat(paired.rates.fill().off()).isBetween(-0.1, -0.03);
  }

  @ParameterizedTest
  @CsvSource({"1.1, 0.9", "0.9, 1.1", "1.3, 0.7", "0.7, 1.3"})
  void learnsWhatThePumpsReallyMove(double drains, double fills) {
    bench.sump.drainLitresPerMinute *= drains;
    bench.sump.fillLitresPerMinute *= fills;
    bench.dueLitres = 12;
    bench.until(() -> bench.outLitres > 10);
    assertThat(bench.faults).isEmpty();
    assertThat(1 + bench.rates.drain().off()).isEqualTo(drains, within(0.06));
    assertThat(1 + bench.rates.fill().off()).isEqualTo(fills, within(0.08));
    assertThat(bench.surplusLitres()).isEqualTo(0, within(LEVEL_LITRES + 0.05));
  }

  /** The mean of the level is over 40 s; these pumps take from 50 s down to 10 s. */
  @ParameterizedTest
  @ValueSource(doubles = {0.6, 0.8, 1, 1.5, 2, 3})
  void quickPumpsFillTheWholePortionToo(double litresPerMinute) {
    ExchangeBench quick =
        new ExchangeBench(
            ExchangeBench.spec(ExchangeSpec.Kind.PORTIONS, true, litresPerMinute), 31);
    quick.sump.drainLitresPerMinute = litresPerMinute;
    quick.sump.fillLitresPerMinute = litresPerMinute;
    quick.untilDone();
    assertThat(quick.faults).isEmpty();
    // Lead of a second that the bench's cycle takes, beside the level's own doubt.
    double second = litresPerMinute / 60;
    assertThat(quick.sump.inLitres)
        .isEqualTo(quick.sump.outLitres, within(LEVEL_LITRES + 2 * second));
  }

  @Test
  void aQuickPumpThatIsHeldUpFillsTheRest() {
    ExchangeBench quick =
        new ExchangeBench(ExchangeBench.spec(ExchangeSpec.Kind.PORTIONS, true, 1), 32);
    quick.sump.drainLitresPerMinute = 1;
    quick.sump.fillLitresPerMinute = 1;
    quick.until(() -> quick.sump.inLitres > 0.1);
    quick.stops = List.of("the level is silent");
    quick.seconds(60);
    quick.stops = List.of();
    quick.untilDone();
    assertThat(quick.faults).isEmpty();
    assertThat(quick.sump.inLitres).isEqualTo(quick.sump.outLitres, within(LEVEL_LITRES));
  }

  @Test
  void pairedHeadsRunTogetherAndTheLevelStays() {
    ExchangeBench paired = new ExchangeBench(ExchangeBench.PAIRED, 3);
    paired.until(DRAINING).seconds(5);
    assertThat(paired.draining).isTrue();
    assertThat(paired.filling).isTrue();
    paired.until(DRAINED).untilDone();
    assertThat(paired.faults).isEmpty();
    assertThat(paired.sump.outLitres).isEqualTo(0.5, within(1e-9));
    assertThat(paired.sump.inLitres).isEqualTo(0.5, within(1e-9));
    assertThat(paired.outLitres).isEqualTo(0.5, within(1e-9));
    assertThat(paired.outcomes)
        .hasExactlyElementsOfTypes(Outcome.Reserve.class, Outcome.Done.class);
  }

  @Test
  void pairedHeadsWaitForTheReturnAndMoveOnlyTheRest() {
    ExchangeBench paired = new ExchangeBench(ExchangeBench.PAIRED, 3);
    paired.until(DRAINING).seconds(60);
    paired.sump.returnRuns = false;
    paired.stops = List.of("circulation-lost");
    paired.seconds(300);
    paired.sump.returnRuns = true;
    paired.seconds(600);
    assertThat(paired.phase()).isEqualTo(DRAINING);
    paired.stops = List.of();
    paired.untilDone();
    assertThat(paired.faults).isEmpty();
    assertThat(paired.sump.outLitres).isEqualTo(0.5, within(1e-9));
    assertThat(paired.sump.inLitres).isEqualTo(0.5, within(1e-9));
  }

  /** What was moved before the 2 h were over counts, and no more. */
  @Test
  void pairedHeadsThatAreHeldUpTooLongCountWhatTheyMoved() {
    ExchangeBench paired = new ExchangeBench(ExchangeBench.PAIRED, 3);
    paired.until(DRAINING).seconds(59);
    paired.stops = List.of("circulation-lost");
    paired.seconds(2 * 3600);
    paired.stops = List.of();
    paired.untilDone();
    assertThat(paired.faults).isEmpty();
    assertThat(paired.sump.outLitres).isEqualTo(0.25, within(1e-9));
    assertThat(paired.outLitres).isEqualTo(0.25, within(1e-9));
  }

  @Test
  void pairedHeadsMakeGoodWhatWasApart() {
    ExchangeBench paired = new ExchangeBench(ExchangeBench.PAIRED, 3);
    paired.inLitres = 0.1;
    paired.until(DRAINED).untilDone();
    assertThat(paired.sump.outLitres).isEqualTo(0.5, within(1e-9));
    assertThat(paired.sump.inLitres).isEqualTo(0.4, within(0.005));
    assertThat(paired.surplusLitres()).isEqualTo(0, within(LEVEL_LITRES));
  }

  @Test
  void pairedHeadsWithoutALevelCountByTime() {
    ExchangeBench paired =
        new ExchangeBench(ExchangeBench.spec(ExchangeSpec.Kind.PAIRED, false), 4);
    paired.until(DRAINED);
    assertThat(paired.portion.beforeMicrometres()).isEqualTo(Portion.UNMEASURED);
    paired.untilDone();
    assertThat(paired.faults).isEmpty();
    assertThat(paired.sump.outLitres).isEqualTo(0.5, within(1e-9));
    assertThat(paired.sump.inLitres).isEqualTo(0.5, within(1e-9));
    assertThat(paired.outLitres).isEqualTo(0.5);
    assertThat(paired.inLitres).isEqualTo(0.5);
  }

  @Test
  void portionsNeedALevel() {
    assertThatIllegalArgumentException()
        .isThrownBy(() -> new Exchange(ExchangeBench.spec(ExchangeSpec.Kind.PORTIONS, false)));
  }
}

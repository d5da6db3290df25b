package io.github.tidewarden.exchange;

import static io.github.tidewarden.exchange.Exchange.Phase.DRAINED;
import static io.github.tidewarden.exchange.Exchange.Phase.DRAINING;
import static io.github.tidewarden.exchange.Exchange.Phase.FILLED;
import static io.github.tidewarden.exchange.Exchange.Phase.FILLING;
import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import io.github.tidewarden.exchange.Exchange.Latch;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** What goes wrong with the water is named, and the pumps rest. */
class ExchangeFaultTest {
  private final ExchangeBench bench = new ExchangeBench(ExchangeBench.PORTIONS, 7);

  @ParameterizedTest
  @ValueSource(doubles = {0, 0.02})
  void aBlockedDrainIsNamedAndNothingComesIn(double litresPerMinute) {
    bench.sump.drainLitresPerMinute = litresPerMinute;
    latches(bench, Latch.DRAIN_BLOCKED);
    assertThat(bench.faults.get(0).why()).contains("went out, asked for 0.5 L");
    assertThat(bench.sump.inLitres).isZero();
  }

  @Test
  void aDrainThatMovesTooMuchIsNamed() {
    bench.sump.drainLitresPerMinute = 0.6;
    latches(bench, Latch.DRAIN_RUNS_ON);
    assertThat(bench.sump.outLitres).as("the level ended it").isLessThan(1.4);
    assertThat(bench.sump.inLitres).isZero();
  }

  /** Water that follows the pump through its hose. */
  @ParameterizedTest
  @ValueSource(doubles = {0.2, 0.25, 0.5})
  void aSiphonIsNamedAndNothingComesIn(double litresPerMinute) {
    bench.until(DRAINED);
    bench.sump.siphonLitresPerMinute = litresPerMinute;
    long began = bench.mono;
    bench.until(() -> !bench.faults.isEmpty());
    long took = bench.mono - began;
    latches(bench, Latch.DRAIN_RUNS_ON);
    assertThat(took).isLessThanOrEqualTo(11 * ExchangeBench.MINUTE);
    assertThat(bench.sump.inLitres).isZero();
  }

  @Test
  void aFastSiphonIsNamedWithinTwoMinutes() {
    bench.until(DRAINED);
    bench.sump.siphonLitresPerMinute = 0.5;
    long began = bench.mono;
    bench.until(() -> !bench.faults.isEmpty());
    long took = bench.mono - began;
    latches(bench, Latch.DRAIN_RUNS_ON);
    assertThat(took).isLessThanOrEqualTo(2 * ExchangeBench.MINUTE);
  }

  @Test
  void aDryFillPumpIsNamed() {
    bench.sump.fillLitresPerMinute = 0;
    latches(bench, Latch.FILL_DRY);
    assertThat(bench.faults.get(0).why()).contains("came in for");
  }

  @Test
  void aFillPumpThatIsNeverLetRunIsNamedAfterTwoHours() {
    bench.until(FILLING).seconds(10);
    bench.gateShut = true;
    bench.seconds(2 * 3600 - 5);
    assertThat(bench.faults).isEmpty();
    latches(bench, Latch.FILL_DRY);
  }

  /** The relay of the pump is welded. */
  @Test
  void aFillThatDoesNotStopIsNamed() {
    bench.until(FILLED);
    bench.sump.weldedLitresPerMinute = 0.25;
    latches(bench, Latch.FILL_RUNS_ON);
  }

  /** Top-off adds to it in spite of its hold, and then stops. */
  @Test
  void moreThanShouldComeInIsNamed() {
    bench.until(FILLED);
    bench.sump.millimetres += 5;
    latches(bench, Latch.FILL_RUNS_ON);
  }

  @Test
  void aLevelThatSticksBeforeTheDrainIsNamed() {
    bench.until(DRAINING);
    bench.sump.stuckMillimetres = 212.3;
    latches(bench, Latch.LEVEL_STUCK);
    assertThat(bench.sump.outLitres).isEqualTo(0.5, within(0.005));
    assertThat(bench.sump.inLitres).isZero();
  }

  @Test
  void aLevelThatSticksBeforeTheFillIsNamedBeforeTwoPortionsAreIn() {
    bench.until(FILLING);
    bench.sump.stuckMillimetres = bench.portion.drainedMicrometres() / 1000.0;
    latches(bench, Latch.LEVEL_STUCK);
    assertThat(bench.sump.inLitres).isLessThan(0.9);
  }

  @ParameterizedTest
  @ValueSource(doubles = {0, 0.1, 0.45})
  void pairedHeadsThatAreApartAreNamedBeforeTheLevelIsFarAway(double fills) {
    ExchangeBench paired = new ExchangeBench(ExchangeBench.PAIRED, 7);
    paired.sump.fillLitresPerMinute = fills;
    paired.until(() -> !paired.faults.isEmpty());
    assertThat(paired.sump.millimetres).isEqualTo(Sump.NOMINAL_MILLIMETRES, within(4.5));
    latches(paired, Latch.PUMPS_APART);
  }

  @Test
  void pairedHeadsOfWhichTheDrainIsBlockedAreNamed() {
    ExchangeBench paired = new ExchangeBench(ExchangeBench.PAIRED, 7);
    paired.sump.drainLitresPerMinute = 0;
    latches(paired, Latch.PUMPS_APART);
    assertThat(paired.faults.get(0).why()).contains("much came in or too little went out");
  }

  @Test
  void aSiphonThroughPairedHeadsIsNamed() {
    ExchangeBench paired = new ExchangeBench(ExchangeBench.PAIRED, 7);
    paired.until(DRAINED);
    paired.sump.siphonLitresPerMinute = 0.3;
    latches(paired, Latch.DRAIN_RUNS_ON);
  }

  /** A keeper's reset ends the portion, and the next begins by itself. */
  @Test
  void afterAResetItBeginsAnew() {
    bench.sump.drainLitresPerMinute = 0;
    latches(bench, Latch.DRAIN_BLOCKED);
    bench.sump.drainLitresPerMinute = 0.25;
    bench.portion = null;
    bench.stops = List.of();
    bench.untilDone();
    assertThat(bench.faults).hasSize(1);
  }

  /** The fault comes, it is this one, and for an hour no pump is wanted again. */
  private static void latches(ExchangeBench bench, Latch latch) {
    bench.until(() -> !bench.faults.isEmpty());
    assertThat(bench.faults.get(0).name()).as(bench.faults.get(0).why()).isEqualTo(latch);
    for (int second = 0; second < 3600; second++) {
      bench.second();
      assertThat(bench.draining || bench.filling).isFalse();
    }
    assertThat(bench.faults).hasSize(1);
  }
}

package io.github.tidewarden.exchange;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** What the pumps really move, learnt portion by portion. */
class RatesTest {

  private static final Rates HALF = new Rates(Rates.Rate.of(0.5), Rates.Rate.of(0.5));

  @Test
  void takesOverAQuarterOfWhatTheLevelSays() {
    Rates rates = HALF.withDrain(0.4).withFill(0.6);
    assertThat(rates.drain().litresPerMinute()).isEqualTo(0.475, within(1e-12));
    assertThat(rates.fill().litresPerMinute()).isEqualTo(0.525, within(1e-12));
    assertThat(rates.drain().off()).isEqualTo(-0.05, within(1e-12));
  }

  @Test
  void takesOverLittleOfWhatABinSaysOfOnePortion() {
    Rates rates = HALF.withBoth(0.4, 0.6);
    assertThat(rates.drain().litresPerMinute()).isEqualTo(0.495, within(1e-12));
    assertThat(rates.fill().litresPerMinute()).isEqualTo(0.505, within(1e-12));
  }

  @ParameterizedTest
  @ValueSource(doubles = {0.7, 0.9, 1.1, 1.3})
  void comesNearTheTruthInTwentyPortions(double truth) {
    SplittableRandom random = new SplittableRandom(5);
    Rates rates = HALF;
    for (int portion = 0; portion < 20; portion++) {
      rates = rates.withDrain(0.5 * (truth + 0.04 * random.nextGaussian()));
    }
    assertThat(rates.drain().off()).isEqualTo(truth - 1, within(0.04));
    assertThat(rates.fill()).isEqualTo(HALF.fill());
  }

  @Test
  void isNeverFurtherOffThanAPumpThatIsFaulty() {
    Rates rates = HALF;
    for (int portion = 0; portion < 50; portion++) {
      rates = rates.withDrain(0).withFill(1e9);
    }
    assertThat(rates.drain().litresPerMinute()).isEqualTo(0.35, within(1e-12));
    assertThat(rates.fill().litresPerMinute()).isEqualTo(0.65, within(1e-12));
    assertThat(rates.drain().drifts()).isTrue();
    assertThat(rates.fill().drifts()).isTrue();
  }

  @ParameterizedTest
  @CsvSource({"0.44, false, false", "0.42, true, false", "0.3504, true, true"})
  void isToldFromFifteenPerCentAndStopsAtThirty(double moves, boolean told, boolean drifts) {
    Rates.Rate rate = new Rates.Rate(0.5, moves);
    assertThat(rate.isTold()).isEqualTo(told);
    assertThat(rate.drifts()).isEqualTo(drifts);
  }

  /** Nobody knows for how long a pump ran before a crash: litres over no time. */
  @ParameterizedTest
  @ValueSource(doubles = {Double.NaN, Double.POSITIVE_INFINITY, Double.NEGATIVE_INFINITY})
  void whatIsNoNumberTeachesNothing(double measured) {
    Rates known = HALF.withDrain(0.45).withFill(0.55);
    assertThat(known.withDrain(measured).withFill(measured)).isEqualTo(known);
    assertThat(known.withBoth(measured, measured)).isEqualTo(known);
  }

  /** Heads 10 % off each way look 22 % apart to a level; its noise must not make that 30 %. */
  @Test
  void theNoiseOfALevelBetweenTwoHeadsThatDifferIsNoFault() {
    java.util.SplittableRandom random = new java.util.SplittableRandom(2);
    Rates rates = HALF;
    for (int portion = 0; portion < 20_000; portion++) {
      // A level of 1 mm noise over 80 s, twice, on a portion of 0.5 L: some 7 % of it.
      rates = rates.withFillBeside(0.5 * (1.1 / 0.9) * (1 + 0.07 * random.nextGaussian()));
      assertThat(rates.fill().drifts()).as("portion %d", portion).isFalse();
    }
    assertThat(rates.fill().off()).isCloseTo(0.22, within(0.06));
    assertThat(rates.drain()).isEqualTo(HALF.drain());
  }
}

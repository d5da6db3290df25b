package io.github.tidewarden.exchange;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** What the pumps really move, learnt portion by portion. */
class RatesTest {

  @Test
  void takesOverAQuarterOfWhatAPortionSays() {
    Rates rates = Rates.CONFIGURED.withDrain(0.8).withFill(1.2);
    assertThat(rates.drain()).isEqualTo(0.95, within(1e-12));
    assertThat(rates.fill()).isEqualTo(1.05, within(1e-12));
  }

  @ParameterizedTest
  @ValueSource(doubles = {0.7, 0.9, 1.1, 1.3})
  void comesNearTheTruthInTwentyPortions(double truth) {
    SplittableRandom random = new SplittableRandom(5);
    Rates rates = Rates.CONFIGURED;
    for (int portion = 0; portion < 20; portion++) {
      rates = rates.withDrain(truth + 0.04 * random.nextGaussian());
    }
    assertThat(rates.drain()).isEqualTo(truth, within(0.04));
    assertThat(rates.fill()).isEqualTo(1);
  }

  @Test
  void isNeverFurtherOffThanAPumpThatIsFaulty() {
    Rates rates = Rates.CONFIGURED;
    for (int portion = 0; portion < 50; portion++) {
      rates = rates.withDrain(0).withFill(1e9);
    }
    assertThat(rates).isEqualTo(new Rates(0.7, 1.3));
  }

  /** Nobody knows for how long a pump ran before a crash: litres over no time. */
  @ParameterizedTest
  @ValueSource(doubles = {Double.NaN, Double.POSITIVE_INFINITY, Double.NEGATIVE_INFINITY})
  void whatIsNoNumberTeachesNothing(double measured) {
    Rates known = new Rates(0.9, 1.1);
    assertThat(known.withDrain(measured).withFill(measured)).isEqualTo(known);
  }
}

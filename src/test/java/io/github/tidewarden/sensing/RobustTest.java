package io.github.tidewarden.sensing;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;
import static org.assertj.core.api.Assertions.within;

import java.util.Arrays;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

/** Statistics that a wild reading cannot spoil. */
class RobustTest {

  /** A window of seven readings with one spike; worked out by hand. */
  private static final double[] SPIKED = {350, 351, 349, 352, 500, 350, 351};

  /** Noise of a probe, mV. */
  private static final double FLOOR = 0.5;

  private static double mean(double[] values) {
    return Arrays.stream(values).average().orElseThrow();
  }

  private static double deviation(double[] values) {
    double mean = mean(values);
    double squares = Arrays.stream(values).map(x -> (x - mean) * (x - mean)).sum();
    return Math.sqrt(squares / (values.length - 1));
  }

  /** Median 351, MAD 1, and 0.6745 x 149 / 1 = 100.50, over 3.5 (Iglewicz and Hoaglin). */
  @Test
  void seesTheSpikeInAShortWindow() {
    assertThat(Robust.median(SPIKED)).isEqualTo(351);
    assertThat(Robust.medianAbsoluteDeviation(SPIKED)).isEqualTo(1);
    assertThat(0.6745 * (500 - Robust.median(SPIKED)) / Robust.medianAbsoluteDeviation(SPIKED))
        .isCloseTo(100.50, within(5e-3));
    for (double reading : SPIKED) {
      assertThat(Robust.spike(reading, SPIKED, FLOOR)).as("%s", reading).isEqualTo(reading == 500);
    }
  }

  /** 3.5 / 0.6745 x 1 = 5.19 mV off the median is the bound: worked out by hand. */
  @Test
  void theBoundIsThreeAndAHalfDeviations() {
    assertThat(Robust.spike(351 + 5.18, SPIKED, FLOOR)).isFalse();
    assertThat(Robust.spike(351 + 5.20, SPIKED, FLOOR)).isTrue();
    assertThat(Robust.spike(351 - 5.18, SPIKED, FLOOR)).isFalse();
    assertThat(Robust.spike(351 - 5.20, SPIKED, FLOOR)).isTrue();
  }

  /** Mean 371.857, s 56.514, z 2.267 = 6 / sqrt 7: worked out by hand. */
  @Test
  void threeSigmaDoesNotSeeIt() {
    assertThat(mean(SPIKED)).isCloseTo(371.857, within(5e-4));
    assertThat(deviation(SPIKED)).isCloseTo(56.514, within(5e-4));
    assertThat((500 - mean(SPIKED)) / deviation(SPIKED)).isCloseTo(2.267, within(5e-4));
    assertThat((500 - mean(SPIKED)) / deviation(SPIKED)).isLessThan(6 / Math.sqrt(7));
  }

  /**
   * However large a spike: of n readings it is at most (n - 1) / sqrt n deviations off the mean,
   * which is 2.846 for 10 and passes 3 only at 11. The median sees it from 3 readings on.
   */
  @Test
  void threeSigmaNeverSeesASpikeAmongTenOrFewer() {
    SplittableRandom random = new SplittableRandom(3);
    double most = 0;
    for (int n = 3; n <= 10; n++) {
      for (int i = 0; i < 1000; i++) {
        double[] window = random.doubles(n, 349, 351).toArray();
        int at = random.nextInt(n);
        window[at] = 350 + random.nextDouble(20, 1e6) * (random.nextBoolean() ? 1 : -1);
        double off = Math.abs(window[at] - mean(window)) / deviation(window);
        most = Math.max(most, off);
        assertThat(off).isLessThanOrEqualTo((n - 1) / Math.sqrt(n) + 1e-9).isLessThan(3);
        assertThat(Robust.spike(window[at], window, FLOOR)).isTrue();
      }
    }
    assertThat(most).as("the bound is met").isCloseTo(9 / Math.sqrt(10), within(1e-3));
    double[] eleven = new double[11];
    eleven[4] = 1;
    assertThat((1 - mean(eleven)) / deviation(eleven)).isGreaterThan(3);
  }

  @Test
  void aFlatWindowPassesItsNoiseAndNoSpike() {
    double[] flat = {350, 350, 350, 350, 350, 350, 350};
    assertThat(Robust.medianAbsoluteDeviation(flat)).isZero();
    assertThat(Robust.spike(350, flat, FLOOR)).isFalse();
    assertThat(Robust.spike(351, flat, FLOOR)).as("one step of the transmitter").isFalse();
    assertThat(Robust.spike(352, flat, FLOOR)).isTrue();
    assertThat(Robust.spike(-2000, flat, FLOOR)).isTrue();
    assertThat(Robust.spike(Double.NaN, flat, FLOOR)).isTrue();
  }

  @Test
  void spikesFewerThanHalfDoNotHideEachOther() {
    double[] window = {350, 500, 351, 502, 349, 501, 350};
    assertThat(Robust.spike(500, window, FLOOR)).isTrue();
    assertThat(Robust.spike(502, window, FLOOR)).isTrue();
    assertThat(Robust.spike(350, window, FLOOR)).isFalse();
  }

  @Test
  void aTrueStepIsASpikeUntilHalfAreBehindIt() {
    double[] before = {350, 350, 351, 350, 370, 371, 370};
    double[] after = {350, 350, 351, 370, 371, 370, 371};
    assertThat(Robust.spike(370, before, FLOOR)).isTrue();
    assertThat(Robust.spike(370, after, FLOOR)).isFalse();
  }

  /** Of normal noise 0.05 % are beyond 3.5 deviations; a window of 7 knows its own but roughly. */
  @Test
  void fewReadingsOfPlainNoiseAreSpikes() {
    SplittableRandom random = new SplittableRandom(9);
    int spikes = 0;
    int count = 20_000;
    for (int i = 0; i < count; i++) {
      double[] window = new double[7];
      Arrays.setAll(window, j -> 350 + 3 * random.nextGaussian());
      spikes += Robust.spike(window[6], window, 3) ? 1 : 0;
    }
    assertThat((double) spikes / count).isLessThan(0.001);
  }

  @Test
  void medianOfAnEvenNumberIsBetween() {
    assertThat(Robust.median(new double[] {4, 1, 3, 2})).isEqualTo(2.5);
    assertThat(Robust.median(new double[] {7})).isEqualTo(7);
    double[] left = {3, 1, 2};
    Robust.median(left);
    assertThat(left).as("left as it was").containsExactly(3, 1, 2);
  }

  /**
   * NIST StRD Norris. Least squares are certified to have 1.00211681802045, with a standard error
   * of 0.00043. Theil and Sen's slope of these points by another program, {@code theilslopes} of
   * SciPy 1.17.1, is 1.0021968365553604.
   */
  @Test
  void itsSlopeOfNorrisIsNearTheCertifiedOne() {
    double[] x = new double[TrendTest.NORRIS.length];
    double[] y = new double[x.length];
    for (int i = 0; i < x.length; i++) {
      y[i] = TrendTest.NORRIS[i][0];
      x[i] = TrendTest.NORRIS[i][1];
    }
    assertThat(Robust.slope(x, y)).isCloseTo(1.0021968365553604, within(1e-14));
    assertThat(Robust.slope(x, y)).isCloseTo(1.00211681802045, within(0.00043));
  }

  @Test
  void aQuarterOfWildReadingsDoNotTurnTheSlope() {
    SplittableRandom random = new SplittableRandom(11);
    for (int i = 0; i < 200; i++) {
      double[] x = new double[24];
      double[] y = new double[24];
      double slope = random.nextDouble(-5, 5);
      for (int j = 0; j < x.length; j++) {
        x[j] = j;
        y[j] = 350 + slope * j + 0.1 * random.nextGaussian();
        if (j % 4 == 1) {
          y[j] += random.nextDouble(50, 500);
        }
      }
      assertThat(Robust.slope(x, y)).isCloseTo(slope, within(0.1));
    }
  }

  @Test
  void noiseIsToldApartFromSlopeAndSpikes() {
    SplittableRandom random = new SplittableRandom(12);
    double[] values = new double[300];
    for (int i = 0; i < values.length; i++) {
      values[i] = 300 + 0.7 * i + 3 * random.nextGaussian() + (i % 30 == 5 ? 200 : 0);
    }
    assertThat(Robust.noise(values)).isCloseTo(3, within(0.5));
    assertThat(deviation(values)).as("the common one is of no use here").isGreaterThan(50);
    assertThat(Robust.noise(new double[] {1, 2, 3, 4})).as("a slope is no noise").isZero();
  }

  @Test
  void refusesWhatTellsNothing() {
    double[] three = {1, 2, 3};
    double[] bad = {1, Double.NaN, 3};
    double[] none = {};
    double[] many = new double[301];
    for (double[] values : new double[][] {bad, none, many}) {
      assertThatIllegalArgumentException().isThrownBy(() -> Robust.median(values));
      assertThatIllegalArgumentException().isThrownBy(() -> Robust.medianAbsoluteDeviation(values));
      assertThatIllegalArgumentException().isThrownBy(() -> Robust.noise(values));
      assertThatIllegalArgumentException().isThrownBy(() -> Robust.spike(1, values, 1));
      assertThatIllegalArgumentException().isThrownBy(() -> Robust.slope(values, values));
    }
    assertThatIllegalArgumentException().isThrownBy(() -> Robust.spike(1, three, 0));
    assertThatIllegalArgumentException().isThrownBy(() -> Robust.spike(1, three, Double.NaN));
    assertThatIllegalArgumentException().isThrownBy(() -> Robust.spike(1, new double[] {1, 2}, 1));
    assertThatIllegalArgumentException().isThrownBy(() -> Robust.noise(new double[] {1, 2}));
    assertThatIllegalArgumentException()
        .isThrownBy(() -> Robust.slope(three, new double[] {1, 2}))
        .withMessage("3 places of 2 readings");
    assertThatIllegalArgumentException()
        .isThrownBy(() -> Robust.slope(new double[] {5, 5}, new double[] {1, 2}))
        .withMessageContaining("no slope");
  }
}

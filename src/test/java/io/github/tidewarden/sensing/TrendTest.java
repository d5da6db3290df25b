package io.github.tidewarden.sensing;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import io.github.tidewarden.quantity.Moment;
import java.time.Duration;
import java.time.Instant;
import java.util.SplittableRandom;
import java.util.function.DoubleUnaryOperator;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** The mean, the standstill and the slope of a level, as readings come in. */
class TrendTest {
  private static final long SECOND = 1_000_000_000L;
  private static final long MINUTE = 60 * SECOND;

  /**
   * {y, x} of the linear regression data set Norris: NIST, Statistical Reference Datasets,
   * https://www.itl.nist.gov/div898/strd/lls/data/Norris.shtml
   */
  static final double[][] NORRIS = {
    {0.1, 0.2}, {338.8, 337.4}, {118.1, 118.2}, {888.0, 884.6}, {9.2, 10.1}, {228.1, 226.5},
    {668.5, 666.3}, {998.5, 996.3}, {449.1, 448.6}, {778.9, 777.0}, {559.2, 558.2}, {0.3, 0.4},
    {0.1, 0.6}, {778.1, 775.5}, {668.8, 666.9}, {339.3, 338.0}, {448.9, 447.5}, {10.8, 11.6},
    {557.7, 556.0}, {228.3, 228.1}, {998.0, 995.8}, {888.8, 887.6}, {119.6, 120.2}, {0.3, 0.3},
    {0.6, 0.3}, {557.6, 556.8}, {339.3, 339.1}, {888.0, 887.2}, {998.5, 999.0}, {778.9, 779.0},
    {10.2, 11.1}, {117.6, 118.3}, {228.9, 229.2}, {668.4, 669.1}, {449.2, 448.9}, {0.2, 0.5}
  };

  private Trend trend = Trend.EMPTY;
  private long start;
  private long mono;

  @Test
  void itsLineIsTheOneThatNistCertifies() {
    double[] x = new double[NORRIS.length];
    double[] y = new double[NORRIS.length];
    for (int i = 0; i < NORRIS.length; i++) {
      y[i] = NORRIS[i][0];
      x[i] = NORRIS[i][1];
    }
    // Certified: 1.00211681802045 (NIST StRD Norris).
    assertThat(Trend.slope(x, y)).isEqualTo(1.00211681802045, within(1e-13));
  }

  @Test
  void tellsNothingOfNothing() {
    assertThat(trend.mean(Trend.KEPT, now())).isNaN();
    assertThat(trend.steady(1000, now())).isFalse();
    assertThat(trend.perMinute(now())).isNaN();
    assertThat(trend.perMinuteDeviation(1, now())).isNaN();
    assertThat(trend.frozen(now())).isFalse();
  }

  /** By hand: 3 mm a minute is 2 mm in each third of two minutes. */
  @Test
  void movesThroughoutWhenEachThirdGoesTheSameWay() {
    assertThat(trend.movedThroughout(now())).isNaN();
    run(121, SECOND, minutes -> 212 - 3 * minutes);
    assertThat(trend.movedThroughout(now())).isCloseTo(-2, within(0.1));
    run(121, SECOND, minutes -> 212);
    assertThat(trend.movedThroughout(now())).isZero();
    run(19, SECOND, minutes -> 230);
    run(101, SECOND, minutes -> 212);
    assertThat(trend.movedThroughout(now())).as("a hand in the water").isZero();
    run(60, SECOND, minutes -> 214);
    assertThat(trend.movedThroughout(now())).as("poured in at once").isZero();
  }

  @Test
  void theMeanTakesThreeReadingsWithinItsSpan() {
    hear(210);
    pass(SECOND);
    hear(211);
    assertThat(trend.mean(Duration.ofSeconds(10), now())).isNaN();
    pass(SECOND);
    hear(215);
    assertThat(trend.mean(Duration.ofSeconds(10), now())).isEqualTo(212);
    pass(8 * SECOND);
    assertThat(trend.mean(Duration.ofSeconds(10), now())).isEqualTo(212);
    pass(1);
    assertThat(trend.mean(Duration.ofSeconds(10), now()))
        .as("the first is too old, two are left")
        .isNaN();
  }

  @Test
  void aReadingHasItsAgeAlsoWhenItIsHeardLate() {
    pass(10 * SECOND);
    for (int age = 10; age >= 8; age--) {
      trend = trend.with(level(212, Quality.GOOD, age * SECOND), now());
    }
    assertThat(trend.mean(Duration.ofSeconds(10), now())).isEqualTo(212);
    assertThat(trend.mean(Duration.ofSeconds(9), now())).isNaN();
  }

  @Test
  void standsStillWhenTwoHalfMinutesAgree() {
    run(60, SECOND, minutes -> 212);
    assertThat(trend.steady(1, now())).isTrue();
    run(16, SECOND, minutes -> 214);
    assertThat(trend.steady(1, now())).as("half of the late half minute is 2 mm higher").isFalse();
    run(46, SECOND, minutes -> 214);
    assertThat(trend.steady(1, now())).isTrue();
  }

  @Test
  void standsNotStillBeforeTwoHalfMinutesAreHeard() {
    run(33, SECOND, minutes -> 212);
    assertThat(trend.steady(1, now())).isFalse();
    run(1, SECOND, minutes -> 212);
    assertThat(trend.steady(1, now())).as("three readings are over half a minute old").isTrue();
  }

  @Test
  void theSlopeOfAStraightLineIsItsOwnAfterNinetySeconds() {
    run(90, SECOND, minutes -> 212 - 3 * minutes);
    assertThat(trend.perMinute(now())).as("the first is 89 s old").isNaN();
    run(1, SECOND, minutes -> 212 - 3 * minutes);
    assertThat(trend.perMinute(now())).isEqualTo(-3, within(1e-9));
    run(200, SECOND, minutes -> 212 - 3 * minutes);
    assertThat(trend.perMinute(now())).isEqualTo(-3, within(1e-9));
  }

  /**
   * Worked out: a level at rest that begins to fall by s, seen over a span of which it falls in the
   * share f, has the slope s f² (3 - 2 f). After 60 s of 120 s at 3 mm/min: 1.5 mm/min.
   */
  @Test
  void theSlopeOfABendIsBetweenTheTwo() {
    run(300, SECOND, minutes -> 212);
    run(60, SECOND, minutes -> 212 - 3 * (minutes - 300.0 / 60));
    assertThat(trend.perMinute(now())).isEqualTo(-1.5, within(0.02));
  }

  @Test
  void readingsOlderThanTwoMinutesDoNotCount() {
    run(121, SECOND, minutes -> 100 - 50 * minutes);
    run(121, SECOND, minutes -> 212);
    assertThat(trend.perMinute(now())).isEqualTo(0, within(1e-9));
    assertThat(trend.frozen(now())).isTrue();
    pass(60 * SECOND);
    assertThat(trend.size()).isEqualTo(121);
    assertThat(trend.mean(Trend.KEPT, now())).isEqualTo(212);
    pass(59 * SECOND);
    assertThat(trend.perMinute(now())).as("two are left").isNaN();
  }

  @Test
  void isFrozenOnlyWhenNoDigitMoves() {
    run(90, SECOND, minutes -> 212);
    assertThat(trend.frozen(now())).as("the first is 89 s old").isFalse();
    run(1, SECOND, minutes -> 212);
    assertThat(trend.frozen(now())).isTrue();
    run(1, SECOND, minutes -> 212.1);
    assertThat(trend.frozen(now())).isFalse();
  }

  @Test
  void aGapBeginsItAnew() {
    run(120, SECOND, minutes -> 212);
    trend = trend.with(level(212, Quality.UNCERTAIN, 0), now());
    assertThat(trend.size()).isZero();
    assertThat(trend.steady(1, now())).isFalse();
    run(2, SECOND, minutes -> 212);
    assertThat(trend.mean(Duration.ofSeconds(10), now())).isNaN();
  }

  @ParameterizedTest
  @ValueSource(doubles = {Double.NaN, Double.POSITIVE_INFINITY, Double.NEGATIVE_INFINITY})
  void whatIsNoNumberBeginsItAnew(double value) {
    run(120, SECOND, minutes -> 212);
    hear(value);
    assertThat(trend).isSameAs(Trend.EMPTY);
  }

  @Test
  void theSameReadingAgainChangesNothing() {
    hear(212);
    Trend heard = trend;
    for (int second = 1; second <= 20; second++) {
      pass(SECOND);
      trend = trend.with(level(212, Quality.GOOD, second * SECOND), now());
    }
    assertThat(trend).isSameAs(heard);
  }

  @Test
  void aReadingOlderThanTheLastIsNotTaken() {
    hear(212);
    Trend heard = trend;
    trend = trend.with(level(500, Quality.GOOD, 5 * SECOND), now());
    assertThat(trend).isSameAs(heard);
  }

  @Test
  void tenReadingsASecondAreThinnedToTwo() {
    run(36_000, SECOND / 10, minutes -> 212 + minutes);
    assertThat(trend.size()).isBetween(230, 241);
    assertThat(trend.perMinute(now())).isEqualTo(1, within(1e-9));
    assertThat(trend.mean(Duration.ofSeconds(60), now()))
        .as("the middle of the last minute")
        .isEqualTo(212 + 60 - 0.5, within(0.01));
  }

  @Test
  void oneReadingInTenSecondsIsEnough() {
    run(7, 10 * SECOND, minutes -> 212 + minutes);
    assertThat(trend.steady(1, now())).as("half a millimetre in half a minute").isTrue();
    run(20, 10 * SECOND, minutes -> 212 + 6 * minutes);
    assertThat(trend.steady(1, now())).isFalse();
    assertThat(trend.perMinute(now())).isEqualTo(6, within(1e-9));
    assertThat(trend.mean(Duration.ofSeconds(40), now())).isFinite();
  }

  /** The monotonic clock has an arbitrary origin, and may pass the end of its range. */
  @ParameterizedTest
  @ValueSource(longs = {Long.MAX_VALUE - 60_000_000_000L, -60_000_000_000L, Long.MIN_VALUE})
  void theOriginOfTheClockDoesNotMatter(long origin) {
    start = origin;
    mono = origin;
    run(180, SECOND, minutes -> 212 - 2 * minutes);
    assertThat(trend.perMinute(now())).isEqualTo(-2, within(1e-9));
    assertThat(trend.size()).isEqualTo(121);
  }

  /**
   * Worked out: 1 mm of noise at 1 Hz over 2 min: 1 / sqrt(121 · 122 · 120 / 12) mm/s = 0.156
   * mm/min.
   */
  @Test
  void knowsHowFarNoisePutsItsSlopeOff() {
    SplittableRandom random = new SplittableRandom(11);
    double squares = 0;
    int trends = 2_000;
    for (int i = 0; i < trends; i++) {
      run(121, SECOND, minutes -> 212 + random.nextGaussian());
      squares += trend.perMinute(now()) * trend.perMinute(now());
    }
    assertThat(trend.perMinuteDeviation(1, now())).isEqualTo(0.156, within(0.001));
    assertThat(Math.sqrt(squares / trends)).isEqualTo(0.156, within(0.156 * 0.05));
  }

  /** So many readings, one after each step; the value by the minutes since the test began. */
  private void run(int readings, long stepNanos, DoubleUnaryOperator level) {
    for (int i = 0; i < readings; i++) {
      pass(stepNanos);
      hear(level.applyAsDouble((mono - start) / (double) MINUTE));
    }
  }

  private void hear(double value) {
    trend = trend.with(level(value, Quality.GOOD, 0), now());
  }

  private void pass(long nanos) {
    mono += nanos;
  }

  private Moment now() {
    return new Moment(Instant.EPOCH, mono, true);
  }

  private static Signal level(double value, Quality quality, long ageNanos) {
    return new Signal("sump", Measure.LEVEL, value, quality, "", ageNanos, true, 1);
  }
}

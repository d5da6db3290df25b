package io.github.tidewarden.exchange;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.exchange.Exchange.Latch;
import io.github.tidewarden.exchange.Exchange.Outcome;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Quality;
import io.github.tidewarden.sensing.Signal;
import io.github.tidewarden.sensing.Trend;
import java.time.Instant;
import java.util.SplittableRandom;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** A level that moves though nothing should move it; and one that only looks so. */
class LevelAtRestTest {
  private static final long SECOND = 1_000_000_000L;
  private static final int CALM_SECONDS = 600;

  private SplittableRandom random = new SplittableRandom(69);
  private Trend trend = Trend.EMPTY;
  private long mono = -77 * SECOND;
  private LevelAtRest.State state = LevelAtRest.atBoot(now());
  private double millimetres = 212;
  private double noiseMillimetres = 1;
  private double perMinute;
  private int readingEverySeconds = 1;
  private boolean returnRuns = true;
  private boolean pumpsRest = true;
  private LevelAtRest.TopOff topOff = LevelAtRest.TopOff.HELD;
  private Quality quality = Quality.GOOD;

  /** The bar of the exchange: with everything at rest, 3 mm a minute is told within 3 min. */
  @ParameterizedTest
  @ValueSource(longs = {1, 2, 3, 4, 5, 6, 7, 8, 9, 10})
  void aFallOfThreeMillimetresAMinuteIsToldWithinThreeMinutes(long seed) {
    random = new SplittableRandom(seed);
    assertThat(secondsUntilTold(3600)).isNegative();
    perMinute = -3;
    assertThat(secondsUntilTold(180)).isBetween(20, 180);
    assertThat(found().name()).isEqualTo(Latch.LEVEL_FALLS);
    assertThat(found().why())
        .matches("the level falls \\d\\.\\d mm a minute with everything at rest");
  }

  @Test
  void aFallIsToldWhateverTopOffDoes() {
    topOff = LevelAtRest.TopOff.FREE;
    secondsUntilTold(CALM_SECONDS);
    perMinute = -3;
    assertThat(secondsUntilTold(180)).isPositive();
  }

  /** By hand as much as evaporates in a day, 3.4 L, in a minute and a half; a pump goes on. */
  @Test
  void whereNothingHoldsTopOffARiseIsToldOnceNobodyPoursForSoLong() {
    topOff = LevelAtRest.TopOff.UNHELD;
    secondsUntilTold(CALM_SECONDS);
    perMinute = 3.4 / Sump.LITRES_PER_MILLIMETRE / 1.5;
    assertThat(secondsUntilTold(90)).isNegative();
    perMinute = 0;
    assertThat(secondsUntilTold(3600)).isNegative();
    perMinute = 2;
    assertThat(secondsUntilTold(3600)).isBetween(300, 420);
    assertThat(found().name()).isEqualTo(Latch.LEVEL_RISES);
  }

  /** Each odd message begins the two minutes anew, but not what was seen to last. */
  @ParameterizedTest
  @ValueSource(ints = {95, 100, 120, 134, 150})
  void aFallIsToldThoughTheSensorSaysSomethingOddNowAndThen(int everySeconds) {
    secondsUntilTold(CALM_SECONDS + 200);
    perMinute = -3;
    int told = -1;
    for (int i = 0; i < 3 && told < 0; i++) {
      quality = Quality.BAD;
      assertThat(secondsUntilTold(1)).isNegative();
      quality = Quality.GOOD;
      told = secondsUntilTold(everySeconds - 1);
    }
    assertThat(told).isPositive();
    assertThat(found().name()).isEqualTo(Latch.LEVEL_FALLS);
  }

  /** By some millimetres for some seconds, such as a wave or a hand makes. */
  @ParameterizedTest
  @CsvSource({"5, 10", "8, 10", "-8, 10", "20, 20", "-20, 20", "8, 19"})
  void aHandInTheWaterIsNoFallAndNoRise(double by, int seconds) {
    secondsUntilTold(CALM_SECONDS + 200);
    millimetres += by;
    assertThat(secondsUntilTold(seconds)).isNegative();
    millimetres -= by;
    assertThat(secondsUntilTold(600)).isNegative();
  }

  /** The bar's own rise, 74 mm in 90 s, while the return is not known to stand still yet. */
  @ParameterizedTest
  @ValueSource(ints = {2, 12, 18, 30})
  void aReturnThatStopsAndIsHeardLateIsNoRise(int heardAfterSeconds) {
    noiseMillimetres = 0.3;
    secondsUntilTold(CALM_SECONDS + 200);
    perMinute = 74 / 1.5;
    assertThat(secondsUntilTold(heardAfterSeconds)).isNegative();
    returnRuns = false;
    assertThat(secondsUntilTold(120)).isNegative();
  }

  /** A sensor that speaks every ten seconds, with less noise. */
  @Test
  void aSlowSensorTellsItToo() {
    readingEverySeconds = 10;
    noiseMillimetres = 0.3;
    assertThat(secondsUntilTold(3600)).isNegative();
    perMinute = -3.5;
    assertThat(secondsUntilTold(180)).isPositive();
  }

  @ParameterizedTest
  @CsvSource({"true, true", "false, false"})
  void aRiseIsToldOnlyWhileTopOffIsHeld(boolean held, boolean told) {
    topOff = held ? LevelAtRest.TopOff.HELD : LevelAtRest.TopOff.FREE;
    secondsUntilTold(CALM_SECONDS);
    perMinute = 3;
    assertThat(secondsUntilTold(180) > 0).isEqualTo(told);
    if (told) {
      assertThat(found().name()).isEqualTo(Latch.LEVEL_RISES);
    }
  }

  @ParameterizedTest
  @CsvSource({"-1.3, true", "-0.5, false", "0.5, false", "1.3, true"})
  void oneMillimetreAMinuteIsTheBound(double perMinute, boolean told) {
    secondsUntilTold(CALM_SECONDS);
    this.perMinute = perMinute;
    assertThat(secondsUntilTold(600) > 0).isEqualTo(told);
  }

  /** Waves, a pump that ran, the return that comes back: for ten minutes nothing is told. */
  @Test
  void nothingIsToldBeforeTenMinutesOfRest() {
    noiseMillimetres = 0;
    perMinute = -3;
    assertThat(secondsUntilTold(CALM_SECONDS - 1)).isNegative();
    assertThat(secondsUntilTold(47)).isBetween(44, 47);
    returnRuns = false;
    assertThat(secondsUntilTold(1)).isNegative();
    returnRuns = true;
    assertThat(secondsUntilTold(CALM_SECONDS - 1)).isNegative();
    assertThat(secondsUntilTold(47)).isBetween(44, 47);
  }

  /** After a pump six are enough, but never less than what is left of the ten. */
  @Test
  void nothingIsToldBeforeSixMinutesAfterAPump() {
    noiseMillimetres = 0;
    perMinute = -3;
    pumpsRest = false;
    assertThat(secondsUntilTold(120)).isNegative();
    pumpsRest = true;
    assertThat(secondsUntilTold(CALM_SECONDS - 121)).isNegative();
    assertThat(secondsUntilTold(47)).isBetween(44, 47);
    pumpsRest = false;
    assertThat(secondsUntilTold(1)).isNegative();
    pumpsRest = true;
    assertThat(secondsUntilTold(359)).isNegative();
    assertThat(secondsUntilTold(47)).isBetween(44, 47);
  }

  @Test
  void aLevelThatIsNotKnownTellsNothing() {
    secondsUntilTold(CALM_SECONDS);
    quality = Quality.BAD;
    perMinute = -3;
    assertThat(secondsUntilTold(300)).isNegative();
    quality = Quality.GOOD;
    assertThat(secondsUntilTold(85)).as("two minutes are not filled again").isNegative();
    assertThat(secondsUntilTold(60)).isPositive();
  }

  /** What evaporates in a day, up to the 10 % that may be configured: 34 L of 340 L. */
  @ParameterizedTest
  @ValueSource(doubles = {3.4, 34})
  void evaporationIsNoFall(double litresPerDay) {
    perMinute = -litresPerDay / Sump.LITRES_PER_MILLIMETRE / (24 * 60);
    assertThat(secondsUntilTold(86_400)).isNegative();
  }

  /** The sump comes to rest after a portion within 10 min: waves of 10 mm that fade. */
  @Test
  void wavesAfterAPortionAreNoMovement() {
    for (int portion = 0; portion < 50; portion++) {
      pumpsRest = false;
      second(0);
      pumpsRest = true;
      for (int second = 0; second < 1500; second++) {
        double fades = Math.exp(-second / 120.0);
        second(10 * fades * Math.sin(2 * Math.PI * second / 45) + 4 * fades);
        assertThat(found()).as("%s s after portion %s", second, portion).isNull();
      }
    }
  }

  /** Looked at every 20 s: what two minutes of many readings show changes little in less. */
  @ParameterizedTest
  @ValueSource(ints = {1, 10})
  void aYearOfNoiseIsNoMovement(int everySeconds) {
    int told = 0;
    for (int second = 0; second < 365 * 86_400; second += everySeconds) {
      mono += everySeconds * SECOND;
      trend = trend.with(level(212 + random.nextGaussian()), now());
      told += (everySeconds > 1 || second % 20 == 0) && found() != null ? 1 : 0;
    }
    assertThat(told).isZero();
  }

  /**
   * What a sensor with 1 mm of noise said every 10 s in the fourth month of a simulated year, while
   * the level stood at 211.2 mm: 5.5 standard deviations, once in ten years.
   */
  @Test
  void whatChanceMakesOnceInTenYearsIsNoMovement() {
    secondsUntilTold(CALM_SECONDS);
    trend = Trend.EMPTY;
    for (double said :
        new double[] {
          214.48, 214.92, 212.91, 210.76, 212.33, 212.25, 210.06, 210.73, 210.48, 210.48, 209.44,
          209.59, 209.87
        }) {
      mono += 10 * SECOND;
      trend = trend.with(level(said), now());
      assertThat(found()).isNull();
    }
  }

  /** Negative when it was not told in so many seconds. */
  private int secondsUntilTold(int seconds) {
    for (int second = 1; second <= seconds; second++) {
      second(0);
      if (found() != null) {
        return second;
      }
    }
    return -1;
  }

  private void second(double wave) {
    mono += SECOND;
    millimetres += perMinute / 60;
    if (mono / SECOND % readingEverySeconds == 0) {
      double value = millimetres + wave + noiseMillimetres * random.nextGaussian();
      trend = trend.with(level(value), now());
    }
    state = look();
  }

  private LevelAtRest.State look() {
    return LevelAtRest.look(
        state, new LevelAtRest.World(now(), trend, pumpsRest, returnRuns, topOff));
  }

  private Outcome.@Nullable Fault found() {
    return look().fault();
  }

  private Moment now() {
    return new Moment(Instant.EPOCH, mono, true);
  }

  private Signal level(double value) {
    return new Signal("sump", Measure.LEVEL, value, quality, "", 0, true, 1);
  }
}

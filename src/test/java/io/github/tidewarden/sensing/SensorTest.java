package io.github.tidewarden.sensing;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** One sensor through time: freshness, order, doubt (SAFETY.md F07 to F10). */
class SensorTest {

  private static SensingBench bench(SensorSpec spec) {
    return new SensingBench(spec);
  }

  private static String counted(double millivolts, long number) {
    return "{\"mv\":" + millivolts + ",\"n\":" + number + "}";
  }

  private static String timed(double millivolts, String time) {
    return "{\"mv\":" + millivolts + ",\"t\":\"" + time + "\"}";
  }

  private static void isGood(SensingBench bench, double millivolts, Duration age) {
    assertThat(bench.signal().reason()).isEmpty();
    assertThat(bench.signal().good()).isTrue();
    assertThat(bench.signal().value()).isEqualTo(millivolts);
    assertThat(bench.signal().ageNanos()).isEqualTo(age.toNanos());
  }

  private static void isNot(SensingBench bench, Quality quality, String reason) {
    assertThat(bench.signal().quality()).isEqualTo(quality);
    assertThat(bench.signal().reason()).isEqualTo(reason);
  }

  @Test
  void beforeTheFirstReadingItIsBad() {
    Signal signal = bench(SensingBench.REDOX).signal();
    assertThat(signal.quality()).isEqualTo(Quality.BAD);
    assertThat(signal.reason()).isEqualTo("not heard yet");
    assertThat(signal.value()).isNaN();
    assertThat(signal.ageNanos()).isEqualTo(Long.MAX_VALUE);
    assertThat(signal.heard()).isFalse();
    assertThat(signal.arrivalNumber()).isZero();
  }

  @Test
  void aReadingMakesItGoodAndItAges() {
    SensingBench bench = bench(SensingBench.REDOX).hears("320");
    isGood(bench, 320, Duration.ZERO);
    bench.passes(Duration.ofSeconds(59));
    isGood(bench, 320, Duration.ofSeconds(59));
    assertThat(bench.signal().heard()).isTrue();
    assertThat(bench.signal().arrivalNumber()).isEqualTo(1);
  }

  /** SAFETY.md F07. At the limit is over the limit. */
  @Test
  void atItsStaleLimitItIsBadToTheNanosecond() {
    SensingBench bench = bench(SensingBench.REDOX).hears("320");
    bench.passes(Duration.ofSeconds(60).minusNanos(1));
    isGood(bench, 320, Duration.ofSeconds(60).minusNanos(1));
    bench.passes(Duration.ofNanos(1));
    isNot(bench, Quality.BAD, "silent for 60 s");
    bench.hears("330");
    isGood(bench, 330, Duration.ZERO);
  }

  /** Age is monotonic time: a wall clock that steps, or a clock that overflows, changes nothing. */
  @ParameterizedTest
  @ValueSource(longs = {0, -1, Long.MAX_VALUE - 5, Long.MIN_VALUE})
  void ageIsMonotonicTimeWhereverItsOriginIs(long origin) {
    SensingBench bench = bench(SensingBench.REDOX);
    bench.mono = origin;
    bench.hears("320").passes(Duration.ofSeconds(30));
    bench.wall = bench.wall.plus(Duration.ofDays(400));
    isGood(bench, 320, Duration.ofSeconds(30));
    bench.wall = bench.wall.minus(Duration.ofDays(40_000));
    isGood(bench, 320, Duration.ofSeconds(30));
  }

  @Test
  void aReadingFromTheFutureOfTheMonotonicClockIsNotFresh() {
    SensingBench bench = bench(SensingBench.REDOX).hears("320");
    bench.mono -= 1;
    assertThat(bench.signal().quality()).isEqualTo(Quality.BAD);
  }

  /** SAFETY.md F08. */
  @Test
  void aRetainedMessageNeverMakesItGoodNorYounger() {
    SensingBench bench = bench(SensingBench.REDOX);
    bench.hears(SensingBench.bytes("320"), true);
    isNot(bench, Quality.BAD, "not heard yet");
    bench.hears("330").passes(Duration.ofSeconds(40));
    bench.hears(SensingBench.bytes("320"), true);
    isGood(bench, 330, Duration.ofSeconds(40));
    bench.passes(Duration.ofSeconds(20)).hears(SensingBench.bytes("320"), true);
    isNot(bench, Quality.BAD, "silent for 60 s");
    assertThat(bench.sensor.rejected()).isEqualTo(3);
  }

  @Test
  void aRetainedMessageDoesNotClearADoubt() {
    SensingBench bench = bench(SensingBench.REDOX).hears("320").hears("NaN");
    bench.hears(SensingBench.bytes("320"), true);
    isNot(bench, Quality.UNCERTAIN, "\"NaN\" is not a number");
  }

  /** SAFETY.md F02: the permissive is gone at once, not when the last good value is stale. */
  @ParameterizedTest
  @ValueSource(strings = {"0", "-2000", "NaN", "Infinity", "null", "", "9999"})
  void anUnusableMessageSpoilsItAtOnceAndTheNextGoodOneMendsIt(String payload) {
    SensingBench bench = bench(SensingBench.REDOX).hears("320").hears(payload);
    assertThat(bench.sensor.rejected()).isEqualTo(1);
    assertThat(bench.signal().quality()).isEqualTo(Quality.UNCERTAIN);
    assertThat(bench.signal().reason()).isNotBlank();
    assertThat(bench.signal().value()).as("what was last believed").isEqualTo(320);
    bench.hears("321");
    isGood(bench, 321, Duration.ZERO);
  }

  @Test
  void anUnusableMessageDoesNotMakeItYounger() {
    SensingBench bench = bench(SensingBench.REDOX).hears("320");
    for (int second = 0; second < 60; second++) {
      bench.passes(Duration.ofSeconds(1)).hears("0");
    }
    isNot(
        bench, Quality.BAD, "without a usable message for 60 s: \"0\" is outside 50.0 to 700.0 mV");
    assertThat(bench.signal().ageNanos()).isEqualTo(60 * SensingBench.SECOND);
  }

  @Test
  void anUnusableFirstMessageSaysWhy() {
    SensingBench bench = bench(SensingBench.REDOX).hears("0.35");
    isNot(bench, Quality.BAD, "\"0.35\" is outside 50.0 to 700.0 mV");
    assertThat(bench.signal().heard()).isFalse();
  }

  /** A steady value each second is a live probe, not a duplicate. */
  @Test
  void withoutACounterTheSameValueAgainIsFresh() {
    SensingBench bench = bench(SensingBench.REDOX).hears("320");
    bench.passes(Duration.ofSeconds(50)).hears("320");
    isGood(bench, 320, Duration.ZERO);
  }

  /** SAFETY.md F09. */
  @Test
  void duplicatesAndLateMessagesNeitherCountNorRefresh() {
    SensingBench bench = bench(SensingBench.COUNTED).hears(counted(320, 10));
    bench.passes(Duration.ofSeconds(30));
    bench.hears(counted(300, 10)).hears(counted(300, 9)).hears(counted(300, -5));
    isGood(bench, 320, Duration.ofSeconds(30));
    assertThat(bench.sensor.rejected()).isEqualTo(3);
    bench.hears(counted(321, 11));
    isGood(bench, 321, Duration.ZERO);
    bench.hears(counted(322, 1_000_000));
    isGood(bench, 322, Duration.ZERO);
  }

  @Test
  void aDuplicateDoesNotClearADoubt() {
    SensingBench bench = bench(SensingBench.COUNTED).hears(counted(320, 10)).hears(counted(0, 11));
    bench.hears(counted(320, 10));
    assertThat(bench.signal().quality()).isEqualTo(Quality.UNCERTAIN);
    bench.hears(counted(320, 11));
    isGood(bench, 320, Duration.ZERO);
  }

  /** A device that restarted: believed again once the old is stale, not with its first message. */
  @Test
  void aCounterThatBeganAnewIsFollowedOnceTheOldValueIsStale() {
    SensingBench bench = bench(SensingBench.COUNTED).hears(counted(320, 1_000));
    bench.passes(Duration.ofSeconds(60).minusNanos(1)).hears(counted(325, 1));
    assertThat(bench.sensor.sequence()).isEqualTo(1_000);
    isGood(bench, 320, Duration.ofSeconds(60).minusNanos(1));
    bench.passes(Duration.ofNanos(1)).hears(counted(326, 2));
    isGood(bench, 326, Duration.ZERO);
    assertThat(bench.sensor.sequence()).isEqualTo(2);
  }

  @Test
  void theFirstMessageAfterARestartIsNotBelievedHoweverLongTheSilence() {
    SensingBench bench = bench(SensingBench.COUNTED).hears(counted(320, 1_000));
    bench.passes(Duration.ofHours(1)).hears(counted(325, 10));
    isNot(bench, Quality.BAD, "silent for 3600 s");
    bench.passes(Duration.ofSeconds(9)).hears(counted(326, 20));
    isGood(bench, 326, Duration.ZERO);
  }

  /** It counts on long before the old value is stale. */
  @Test
  void aDeviceThatRestartsWithinItsStaleLimitIsFollowedThroughIt() {
    SensingBench bench = bench(SensingBench.COUNTED).hears(counted(320, 1_000));
    for (int second = 1; second < 60; second++) {
      bench.passes(Duration.ofSeconds(1)).hears(counted(325, second));
      assertThat(bench.signal().value()).isEqualTo(320);
    }
    bench.passes(Duration.ofSeconds(1)).hears(counted(326, 60));
    isGood(bench, 326, Duration.ZERO);
  }

  @Test
  void aDeviceThatRestartsTwiceIsFollowed() {
    SensingBench bench = bench(SensingBench.COUNTED).hears(counted(320, 1_000));
    bench.passes(Duration.ofSeconds(30)).hears(counted(325, 5)).hears(counted(325, 6));
    bench.passes(Duration.ofSeconds(31)).hears(counted(325, 0));
    assertThat(bench.signal().good()).isFalse();
    bench.hears(counted(326, 1));
    isGood(bench, 326, Duration.ZERO);
  }

  /** SAFETY.md F09: a stretch of an hour ago is sent again while the probe is dead. */
  @Test
  void aReplayOfOldNumbersNeverMakesAStaleSensorGood() {
    SensingBench bench = bench(SensingBench.COUNTED);
    for (int n = 104; n <= 107; n++) {
      bench.hears(counted(370, n)).passes(Duration.ofSeconds(1));
    }
    bench.passes(Duration.ofSeconds(60));
    for (int n = 60; n <= 107; n++) {
      bench.hears(counted(320, n)).passes(Duration.ofSeconds(1));
      assertThat(bench.signal().good()).isFalse();
    }
    isNot(
        bench,
        Quality.BAD,
        "without a usable message for 109 s: count 107 came after 107;"
            + " a restart would begin at 10 or below");
    bench.hears(counted(371, 108));
    isGood(bench, 371, Duration.ZERO);
  }

  @Test
  void anOldLowNumberDoesNotOpenTheWayForAReplayFurtherOn() {
    SensingBench bench = bench(SensingBench.COUNTED).hears(counted(370, 107));
    bench.passes(Duration.ofSeconds(61)).hears(counted(320, 7)).hears(counted(320, 60));
    bench.hears(counted(320, 61)).hears(counted(320, 18));
    assertThat(bench.signal().good()).isFalse();
  }

  @Test
  void anOldLowNumberIsForgottenWhenTheSeriesGoesOn() {
    SensingBench bench = bench(SensingBench.COUNTED).hears(counted(370, 12));
    bench.hears(counted(320, 3)).hears(counted(371, 13));
    bench.passes(Duration.ofSeconds(61)).hears(counted(320, 11));
    assertThat(bench.signal().good()).isFalse();
  }

  @Test
  void aRepeatedOldMessageNeverMakesAStaleSensorGood() {
    SensingBench bench = bench(SensingBench.COUNTED).hears(counted(320, 10));
    bench.passes(Duration.ofSeconds(61));
    for (int i = 0; i < 10; i++) {
      bench.hears(counted(320, 10)).passes(Duration.ofMillis(100));
    }
    assertThat(bench.signal().quality()).isEqualTo(Quality.BAD);
  }

  @Test
  void theHighestCounterIsFollowedByNothingUntilStale() {
    SensingBench bench = bench(SensingBench.COUNTED).hears(counted(320, Long.MAX_VALUE));
    bench.hears(counted(330, Long.MIN_VALUE));
    isGood(bench, 320, Duration.ZERO);
  }

  /** SAFETY.md F10: within 2 min of a trusted clock. */
  @ParameterizedTest
  @CsvSource({
    "2026-01-15T02:00:00Z, true",
    "2026-01-15T02:02:00Z, true",
    "2026-01-15T01:58:00Z, true",
    "2026-01-15T02:02:00.000000001Z, false",
    "2026-01-15T01:57:59.999999999Z, false",
    "2099-01-01T00:00:00Z, false",
    "1970-01-01T00:00:00Z, false",
    "+999999999-12-31T23:59:59Z, false",
    "-999999999-01-01T00:00:00Z, false"
  })
  void aDeviceTimeFarFromATrustedClockIsNotBelieved(String time, boolean believed) {
    SensingBench bench = bench(SensingBench.TIMED).hears(timed(320, time));
    if (believed) {
      isGood(bench, 320, Duration.ZERO);
    } else {
      isNot(bench, Quality.BAD, "its clock is more than 2 min off");
      assertThat(bench.sensor.deviceTime()).isNull();
    }
  }

  @Test
  void withAnUntrustedClockOnlyTheOrderOfDeviceTimesCounts() {
    SensingBench bench = bench(SensingBench.TIMED);
    bench.trusted = false;
    bench.hears(timed(320, "1970-01-01T00:00:05Z"));
    isGood(bench, 320, Duration.ZERO);
    bench.passes(Duration.ofSeconds(10));
    bench.hears(timed(330, "1970-01-01T00:00:05Z")).hears(timed(330, "1970-01-01T00:00:04Z"));
    isGood(bench, 320, Duration.ofSeconds(10));
    bench.hears(timed(330, "1970-01-01T00:00:06Z"));
    isGood(bench, 330, Duration.ZERO);
  }

  /** A time taken from the far future before the clock was trusted does not block for ever. */
  @Test
  void aDeviceTimeThatATrustedClockDisprovesIsForgotten() {
    SensingBench bench = bench(SensingBench.TIMED);
    bench.trusted = false;
    bench.hears(timed(320, "2099-01-01T00:00:00Z"));
    bench.hears(timed(330, "2026-01-15T02:00:00Z"));
    isGood(bench, 320, Duration.ZERO);
    bench.trusted = true;
    bench.hears(timed(330, "2026-01-15T02:00:01Z"));
    isGood(bench, 330, Duration.ZERO);
  }

  /** Within the tolerance of the clock a replay would pass, so it must rise all the same. */
  @Test
  void aDeviceTimeThatFellIsLateUntilItIsPast() {
    SensingBench bench = bench(SensingBench.TIMED).hears(timed(320, "2026-01-15T02:01:30Z"));
    bench.passes(Duration.ofSeconds(60));
    bench.hears(timed(330, "2026-01-15T02:01:00Z")).hears(timed(330, "2026-01-15T02:01:01Z"));
    isNot(
        bench,
        Quality.BAD,
        "without a usable message for 60 s: its time is not later than the last one");
    bench.passes(Duration.ofSeconds(31)).hears(timed(331, "2026-01-15T02:01:31Z"));
    isGood(bench, 331, Duration.ZERO);
  }

  @Test
  void aClockThatIsOffSpoilsWhatWasGood() {
    SensingBench bench = bench(SensingBench.TIMED).hears(timed(320, "2026-01-15T02:00:00Z"));
    bench.hears(timed(321, "2026-01-15T03:00:00Z"));
    isNot(bench, Quality.UNCERTAIN, "its clock is more than 2 min off");
    bench.hears(timed(322, "2026-01-15T02:00:01Z"));
    isGood(bench, 322, Duration.ZERO);
  }

  /** More messages than the queue holds: what is known is worth nothing until the next good one. */
  @Test
  void distrustLastsUntilTheNextMessageThatCanBeUsed() {
    SensingBench bench = bench(SensingBench.COUNTED).hears(counted(320, 10));
    bench.sensor = bench.sensor.distrusted("messages were lost");
    isNot(bench, Quality.BAD, "messages were lost");
    assertThat(bench.signal().value()).isEqualTo(320);
    bench.hears(counted(320, 10));
    isNot(bench, Quality.BAD, "messages were lost");
    bench.hears(counted(0, 11));
    isNot(bench, Quality.BAD, "\"0.0\" is outside 50.0 to 700.0 mV");
    bench.hears(SensingBench.bytes(counted(320, 12)), true);
    isNot(bench, Quality.BAD, "\"0.0\" is outside 50.0 to 700.0 mV");
    bench.hears(counted(322, 13));
    isGood(bench, 322, Duration.ZERO);
    bench.hears(counted(0, 14));
    assertThat(bench.signal().quality()).as("the distrust is over").isEqualTo(Quality.UNCERTAIN);
  }

  @Test
  void distrustBeforeTheFirstReadingSaysSo() {
    SensingBench bench = bench(SensingBench.REDOX);
    bench.sensor = bench.sensor.distrusted("messages were lost");
    isNot(bench, Quality.BAD, "messages were lost");
    bench.hears("320");
    isGood(bench, 320, Duration.ZERO);
  }

  @Test
  void aStaleSensorIsBadWhateverElseIsWrongAndSaysBoth() {
    SensingBench bench = bench(SensingBench.REDOX).hears("320").hears("0");
    bench.passes(Duration.ofSeconds(75));
    isNot(
        bench, Quality.BAD, "without a usable message for 75 s: \"0\" is outside 50.0 to 700.0 mV");
  }

  @Test
  void aContactIsOneOrZero() {
    SensingBench bench = bench(SensingBench.LEAK).hears("wet");
    isGood(bench, 1, Duration.ZERO);
    bench.hears("dry").passes(Duration.ofMinutes(10).minusNanos(1));
    isGood(bench, 0, Duration.ofMinutes(10).minusNanos(1));
    bench.passes(Duration.ofNanos(1));
    isNot(bench, Quality.BAD, "silent for 600 s");
  }

  @Test
  void anEmptyMessageDoesNotDryTheFloor() {
    SensingBench bench = bench(SensingBench.LEAK).hears("wet").hears("");
    isNot(bench, Quality.UNCERTAIN, "an empty message");
    assertThat(bench.signal().value()).isEqualTo(1);
  }
}

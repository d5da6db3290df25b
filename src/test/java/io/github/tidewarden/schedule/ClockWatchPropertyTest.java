package io.github.tidewarden.schedule;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.time.Instant;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

/** Steps, pauses and marker touches at random instants; the test knows in which order they came. */
class ClockWatchPropertyTest {

  private static final Instant EVENING = Instant.parse("2026-03-10T21:00:00Z");
  private static final int RUNS = 2_000;
  private static final int SAMPLES = 300;

  @Test
  void aStepIsNeverTrustedBeforeTheTimeServiceHasSpokenAfterIt() {
    int trustedSamples = 0;
    for (int seed = 0; seed < RUNS; seed++) {
      SplittableRandom random = new SplittableRandom(seed);
      TestClocks clocks = new TestClocks(EVENING, Duration.ofMinutes(1));
      boolean spokenSinceStep = false;
      ClockWatch watch = ClockWatch.start(ClockSource.SYNCHRONISED, clocks.sample()).watch();
      for (int sample = 0; sample < SAMPLES; sample++) {
        int stepAt = random.nextInt(6) == 0 ? random.nextInt(3) : -1;
        for (int part = 0; part < 3; part++) {
          clocks.pass(anyWait(random));
          if (part == stepAt) {
            clocks.step(anyStep(random));
            spokenSinceStep = false;
          }
          if (random.nextInt(12) == 0) {
            clocks.touchMarker();
            spokenSinceStep = true;
          }
        }
        ClockWatch.Observation observation = watch.observe(clocks.sample());
        watch = observation.watch();
        String context = "seed " + seed + " sample " + sample;
        if (stepAt >= 0) {
          assertThat(observation.event()).as(context).isNotNull();
          assertThat(observation.event().kind()).as(context).isEqualTo(ClockEvent.Kind.STEPPED);
          assertThat(watch.trusted()).as(context).isFalse();
        }
        if (watch.trusted()) {
          assertThat(spokenSinceStep).as(context).isTrue();
          trustedSamples++;
        }
      }
    }
    assertThat(trustedSamples).as("the property is not empty").isGreaterThan(RUNS * SAMPLES / 20);
  }

  @Test
  void aBatteryBackedClockIsTrustedExactlyAfterSixtySecondsWithoutAStep() {
    for (int seed = 0; seed < RUNS; seed++) {
      SplittableRandom random = new SplittableRandom(seed);
      TestClocks clocks = new TestClocks(EVENING, Duration.ofMinutes(1));
      ClockWatch watch = ClockWatch.start(ClockSource.BATTERY_BACKED, clocks.sample()).watch();
      Duration sinceNoticed = ClockWatch.STEADY;
      for (int sample = 0; sample < SAMPLES; sample++) {
        Duration wait = anyWait(random);
        clocks.pass(wait);
        sinceNoticed = sinceNoticed.plus(wait);
        if (random.nextInt(40) == 0) {
          clocks.step(anyStep(random));
          sinceNoticed = Duration.ZERO;
        }
        watch = watch.observe(clocks.sample()).watch();
        assertThat(watch.trusted())
            .as("seed %d sample %d", seed, sample)
            .isEqualTo(sinceNoticed.compareTo(ClockWatch.STEADY) >= 0);
      }
    }
  }

  /** Mostly a part of a cycle, now and then a pause. */
  private static Duration anyWait(SplittableRandom random) {
    return Duration.ofMillis(random.nextInt(10) == 0 ? random.nextInt(60_000) : random.nextInt(900))
        .plusNanos(random.nextInt(1_000_000));
  }

  /** Over 2 s, mostly little over it, forward or back. */
  private static Duration anyStep(SplittableRandom random) {
    int bound = random.nextBoolean() ? 5_000 : 90_000_000;
    Duration size = Duration.ofSeconds(2).plusNanos(1).plusMillis(random.nextInt(bound));
    return random.nextBoolean() ? size : size.negated();
  }
}

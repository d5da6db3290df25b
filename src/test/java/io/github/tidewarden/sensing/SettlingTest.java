package io.github.tidewarden.sensing;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import io.github.tidewarden.quantity.Moment;
import java.time.Duration;
import java.time.Instant;
import java.util.SplittableRandom;
import java.util.function.LongToDoubleFunction;
import org.junit.jupiter.api.Test;

/** Whether a probe has come to rest. */
class SettlingTest {
  private static final Instant START = Instant.parse("2026-01-15T12:00:00Z");
  private static final long BEGAN = 1_000_000_000_000L;

  private static Moment at(long second) {
    return new Moment(START.plusSeconds(second), BEGAN + second * 1_000_000_000L, true);
  }

  private static Signal says(double millivolts, Quality quality) {
    return new Signal("redox-a", Measure.REDOX, millivolts, quality, "", 0, true, 1);
  }

  /** What it comes to after so many seconds, with a reading every so many. */
  private static Settling.Verdict after(long seconds, int every, LongToDoubleFunction probe) {
    Settling settling = Settling.NOTHING;
    for (long second = 0; second <= seconds; second += every) {
      settling = settling.with(says(probe.applyAsDouble(second), Quality.GOOD), at(second));
    }
    return settling.verdict(at(seconds));
  }

  @Test
  void aStillProbeHasSettledAfterTwoMinutes() {
    assertThat(after(119, 1, s -> 221).flaw()).startsWith("it has not been heard for 2 min");
    assertThat(after(120, 1, s -> 221)).isEqualTo(new Settling.Verdict(221, ""));
    assertThat(after(120, 30, s -> 221).settled()).as("five readings").isTrue();
    assertThat(after(120, 40, s -> 221).flaw()).as("four").contains("see that it reports");
    assertThat(after(3_600, 1, s -> s < 3_400 ? 340 : 221).millivolts()).isEqualTo(221);
  }

  /** First order with a time constant of two minutes: at 1 mV/min it is 2 mV short of its end. */
  @Test
  void aProbeThatNearsItsEndIsTakenWhenItIsNearEnough() {
    LongToDoubleFunction probe = s -> 221 + 100 * Math.exp(-s / 120.0);
    assertThat(after(300, 1, probe).flaw()).startsWith("it still moves by -");
    Settling.Verdict settled = after(600, 1, probe);
    assertThat(settled.settled()).isTrue();
    assertThat(settled.millivolts()).isCloseTo(221, within(3.0));
    for (long seconds = 120; seconds < 900; seconds += 10) {
      Settling.Verdict verdict = after(seconds, 1, probe);
      assertThat(verdict.settled() && Math.abs(verdict.millivolts() - 221) > 4)
          .as("%s s: %s", seconds, verdict)
          .isFalse();
    }
  }

  @Test
  void aStepIsSeenWhereverItStands() {
    for (long step = 8; step <= 146; step++) {
      long stood = step;
      assertThat(after(150, 2, s -> s < stood ? 250 : 221).settled()).as("%s s", step).isFalse();
    }
  }

  @Test
  void aSpikeNowAndThenAndWholeStepsSpoilNothing() {
    assertThat(after(150, 2, s -> s % 30 == 0 ? 690 : 221))
        .isEqualTo(new Settling.Verdict(221, ""));
    assertThat(after(150, 2, s -> s % 4 == 0 ? 221 : 222).settled()).isTrue();
  }

  /** Over 500 probes with normal noise: nearly all of 2 mV are taken, and none of 6. */
  @Test
  void noiseIsTakenUpToThreeMillivolts() {
    int[] taken = new int[2];
    for (int seed = 0; seed < 500; seed++) {
      SplittableRandom random = new SplittableRandom(seed);
      taken[0] += after(150, 2, s -> 221 + 2 * random.nextGaussian()).settled() ? 1 : 0;
      taken[1] += after(150, 2, s -> 221 + 6 * random.nextGaussian()).settled() ? 1 : 0;
    }
    assertThat(taken[0]).isGreaterThan(450);
    assertThat(taken[1]).isZero();
  }

  @Test
  void whatIsNotGoodBeginsItAnewAndNeverMoreIsKeptThanNeeded() {
    Settling settling = Settling.NOTHING;
    for (long second = 0; second < 1_000; second++) {
      Signal signal = says(221, second == 900 ? Quality.UNCERTAIN : Quality.GOOD);
      settling = settling.with(signal, at(second));
    }
    assertThat(settling.verdict(at(1_000)).settled()).as("100 s after it").isFalse();
    assertThat(settling.with(says(Double.NaN, Quality.GOOD), at(1_000))).isSameAs(Settling.NOTHING);
  }

  @Test
  void readingsThatFollowEachOtherFastAreThinned() {
    Settling once = Settling.NOTHING.with(says(221, Quality.GOOD), at(0));
    assertThat(once.with(says(230, Quality.GOOD), at(1))).isSameAs(once);
    assertThat(once.with(says(230, Quality.GOOD), at(2))).isNotSameAs(once);
    assertThat(Settling.LEAST).isEqualTo(Duration.ofMinutes(2));
  }
}

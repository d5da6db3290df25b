package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.time.Duration;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** What pumps really move: measured by a keeper, learnt, told when it drifts, and stopped. */
class RateStoriesTest {

  private static WaterBench bench(long seed) {
    WaterBench bench = new WaterBench(seed, WaterBench.OPENS.minusSeconds(1200));
    bench.connects();
    bench.live(1190);
    bench.confirmsBatch();
    return bench;
  }

  private static boolean done(WaterBench bench, int portions) {
    return bench.liveUntil(
        () -> bench.records(Kind.FILLED).size() >= portions || !bench.latches().isEmpty(),
        Duration.ofMinutes(40L * portions));
  }

  /** 480 mL in 120 s are 240 mL/min. */
  @Test
  void aCalibrationIsTheBaseFromThenOnAndOverRestarts() {
    WaterBench bench = bench(1);
    assertThat(
            bench.asks("calibrate", "name", "drain", "measured", "480 mL", "for", "120 s").what())
        .isEqualTo("rosa calibrated pump drain to 240 mL/min");
    bench.restarts(5);
    assertThat(bench.memory().drain().rate(0.25).baseLitresPerMinute())
        .isEqualTo(0.24, within(1e-9));
    assertThat(bench.memory().fill().rate(0.25).baseLitresPerMinute())
        .isEqualTo(0.25, within(1e-9));
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "skimmer | 480 mL | 120 s | there is no pump \"skimmer\"; it is drain or fill",
        "drain   | 900 mL | 120 s | 450 mL/min is more than 30 % off the 250 mL/min of",
        "drain   | 0 mL   | 120 s | 0 mL/min is more than 30 % off",
        "drain   | 100 mL | 20 s  | 20 s is not between 30 s and 2 h",
        "drain   | 480 s  | 120 s | measured: \"480 s\" is a time, not a volume",
      })
  void aCalibrationThatIsNoneIsRefused(String pump, String measured, String time, String why) {
    WaterBench bench = bench(2);
    Effect.Answer answer = bench.asks("calibrate", "name", pump, "measured", measured, "for", time);
    assertThat(answer.done()).isFalse();
    assertThat(answer.what()).startsWith(why);
  }

  @Test
  void aPumpThatIsWearingOutIsToldAndTheDayStillGetsItsShare() {
    WaterBench bench = bench(3);
    bench.fillLitresPerMinute = 0.2;
    assertThat(done(bench, 12)).isTrue();
    assertThat(bench.latches()).isEmpty();
    assertThat(bench.records(Kind.NOTICE))
        .filteredOn(record -> "fill-drifts".equals(record.fields().get(Fields.NAME)))
        .singleElement()
        .satisfies(
            record ->
                assertThat(record.why()).startsWith("pump fill moves 2").contains("of 250 mL/min"));
  }

  @Test
  void aPumpFarOffStopsTheExchangeUntilItIsCalibrated() {
    WaterBench bench = bench(4);
    bench.drainLitresPerMinute = 0.16;
    assertThat(done(bench, 15)).isTrue();
    assertThat(bench.latches()).containsOnlyKeys("drain-drifts");
    assertThat(bench.memory().portion()).as("the portion was finished first").isNull();
    assertThat(bench.filledLitres).isCloseTo(bench.drainedLitres, within(0.15));
    assertThat(bench.asks("reset", "name", "drain-drifts").what())
        .isEqualTo("look at the pump and calibrate it first");
    assertThat(
            bench.asks("calibrate", "name", "drain", "measured", "360 mL", "for", "2 min").done())
        .isTrue();
    bench.drainLitresPerMinute = 0.18;
    assertThat(bench.asks("reset", "name", "drain-drifts").done()).isTrue();
    int before = bench.records(Kind.FILLED).size();
    assertThat(done(bench, before + 2)).isTrue();
    assertThat(bench.latches()).isEmpty();
  }

  /**
   * A float valve that lets a little in though it is held makes the drain look slow and the fill
   * quick (hazard F39): pumps that nobody calibrated may be so, and calibrated ones are not.
   */
  @ParameterizedTest
  @CsvSource({"20, false, false", "35, true, true", "45, false, true", "0, true, false"})
  void topOffThatSeepsThroughItsHoldIsToldAndLatchesWherePumpsAreKnown(
      int millilitresPerMinute, boolean calibrated, boolean latches) {
    WaterBench bench = bench(6);
    if (calibrated) {
      bench.asks("calibrate", "name", "drain", "measured", "500 mL", "for", "2 min");
      bench.asks("calibrate", "name", "fill", "measured", "500 mL", "for", "2 min");
    }
    bench.holdShuts = false;
    bench.topOffLitresPerMinute = millilitresPerMinute / 1000.0;
    done(bench, 20);
    bench.jumpsTo(WaterBench.OPENS.plus(Duration.ofHours(9)).plusSeconds(30));
    bench.live(10);
    boolean told =
        bench.records(Kind.NOTICE).stream()
            .anyMatch(record -> "top-off-seeps".equals(record.fields().get(Fields.NAME)));
    assertThat(bench.latches().containsKey("top-off-seeps")).isEqualTo(latches);
    assertThat(told || latches).isEqualTo(millilitresPerMinute > 0);
    if (latches) {
      assertThat(bench.drainedLitres - bench.filledLitres).as("under the limit").isLessThan(1.7);
      assertThat(bench.asks("reset", "name", "top-off-seeps").what())
          .isEqualTo("try whether top-off shuts when it is held, and calibrate both pumps first");
    }
  }
}

package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.List;
import java.util.Locale;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** What a correction does to a night: it only ever takes away. Band 340 to 365, ceiling 400 mV. */
class ProbeCorrectionStoriesTest {
  private final ProbeBench keeper = ProbeBench.free();
  private final Bench bench = keeper.bench;

  private void windowOpens() {
    keeper.windowOpens(Bench.WINDOW_OPENS);
  }

  /** It reads 30 mV too low, so at 336 there are 366. */
  @Test
  void aDoseEndsByTheCorrectedValueWhereThatIsHigher() {
    keeper.calibrates("redox-a", -30);
    bench.redox(309, 309);
    windowOpens();
    assertThat(bench.runs()).isTrue();
    bench.redox(336, 309).live(2);
    assertThat(bench.runs()).isFalse();
    assertThat(bench.last(Kind.REST).why())
        .isEqualTo("redox-a corrected 366.0 mV reached the end of the band, 365.0 mV");
    assertThat(bench.last(Kind.REST).fields().get("run-redox").toString())
        .isEqualTo("{start-mv=309.0, peak-mv=336.0, end-mv=336.0, corrected-peak-mv=366.0}");
  }

  @Test
  void noDoseStartsOverTheBandOfTheCorrectedValue() {
    keeper.calibrates("redox-a", -30);
    bench.redox(312, 309);
    windowOpens();
    assertThat(bench.runs()).isFalse();
  }

  /** It reads 40 mV too high, so what reads 366 is 326; that buys nothing. */
  @Test
  void aCorrectionDownwardsLetsNothingRunForLonger() {
    keeper.calibrates("redox-a", 40);
    bench.redox(341, 320);
    windowOpens();
    assertThat(bench.runs()).as("not under the band by itself").isFalse();
    bench.redox(339, 320).live(3);
    assertThat(bench.runs()).isTrue();
    bench.redox(366, 320).live(2);
    assertThat(bench.last(Kind.REST).why())
        .isEqualTo("redox-a 366.0 mV reached the end of the band, 365.0 mV");
  }

  @Test
  void theCeilingTripsByTheCorrectedValueAndClearsByBoth() {
    keeper.calibrates("redox-a", -30);
    bench.redox(305, 305);
    windowOpens();
    assertThat(bench.runs()).isTrue();
    bench.redox(371, 305).live(1);
    assertThat(bench.runs()).isFalse();
    assertThat(bench.last(Kind.TRIP).why())
        .isEqualTo("redox-a corrected 401.0 mV, limit 400.0 mV or over");
    bench.redox(330, 305).live(700); // 360 corrected: not below the band
    assertThat(bench.records(Kind.CLEARED)).isEmpty();
    bench.redox(305, 305).live(2);
    assertThat(bench.records(Kind.CLEARED)).hasSize(1);
    bench.redox(391, 305).live(40); // 421 corrected for over 30 s
    assertThat(bench.memory().latches()).containsOnlyKeys("redox-ceiling");
    assertThat(keeper.asks("reset", "name", "redox-ceiling").what())
        .isEqualTo("its cause still stands: redox-a corrected 421.0 mV, limit 400.0 mV or over");
  }

  /** Under 200 mV a probe is taken as unplugged. */
  @Test
  void redoxLowGoesByTheLower() {
    keeper.calibrates("redox-a", 40);
    bench.redox(235, 320); // 195 corrected
    windowOpens();
    assertThat(bench.runs()).isFalse();
    assertThat(bench.last(Kind.REFUSED).why()).contains("redox-low: redox-a corrected 195.0 mV");
    bench.redox(245, 320).live(10);
    assertThat(bench.runs()).isTrue();
  }

  /** The raw value of a probe that is corrected upwards still counts as low. */
  @Test
  void redoxLowGoesByTheRawValueWhereThatIsLower() {
    keeper.calibrates("redox-a", -40);
    bench.redox(195, 290);
    windowOpens();
    assertThat(bench.runs()).isFalse();
    assertThat(bench.last(Kind.REFUSED).why()).contains("redox-low: redox-a 195.0 mV");
  }

  /**
   * Whatever was calibrated: ozone runs only where the raw values alone, by the rule itself, would
   * let it. A run begins with every probe below the band; it is over in the cycle in which any is
   * at its end.
   */
  @ParameterizedTest
  @ValueSource(longs = {1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12})
  void noCorrectionLetsOzoneRunWhereTheRawValuesAloneWouldNot(long seed) {
    SplittableRandom random = new SplittableRandom(seed);
    for (String probe : List.of("redox-a", "redox-b")) {
      keeper.calibrates(probe, "quinhydrone-4", 255 + random.nextDouble(-20, 20));
      if (random.nextBoolean()) {
        double off = random.nextDouble(-6, 6);
        keeper.says(probe, 78 + off);
        bench.live(160);
        keeper.asksToCalibrate(probe, "quinhydrone-7"); // a slope, or unfit
      }
    }
    double a = 320;
    double b = 322;
    bench.redox(a, b);
    windowOpens();
    boolean ran = bench.runs();
    int steps = 0;
    for (int i = 0; i < 5_000; i++) {
      a = walks(a, random);
      b = walks(b, random);
      bench.says("lab/lagoon/redox/a", figure(a));
      bench.says("lab/lagoon/redox/b", "{\"mv\":" + figure(b) + "}");
      bench.live(1);
      boolean runs = bench.runs();
      double highest = Math.max(Double.parseDouble(figure(a)), Double.parseDouble(figure(b)));
      double lowest = Math.min(Double.parseDouble(figure(a)), Double.parseDouble(figure(b)));
      if (runs) {
        assertThat(highest).as("second %s", i).isLessThan(ran ? 365 : 340);
        assertThat(lowest).as("second %s", i).isGreaterThan(200);
        steps++;
      }
      ran = runs;
    }
    boolean unfit = keeper.known("redox-a").unfit() || keeper.known("redox-b").unfit();
    assertThat(steps > 0).as("%s seconds of ozone put to the test", steps).isEqualTo(!unfit);
  }

  private static double walks(double value, SplittableRandom random) {
    double pull = random.nextInt(100) == 0 ? random.nextDouble(-40, 40) : 0;
    return Math.min(
        430, Math.max(180, value + pull + (325 - value) * 0.01 + random.nextDouble(-3, 3)));
  }

  private static String figure(double value) {
    return String.format(Locale.ROOT, "%.1f", value);
  }

  // After cleaning.

  @Test
  void aCleanedProbeHoldsOzoneForADayOverAStartAndAPowerCut() {
    Effect.Answer answer = keeper.asks("note", "cleaned", "redox-a", "text", "algae");
    assertThat(answer.what())
        .isEqualTo(
            "rosa noted that redox-a was cleaned: held ozone for 24 h: redox-a was cleaned: algae");
    assertThat(bench.last(Kind.ACT).fields())
        .containsEntry("act", "hold")
        .containsEntry("name", "ozone")
        .containsEntry("cleaned", "redox-a");
    windowOpens();
    assertThat(bench.runs()).isFalse();
    assertThat(bench.told("lagoon/state").get("why").toString())
        .isEqualTo("hold: ozone is held by the keeper: redox-a was cleaned: algae");
    bench.restarts(Duration.ofSeconds(5));
    bench.connect();
    bench.live(700);
    assertThat(bench.runs()).isFalse();
    bench.reboots(Duration.ofMinutes(1));
    bench.connect();
    bench.live(700);
    assertThat(bench.runs()).isFalse();
    keeper.windowOpens(Bench.WINDOW_OPENS.plus(Duration.ofDays(1)));
    assertThat(bench.memory().holds()).isEmpty();
    assertThat(bench.runs()).as("the night after").isTrue();
  }

  @Test
  void theKeeperMayLiftIt() {
    keeper.asks("note", "cleaned", "redox-b");
    assertThat(bench.memory().holds()).hasSize(1);
    assertThat(keeper.asks("release", "name", "ozone")).matches(Effect.Answer::done);
    windowOpens();
    assertThat(bench.runs()).isTrue();
  }

  @Test
  void onlyAProbeIsCleanedSo() {
    assertThat(keeper.asks("note", "cleaned", "redox-z").what())
        .isEqualTo("there is no redox probe \"redox-z\"; it is redox-a or redox-b");
    assertThat(keeper.asks("note", "text", "cleaned the glass").what())
        .isEqualTo("rosa noted: cleaned the glass");
    assertThat(bench.memory().holds()).isEmpty();
  }
}

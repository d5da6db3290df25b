package io.github.tidewarden.interlock;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.interlock.Condition.Above;
import io.github.tidewarden.interlock.Condition.AllOf;
import io.github.tidewarden.interlock.Condition.AnyOf;
import io.github.tidewarden.interlock.Condition.Apart;
import io.github.tidewarden.interlock.Condition.Below;
import io.github.tidewarden.interlock.Condition.Not;
import io.github.tidewarden.interlock.Condition.Outside;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Quality;
import java.util.List;
import java.util.Set;
import java.util.SplittableRandom;
import java.util.TreeSet;
import java.util.concurrent.TimeUnit;
import java.util.stream.Collectors;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;

/** Interlocks on probes that are corrected: what they stop without it, they stop with it. */
class CorrectedInterlocksTest {
  private static final Set<TankFunction> OZONE = Set.of(TankFunction.OZONE);

  private static InterlockSpec spec(
      String name,
      Condition cause,
      int forSeconds,
      @Nullable Condition clear,
      int restSeconds,
      @Nullable Condition latch) {
    return new InterlockSpec(
        name,
        cause,
        Arming.ALWAYS,
        false,
        TimeUnit.SECONDS.toNanos(forSeconds),
        clear,
        TimeUnit.SECONDS.toNanos(restSeconds),
        latch,
        TimeUnit.SECONDS.toNanos(30),
        0,
        OZONE);
  }

  private static Condition any(double limit) {
    return new AnyOf(List.of(new Above("a", limit), new Above("b", limit)));
  }

  private static GuardBench bench() {
    return new GuardBench(
        spec("ceiling", any(400), 0, new Not(any(340)), 60, any(420)),
        spec("low", new AnyOf(List.of(new Below("a", 200), new Below("b", 200))), 5, null, 0, null),
        spec("apart", new Apart(List.of("a", "b"), 60), 0, null, 60, null),
        spec(
            "both", new AllOf(List.of(new Above("a", 360), new Above("b", 360))), 3, null, 9, null),
        spec("odd", new AllOf(List.of(new Not(new Above("a", 300)), any(350))), 0, null, 0, null),
        spec("outside", new Outside("b", 220, 390), 8, null, 20, null));
  }

  private static Set<String> stopped(GuardBench bench) {
    return bench.stops.stream().map(Stop::name).collect(Collectors.toCollection(TreeSet::new));
  }

  /** 40 walks of 3,000 s; probes are lost now and then. */
  @Test
  void noCorrectionLetsThroughWhatIsStoppedWithoutIt() {
    long stops = 0;
    long more = 0;
    for (int seed = 0; seed < 40; seed++) {
      SplittableRandom random = new SplittableRandom(seed);
      GuardBench raw = bench();
      GuardBench with = bench();
      double slope = random.nextDouble(0.9, 1.1);
      double offset = random.nextDouble(-50, 50);
      double a = 320;
      double b = 325;
      for (int second = 0; second < 3_000; second++) {
        a = walks(a, random);
        b = walks(b, random);
        says(raw, with, "a", a, slope * a + offset, random);
        says(raw, with, "b", b, b - offset / 2, random);
        raw.seconds(1);
        with.seconds(1);
        assertThat(stopped(with)).as("seed %s, second %s", seed, second).containsAll(stopped(raw));
        stops += raw.stops.size();
        more += with.stops.size();
      }
    }
    assertThat(stops).as("put to the test").isGreaterThan(10_000);
    assertThat(more).as("and a correction does something").isGreaterThan(stops);
  }

  private static void says(
      GuardBench raw,
      GuardBench with,
      String name,
      double value,
      double corrected,
      SplittableRandom random) {
    Quality quality = random.nextInt(50) == 0 ? Quality.BAD : Quality.GOOD;
    var signal = GuardBench.signal(name, Measure.REDOX, value, quality, "silent");
    raw.signals.put(name, signal);
    with.signals.put(name, signal);
    with.corrected.put(
        name, GuardBench.signal(name + " corrected", Measure.REDOX, corrected, quality, "silent"));
  }

  private static double walks(double value, SplittableRandom random) {
    return Math.min(460, Math.max(160, value + random.nextDouble(-8, 8)));
  }

  @Test
  void whatIsStoppedOnlyByTheCorrectedValueSaysSo() {
    GuardBench bench = bench().says("a", Measure.REDOX, 390).says("b", Measure.REDOX, 380);
    bench.corrected.put(
        "a", GuardBench.signal("a corrected", Measure.REDOX, 402, Quality.GOOD, ""));
    bench.cycle();
    assertThat(bench.stops)
        .filteredOn(stop -> stop.name().equals("ceiling"))
        .extracting(Stop::why)
        .containsExactly("a corrected 402.0 mV, limit 400.0 mV or over");
    assertThat(bench.interlocks.standingCause("ceiling", bench.state, Seen.raw(bench.signals)))
        .as("of the raw values alone")
        .isNull();
  }
}

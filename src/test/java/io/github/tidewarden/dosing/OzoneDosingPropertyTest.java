package io.github.tidewarden.dosing;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.sensing.Quality;
import io.github.tidewarden.sensing.Signal;
import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import java.util.function.Supplier;
import org.junit.jupiter.api.Test;

/**
 * Random waters, windows and gates that say yes or no as they like; what the generator really did
 * is held against the shortest times and the band.
 */
class OzoneDosingPropertyTest {
  private static final int STORIES = 500;
  private static final int CYCLES = 2_000;

  @Test
  void startsAreSpacedAndNothingIsWantedAgainstTheBand() {
    int starts = 0;
    for (int seed = 0; seed < STORIES; seed++) {
      starts += story(seed);
    }
    assertThat(starts).isGreaterThan(STORIES);
  }

  /** Returns how many doses started. */
  private static int story(int seed) {
    SplittableRandom random = new SplittableRandom(seed);
    DosingBench bench =
        new DosingBench(random.nextInt(3) == 0 ? Long.MAX_VALUE - 1_000 : random.nextLong());
    long boot = bench.mono;
    long sinceStart = Long.MAX_VALUE;
    long sinceEnd = Long.MAX_VALUE;
    int starts = 0;
    double water = 330;
    for (int cycle = 0; cycle < CYCLES; cycle++) {
      long step = random.nextLong(1 + (random.nextInt(5) == 0 ? 90 : 2) * DosingBench.SECOND);
      bench.mono += step;
      sinceStart = sinceStart == Long.MAX_VALUE ? sinceStart : sinceStart + step;
      sinceEnd = sinceEnd == Long.MAX_VALUE ? sinceEnd : sinceEnd + step;
      bench.windowOpen = random.nextInt(40) > 0 && cycle % 500 < 450;
      water += random.nextDouble(-6, bench.running ? 8 : 5.5);
      water = Math.max(300, Math.min(420, water));
      List<Signal> probes = probes(random, water);
      boolean ran = bench.running;
      OzoneDosing.Proposal proposal = bench.proposed(probes);
      int at = cycle;
      Supplier<String> told =
          () -> "seed " + seed + " cycle " + at + " " + proposal + " of " + probes;
      if (proposal.run()) {
        double limit = ran ? DosingBench.STOP_ABOVE : DosingBench.START_BELOW;
        assertThat(bench.windowOpen).as(told).isTrue();
        assertThat(probes).as(told).isNotEmpty().allMatch(p -> p.good() && p.value() < limit);
        assertThat(bench.mono - boot).as(told).isGreaterThanOrEqualTo(DosingBench.SHORTEST_OFF);
      }
      bench.running = proposal.run() && random.nextInt(ran ? 60 : 4) > 0;
      if (bench.running && !ran) {
        assertThat(sinceStart)
            .as(told)
            .isGreaterThanOrEqualTo(DosingBench.SHORTEST_ON + DosingBench.SHORTEST_OFF);
        assertThat(sinceEnd).as(told).isGreaterThanOrEqualTo(DosingBench.SHORTEST_OFF);
        sinceStart = 0;
        starts++;
      }
      if (ran && !bench.running) {
        sinceEnd = 0;
      }
    }
    return starts;
  }

  private static List<Signal> probes(SplittableRandom random, double water) {
    List<Signal> probes = new ArrayList<>();
    int count = random.nextInt(200) == 0 ? 0 : 2;
    for (int i = 0; i < count; i++) {
      Quality quality = random.nextInt(100) == 0 ? Quality.UNCERTAIN : Quality.GOOD;
      double value = water + random.nextDouble(-4, 4);
      switch (random.nextInt(400)) {
        case 0 -> value = Double.NaN;
        case 1 -> value = Double.NEGATIVE_INFINITY;
        case 2 -> value = DosingBench.START_BELOW;
        case 3 -> value = DosingBench.STOP_ABOVE;
        default -> {}
      }
      probes.add(DosingBench.probe("redox-" + i, value, quality));
    }
    return probes;
  }
}

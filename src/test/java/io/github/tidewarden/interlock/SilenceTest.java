package io.github.tidewarden.interlock;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.sensing.Measure;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

/** Silence is not a trip (DEVELOPERS.md, D3): timed stories of one needed signal. */
class SilenceTest {
  private static final int REST_SECONDS = 300;

  private GuardBench bench;

  @BeforeEach
  void ozoneNeedsAProbe() {
    bench = new GuardBench();
    bench.interlocks =
        new Interlocks(
            List.of(),
            List.of(GuardBench.sensor("redox-a", Measure.REDOX, 0)),
            Map.of(TankFunction.OZONE, List.of("redox-a")),
            Map.of());
    bench.says("redox-a", Measure.REDOX, 320);
    bench.running.add(TankFunction.OZONE);
  }

  /** Lost while running, at rest from the next cycle on. */
  private void isLostInARun() {
    bench.running.add(TankFunction.OZONE);
    bench.says("redox-a", Measure.REDOX, 320).seconds(1);
    bench.loses("redox-a").seconds(1);
    bench.running.clear();
  }

  @Test
  void forbidsAtOnceAndFor5MinutesFromTheLoss() {
    bench.seconds(1);
    assertThat(bench.stops).isEmpty();
    isLostInARun();
    assertThat(bench.names(Event.Type.SILENT)).containsExactly("redox-a-silent");
    assertThat(bench.events.get(0).why()).isEqualTo("redox-a is silent for 60 s");
    assertThat(bench.stopped(TankFunction.OZONE)).isTrue();
    assertThat(bench.stopped(TankFunction.EXCHANGE)).isFalse();
    bench.says("redox-a", Measure.REDOX, 320).seconds(REST_SECONDS - 1);
    assertThat(bench.stops)
        .singleElement()
        .satisfies(stop -> assertThat(stop.why()).isEqualTo("resting after redox-a was lost"));
    bench.seconds(1);
    assertThat(bench.stops).isEmpty();
    assertThat(bench.state.silences()).as("nothing is lost now").isEmpty();
  }

  @Test
  void aLossThatLastsIsOneLossAndEndsWithTheSignal() {
    isLostInARun();
    bench.seconds(10 * REST_SECONDS);
    assertThat(bench.names(Event.Type.SILENT)).hasSize(1);
    bench.says("redox-a", Measure.REDOX, 320).seconds(1);
    assertThat(bench.stops).isEmpty();
  }

  @Test
  void aSignalThatFlapsInTheRestIsNotLostAgain() {
    isLostInARun();
    for (int i = 0; i < 50; i++) {
      bench.says("redox-a", Measure.REDOX, 320).seconds(1);
      bench.loses("redox-a").seconds(1);
    }
    assertThat(bench.names(Event.Type.SILENT)).hasSize(1);
  }

  @Test
  void theThirdLossOfANightLatches() {
    for (int loss = 1; loss <= 3; loss++) {
      assertThat(bench.latches).isEmpty();
      isLostInARun();
      bench.says("redox-a", Measure.REDOX, 320).seconds(REST_SECONDS + 1);
    }
    assertThat(bench.latches).containsOnlyKeys("redox-a-silent");
    assertThat(bench.stops)
        .containsExactly(
            new Stop(
                TankFunction.OZONE, "redox-a-silent", "latched: redox-a is silent for 60 s", true));
    isLostInARun();
    assertThat(bench.names(Event.Type.SILENT)).as("latched is latched").hasSize(3);
  }

  @Test
  void lossesWhileIdleNeverCountNorLatch() {
    bench.interlocks =
        new Interlocks(
            List.of(),
            List.of(GuardBench.sensor("redox-a", Measure.REDOX, 60)),
            Map.of(TankFunction.OZONE, List.of("redox-a")),
            Map.of());
    bench.running.clear();
    for (int i = 0; i < 10; i++) {
      bench.loses("redox-a").seconds(3600);
      assertThat(bench.stopped(TankFunction.OZONE)).isTrue();
      bench.says("redox-a", Measure.REDOX, 320).seconds(1);
      assertThat(bench.stops).as("clears by itself, without a rest").isEmpty();
    }
    assertThat(bench.events).isEmpty();
  }

  @Test
  void whatIsNotHeardBeforeTheFirstReadingMayNotStartAndDoesNotTrip() {
    bench.running.clear();
    bench.signals.clear();
    bench.seconds(1);
    assertThat(bench.stops)
        .containsExactly(
            new Stop(TankFunction.OZONE, "redox-a", "redox-a is not configured", false));
    assertThat(bench.events).isEmpty();
  }

  @Test
  void latchesWhenItLastsLongerThanItsLimit() {
    bench.interlocks =
        new Interlocks(
            List.of(),
            List.of(GuardBench.sensor("redox-a", Measure.REDOX, 120)),
            Map.of(TankFunction.OZONE, List.of("redox-a")),
            Map.of());
    isLostInARun();
    bench.seconds(119);
    assertThat(bench.latches).isEmpty();
    bench.seconds(1);
    assertThat(bench.latches).containsOnlyKeys("redox-a-silent");
    bench.seconds(100);
    assertThat(bench.names(Event.Type.LATCHED)).hasSize(1);
  }

  /** A device that does not obey, say, or whose last lease is not over. */
  @Test
  void whatRunsOnAfterTheLossPutsNeitherTheLimitOffNorTheEndOfTheRest() {
    bench.interlocks =
        new Interlocks(
            List.of(),
            List.of(GuardBench.sensor("redox-a", Measure.REDOX, 120)),
            Map.of(TankFunction.OZONE, List.of("redox-a")),
            Map.of());
    bench.loses("redox-a").seconds(120);
    assertThat(bench.latches).isEmpty();
    bench.seconds(1);
    assertThat(bench.latches).containsOnlyKeys("redox-a-silent");
    bench.latches.clear();
    bench.says("redox-a", Measure.REDOX, 320).seconds(REST_SECONDS - 121);
    assertThat(bench.stopped(TankFunction.OZONE)).isTrue();
    bench.seconds(1);
    assertThat(bench.stopped(TankFunction.OZONE)).isFalse();
  }

  @Test
  void aSignalWithoutASensorOfItsOwnHasNoLimit() {
    bench.interlocks =
        new Interlocks(
            List.of(), List.of(), Map.of(TankFunction.OZONE, List.of("redox-a")), Map.of());
    isLostInARun();
    bench.passes(100_000);
    bench.seconds(1);
    assertThat(bench.latches).isEmpty();
  }

  @Test
  void theRestIsOverAtItsEnd() {
    Silence rest = new Silence(null, bench.now().monoNanos());
    assertThat(rest.resting(bench.now())).isFalse();
    bench.passes(-1);
    assertThat(rest.resting(bench.now())).isTrue();
    assertThat(Silence.NONE.resting(bench.now())).isFalse();
  }
}

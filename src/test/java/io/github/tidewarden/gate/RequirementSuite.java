package io.github.tidewarden.gate;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

/** What holds for every single thing that a run needs. */
abstract class RequirementSuite {
  private GateBench bench;

  /** Takes the one thing away. */
  abstract void spoil(GateBench bench);

  /** Gives it back. */
  abstract void mend(GateBench bench);

  /** What the gate says then; empty when a run was not asked for, which is no denial. */
  abstract String why();

  @BeforeEach
  void allIsWell() {
    bench = new GateBench();
  }

  private void isDenied(Gate.Decision decision) {
    assertThat(decision.lease()).isNull();
    assertThat(decision.reserveNanos()).isZero();
    if (why().isEmpty()) {
      assertThat(decision.denials()).isEmpty();
    } else {
      assertThat(decision.denials()).containsExactly(why());
    }
  }

  @Test
  void withAllWellItReservesAndRuns() {
    assertThat(bench.decideAndReserve().reserveNanos()).isEqualTo(5 * GateBench.MINUTE);
    assertThat(bench.decide().command().runs()).isTrue();
  }

  @Test
  void reservesNothingWithoutIt() {
    spoil(bench);
    Gate.Decision decision = bench.decide();
    isDenied(decision);
    assertThat(decision.command()).isNull();
  }

  @Test
  void startsNothingWithoutItThoughTimeIsReserved() {
    bench.decideAndReserve();
    spoil(bench);
    Gate.Decision decision = bench.decide();
    isDenied(decision);
    assertThat(decision.command()).isNull();
  }

  @Test
  void restsAtOnceWhenItGoesAndSaysItOnce() {
    bench.running().passes(Duration.ofMillis(1));
    spoil(bench);
    Gate.Decision decision = bench.decide();
    isDenied(decision);
    assertThat(decision.command().runs()).isFalse();
    assertThat(bench.decide().command()).isNull();
  }

  @Test
  void isNotRenewedWithoutIt() {
    bench.running().passes(Duration.ofSeconds(10));
    spoil(bench);
    Gate.Decision decision = bench.decide();
    isDenied(decision);
    assertThat(decision.command().runs()).isFalse();
  }

  @Test
  void keepsNoLatchOfItsOwn() {
    bench.decideAndReserve();
    spoil(bench);
    bench.decide();
    mend(bench);
    assertThat(bench.decide().command().runs()).isTrue();
  }
}

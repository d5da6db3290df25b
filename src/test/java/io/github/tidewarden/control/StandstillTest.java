package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.quantity.Moment;
import java.time.Duration;
import java.time.Instant;
import org.junit.jupiter.api.Test;

/** When a portion that stands still gives way. */
class StandstillTest {
  private static final Moment NOW = at(Duration.ZERO);

  private static Moment at(Duration later) {
    return new Moment(Instant.EPOCH.plus(later), later.toNanos(), true);
  }

  @Test
  void afterHalfAnHour() {
    Standstill stands = Standstill.NONE.lasting(false, false, NOW);
    Moment late = at(Standstill.LONGEST.minusNanos(1));
    assertThat(stands.gaveWay()).isFalse();
    assertThat(stands.lasting(false, false, late).gaveWay()).isFalse();
    assertThat(stands.lasting(false, false, at(Standstill.LONGEST)).gaveWay()).isTrue();
  }

  @Test
  void atOnceWhereItsKeeperIsWaitedForButNotWhileAPumpMayRun() {
    assertThat(Standstill.NONE.lasting(false, true, NOW).gaveWay()).isTrue();
    assertThat(Standstill.NONE.lasting(true, true, NOW).gaveWay()).isFalse();
  }

  @Test
  void goesOnOnceNobodyElseIsAtIt() {
    Standstill gave = Standstill.NONE.lasting(false, true, NOW);
    assertThat(gave.held(false, false, false)).isEqualTo(gave);
    Standstill waits = gave.held(false, true, true);
    assertThat(waits.waitsForItsTurn()).isTrue();
    assertThat(waits.held(false, true, false)).isEqualTo(Standstill.NONE);
  }
}

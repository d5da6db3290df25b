package io.github.tidewarden.science;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;
import static org.assertj.core.api.Assertions.within;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** A process and the probe that lags behind it. */
class LaggedFirstOrderTest {

  /** Against the two equations themselves, solved in small steps (midpoint rule). */
  @ParameterizedTest
  @CsvSource({"300, 60, 40", "300, 0, 120", "100, 20, 100", "3000, 300, 15", "50, 10, 120"})
  void readsWhatTheEquationsGive(double tau, double deadTime, double lag) {
    LaggedFirstOrder lagged = new LaggedFirstOrder(new FirstOrder(2, tau, deadTime), lag);
    double dt = 0.05;
    double water = 0;
    double probe = 0;
    double input = 20; // gain 2, step 10
    for (int i = 0; i * dt < 4 * tau; i++) {
      double time = i * dt;
      if (i % 2000 == 0) {
        assertThat(lagged.reading(deadTime + time, 10)).isCloseTo(probe, within(1e-4 * input));
        assertThat(lagged.water().response(deadTime + time, 10))
            .isCloseTo(water, within(1e-4 * input));
      }
      double waterHalf = water + dt / 2 * (input - water) / tau;
      double probeHalf = probe + dt / 2 * (water - probe) / lag;
      probe += dt * (waterHalf - probeHalf) / lag;
      water += dt * (input - waterHalf) / tau;
    }
  }

  @Test
  void withoutALagItReadsTheWater() {
    FirstOrder water = new FirstOrder(2, 300, 60);
    LaggedFirstOrder lagged = new LaggedFirstOrder(water, 0);
    assertThat(lagged.reading(60, 10)).isZero();
    // The exact synthetic step: y(300) = 361.0134 over 350, 20 (1 - exp(-(300 - 60) / 300)).
    assertThat(lagged.reading(300, 10)).isCloseTo(11.0134, within(1e-4));
    assertThat(lagged.reading(300, 10)).isCloseTo(water.response(300, 10), within(1e-12));
  }

  @Test
  void refusesALagThatIsNone() {
    FirstOrder water = new FirstOrder(2, 300, 60);
    assertThatIllegalArgumentException().isThrownBy(() -> new LaggedFirstOrder(water, -1));
    assertThatIllegalArgumentException().isThrownBy(() -> new LaggedFirstOrder(water, Double.NaN));
    assertThatIllegalArgumentException().isThrownBy(() -> new LaggedFirstOrder(water, 1e5));
  }
}

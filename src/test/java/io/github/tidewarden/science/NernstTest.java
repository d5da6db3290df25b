package io.github.tidewarden.science;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;
import static org.assertj.core.api.Assertions.within;

import org.junit.jupiter.api.Test;

class NernstTest {

  /** R T ln 10 / F with the constants of CODATA 2018; 59.16 at 25 degC is also in textbooks. */
  @Test
  void hasTheTabledSlopes() {
    double[] slopes = {54.199, 55.191, 56.183, 57.175, 58.167, 59.159, 60.151};
    for (int row = 0; row < slopes.length; row++) {
      assertThat(Nernst.slopeMillivoltsPerPh(5 * row)).isCloseTo(slopes[row], within(0.0006));
    }
  }

  /** Quinhydrone in pH 4 and pH 7 buffers, a supplier's note, read: 177 mV apart at 25 degC. */
  @Test
  void explainsTheSpanOfTheQuinhydroneBuffers() {
    assertThat(Nernst.slopeMillivoltsPerPh(25) * (7.00 - 4.01)).isCloseTo(177, within(0.5));
  }

  @Test
  void refusesImpossibleTemperatures() {
    for (double celsius : new double[] {-0.1, 100.1, Double.NaN}) {
      assertThatIllegalArgumentException().isThrownBy(() -> Nernst.slopeMillivoltsPerPh(celsius));
    }
  }
}

package io.github.tidewarden.science;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/**
 * Certified fits of NIST, Statistical Reference Datasets, nonlinear regression: read in public
 * copies of its data files. Both are {@code y = b1 (1 - exp(-b2 x))}, a response of first order.
 */
class LeastSquaresTest {

  private static final LeastSquares.Model NOTHING = (point, parameters, gradient) -> Double.NaN;

  private static LeastSquares.Model saturating(double[] x) {
    return (point, b, gradient) -> {
      double left = Math.exp(-b[1] * x[point]);
      gradient[0] = 1 - left;
      gradient[1] = b[0] * x[point] * left;
      return b[0] * (1 - left);
    };
  }

  /** https://www.itl.nist.gov/div898/strd/nls/data/misra1a.shtml, both of its starting points. */
  @ParameterizedTest
  @CsvSource({"500, 0.0001", "250, 0.0005"})
  void itsFitOfMisra1aIsTheOneThatNistCertifies(double startOne, double startTwo) {
    double[] x = {
      77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1,
      760.0
    };
    double[] y = {
      10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40, 75.47,
      81.78
    };
    LeastSquares.Solution fit =
        LeastSquares.solve(
            saturating(x), y, new double[] {startOne, startTwo}, LeastSquares.MOST_STEPS);

    assertThat(fit.settled()).isTrue();
    assertThat(fit.parameters()[0]).isCloseTo(2.3894212918E+02, within(1e-6));
    assertThat(fit.parameters()[1]).isCloseTo(5.5015643181E-04, within(1e-12));
    assertThat(fit.error(0)).isCloseTo(2.7070075241E+00, within(1e-6));
    assertThat(fit.error(1)).isCloseTo(7.2668688436E-06, within(1e-12));
    assertThat(fit.sumOfSquares()).isCloseTo(1.2455138894E-01, within(1e-9));
  }

  /** https://www.itl.nist.gov/div898/strd/nls/data/boxbod.shtml, its second starting point. */
  @Test
  void itsFitOfBoxbodIsTheOneThatNistCertifies() {
    double[] x = {1, 2, 3, 5, 7, 10};
    double[] y = {109, 149, 149, 191, 213, 224};
    LeastSquares.Solution fit =
        LeastSquares.solve(saturating(x), y, new double[] {100, 0.75}, LeastSquares.MOST_STEPS);

    assertThat(fit.settled()).isTrue();
    assertThat(fit.parameters()[0]).isCloseTo(2.1380940889E+02, within(1e-5));
    assertThat(fit.parameters()[1]).isCloseTo(5.4723748542E-01, within(1e-7));
    assertThat(fit.error(0)).isCloseTo(1.2354515176E+01, within(1e-5));
    assertThat(fit.error(1)).isCloseTo(1.0455993237E-01, within(1e-7));
    assertThat(fit.sumOfSquares()).isCloseTo(1.1680088766E+03, within(1e-6));
  }

  @Test
  void endsAndSaysSoWhereThereIsNothingToFit() {
    LeastSquares.Solution fit =
        LeastSquares.solve(
            NOTHING, new double[] {1, 2, 3}, new double[] {1}, LeastSquares.MOST_STEPS);
    assertThat(fit.settled()).isFalse();
  }
}

package io.github.tidewarden.science;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;
import static org.assertj.core.api.Assertions.within;

import io.github.tidewarden.science.OutputCurve.Point;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** What a generator makes. There is no table from outside: every figure is worked out by hand. */
class OutputCurveTest {

  /** Nothing below a level of 10, and the same from 80 up. */
  private static final OutputCurve CURVE =
      new OutputCurve(
          List.of(
              new Point(0, 0),
              new Point(10, 0),
              new Point(40, 60),
              new Point(80, 100),
              new Point(100, 100)));

  @ParameterizedTest
  @CsvSource({"0, 0", "0.25, 12.5", "0.5, 25", "1, 50"})
  void ratedOutputTimesDuty(double duty, double milligramsPerHour) {
    assertThat(OutputCurve.rated(50).milligramsPerHour(duty)).isEqualTo(milligramsPerHour);
    assertThat(OutputCurve.rated(50).setting(milligramsPerHour)).isEqualTo(duty);
  }

  @ParameterizedTest
  @CsvSource({"0, 0", "10, 0", "25, 30", "40, 60", "50, 70", "80, 100", "95, 100", "100, 100"})
  void isStraightBetweenThePoints(double level, double milligramsPerHour) {
    assertThat(CURVE.milligramsPerHour(level)).isCloseTo(milligramsPerHour, within(1e-12));
  }

  @ParameterizedTest
  @CsvSource({"0, 0", "30, 25", "60, 40", "70, 50", "100, 80"})
  void theLowestSettingThatMakesSoMuch(double milligramsPerHour, double level) {
    assertThat(CURVE.setting(milligramsPerHour)).isCloseTo(level, within(1e-12));
  }

  @Test
  void aSettingMakesWhatItWasAskedForAndMoreNeverMakesLess() {
    SplittableRandom random = new SplittableRandom(50);
    for (int i = 0; i < 1000; i++) {
      OutputCurve curve = new OutputCurve(points(random));
      double first = curve.points().get(0).milligramsPerHour();
      double last = curve.points().get(curve.points().size() - 1).milligramsPerHour();
      double wanted = first + random.nextDouble() * (last - first);
      double setting = curve.setting(wanted);
      double made = curve.milligramsPerHour(setting);
      assertThat(made).isCloseTo(wanted, within(1e-9));
      double most = curve.points().get(curve.points().size() - 1).setting();
      double more = Math.min(most, setting + random.nextDouble(0, 10));
      assertThat(curve.milligramsPerHour(more)).isGreaterThanOrEqualTo(made - 1e-9);
    }
  }

  private static List<Point> points(SplittableRandom random) {
    List<Point> points = new ArrayList<>();
    double setting = random.nextDouble(0, 5);
    double output = random.nextDouble(0, 5);
    int count = random.nextInt(2, 12);
    for (int i = 0; i < count; i++) {
      points.add(new Point(setting, output));
      setting += random.nextDouble(0.1, 10);
      output += random.nextBoolean() ? 0 : random.nextDouble(0, 10);
    }
    return points;
  }

  @ParameterizedTest
  @ValueSource(doubles = {-0.001, 100.001, Double.NaN, Double.POSITIVE_INFINITY})
  void refusesWhatIsBeyondTheCurve(double beyond) {
    assertThatIllegalArgumentException()
        .isThrownBy(() -> CURVE.milligramsPerHour(beyond))
        .withMessageContaining("setting");
    assertThatIllegalArgumentException()
        .isThrownBy(() -> CURVE.setting(beyond))
        .withMessageContaining("output");
  }

  @Test
  void refusesWhatIsNoCurve() {
    assertThatIllegalArgumentException()
        .isThrownBy(() -> new OutputCurve(List.of(new Point(0, 0))))
        .withMessageContaining("2 to 100 points, not 1");
    assertThatIllegalArgumentException()
        .isThrownBy(() -> new OutputCurve(Collections.nCopies(101, new Point(0, 0))))
        .withMessageContaining("not 101");
    assertThatIllegalArgumentException()
        .isThrownBy(() -> new OutputCurve(List.of(new Point(3, 0), new Point(3, 1))))
        .withMessageContaining("setting 3.0 must be over 3.0");
    assertThatIllegalArgumentException()
        .isThrownBy(() -> new OutputCurve(List.of(new Point(0, 5), new Point(1, 4))))
        .withMessageContaining("output falls from 5.0 to 4.0");
    for (double bad : new double[] {-1, Double.NaN, Double.POSITIVE_INFINITY}) {
      assertThatIllegalArgumentException().isThrownBy(() -> new Point(bad, 1));
      assertThatIllegalArgumentException().isThrownBy(() -> new Point(1, bad));
      assertThatIllegalArgumentException().isThrownBy(() -> OutputCurve.rated(bad));
    }
  }

  @Test
  void milligramsForEachLitreAndDay() {
    // 50 mg/h for an hour and a half into 340 L: 75 / 340.
    assertThat(OutputCurve.milligramsPerLitreAndDay(50, 1.5, 340))
        .isCloseTo(0.220588, within(1e-6));
    assertThatIllegalArgumentException()
        .isThrownBy(() -> OutputCurve.milligramsPerLitreAndDay(50, 24.1, 340));
    assertThatIllegalArgumentException()
        .isThrownBy(() -> OutputCurve.milligramsPerLitreAndDay(50, 1, 0.5));
    assertThatIllegalArgumentException()
        .isThrownBy(() -> OutputCurve.milligramsPerLitreAndDay(-1, 1, 340));
  }
}

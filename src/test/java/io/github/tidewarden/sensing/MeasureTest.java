package io.github.tidewarden.sensing;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.Arrays;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.EnumSource;
import org.junit.jupiter.params.provider.ValueSource;

class MeasureTest {

  /** All our choice; SAFETY.md prints those of what guards ozone under "a silent sensor". */
  @ParameterizedTest
  @CsvSource({
    "REDOX, redox, mV, 60",
    "AIR_FLOW, air-flow, L/min, 30",
    "RUNNING, running, '', 30",
    "LEVEL, level, mm, 30",
    "SALINITY, salinity, PSU, 300",
    "VOLUME, volume, L, 300",
    "LEAK, leak, '', 600",
    "FULL, full, '', 600",
    "OZONE_IN_AIR, ozone-in-air, ppb, 60",
    "TEMPERATURE, temperature, Cel, 60"
  })
  void hasItsWordUnitAndStaleLimit(Measure measure, String word, String unit, long staleSeconds) {
    assertThat(measure.word()).isEqualTo(word);
    assertThat(measure.unit()).isEqualTo(unit);
    assertThat(measure.staleNanos()).isEqualTo(staleSeconds * SensingBench.SECOND);
    assertThat(measure.contact()).isEqualTo(unit.isEmpty());
  }

  @Test
  void redoxIsPlausibleFrom50To700Millivolts() {
    assertThat(Measure.REDOX.plausibleLow()).isEqualTo(50);
    assertThat(Measure.REDOX.plausibleHigh()).isEqualTo(700);
  }

  @Test
  void noTwoShareAWord() {
    assertThat(Arrays.stream(Measure.values()).map(Measure::word)).doesNotHaveDuplicates();
  }

  @ParameterizedTest
  @CsvSource({
    "REDOX, 352.14, 352.1 mV",
    "REDOX, 352.15, 352.2 mV",
    "REDOX, -0.0, 0.0 mV",
    "AIR_FLOW, 3, 3.00 L/min",
    "RUNNING, 1, running",
    "RUNNING, 0, stopped",
    "LEAK, 1, wet",
    "LEAK, 0, dry",
    "LEAK, -0.0, dry",
    "FULL, 1, full",
    "FULL, 0, empty",
    "TEMPERATURE, 25.256, 25.26 °C",
    "OZONE_IN_AIR, 50, 50.0 ppb"
  })
  void isToldAsAPersonReadsIt(Measure measure, double value, String told) {
    assertThat(measure.told(value)).isEqualTo(told);
  }

  /** What tells of a fault must not fail itself. */
  @ParameterizedTest
  @EnumSource(Measure.class)
  void whatIsNoNumberIsUnknown(Measure measure) {
    for (double value : new double[] {Double.NaN, 1 / 0.0, -1 / 0.0}) {
      assertThat(measure.told(value)).isEqualTo("unknown");
    }
    assertThat(measure.told(Double.MAX_VALUE)).isNotBlank();
  }

  @ParameterizedTest
  @ValueSource(doubles = {0, -0.0, 0.04, 0.05, 699.95})
  void aFigureHasTheFixedDecimalsOfItsMeasure(double value) {
    assertThat(Measure.REDOX.figure(value).scale()).isEqualTo(1);
    assertThat(Measure.SALINITY.figure(value).scale()).isEqualTo(2);
    assertThat(Measure.LEAK.figure(value).scale()).isZero();
    assertThat(Measure.REDOX.decimals()).isEqualTo(1);
  }
}

package io.github.tidewarden.rehearsal;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.util.List;
import java.util.stream.IntStream;
import org.junit.jupiter.api.Test;

class SimulatedSensorTest {

  private static SimulatedSensor probe(long seed) {
    return new SimulatedSensor(2, 0.5, 0.1, 0, seed);
  }

  private static List<Double> reports(SimulatedSensor sensor, int count) {
    return IntStream.range(0, count).mapToObj(i -> sensor.report(350).orElseThrow()).toList();
  }

  @Test
  void theSameSeedGivesTheSameNoise() {
    assertThat(reports(probe(5), 100)).isEqualTo(reports(probe(5), 100));
    assertThat(reports(probe(5), 100)).isNotEqualTo(reports(probe(6), 100));
  }

  @Test
  void noiseHasTheStandardDeviationAskedForAroundTruthPlusOffset() {
    List<Double> reports = reports(probe(1), 20_000);
    double mean = reports.stream().mapToDouble(Double::doubleValue).average().orElseThrow();
    double variance =
        reports.stream().mapToDouble(r -> (r - mean) * (r - mean)).average().orElseThrow();
    // Standard error of the mean 0.0035 mV, of the deviation 0.0025 mV; four of each.
    assertThat(mean).isCloseTo(352, within(0.014));
    assertThat(Math.sqrt(variance)).isCloseTo(0.5, within(0.011));
  }

  @Test
  void reportsInWholeSteps() {
    SimulatedSensor whole = new SimulatedSensor(0, 0, 1, 0, 1);
    assertThat(whole.report(350.4)).hasValue(350);
    assertThat(whole.report(350.6)).hasValue(351);
    SimulatedSensor tenth = new SimulatedSensor(0, 0, 0.1, 0, 1);
    assertThat(tenth.report(350.44).orElseThrow()).isCloseTo(350.4, within(1e-9));
    assertThat(tenth.report(350.46).orElseThrow()).isCloseTo(350.5, within(1e-9));
  }

  @Test
  void neverReportsLessThanItCan() {
    assertThat(new SimulatedSensor(0, 0, 1, 0, 1).report(-3)).hasValue(0);
  }

  @Test
  void saysNothingWhileSilent() {
    SimulatedSensor sensor = probe(3);
    sensor.silent(true);
    assertThat(sensor.report(350)).isEmpty();
    sensor.silent(false);
    assertThat(sensor.report(350)).isPresent();
  }

  @Test
  void repeatsItsLastReportWhileFrozen() {
    SimulatedSensor sensor = probe(3);
    double last = sensor.report(350).orElseThrow();
    sensor.frozen(true);
    assertThat(sensor.report(400)).hasValue(last);
    assertThat(sensor.report(450)).hasValue(last);
    sensor.frozen(false);
    assertThat(sensor.report(450).orElseThrow()).isCloseTo(452, within(3.0));
  }

  @Test
  void readsBesideTheTruthWithAnOffset() {
    SimulatedSensor sensor = new SimulatedSensor(1, 0, 0.1, 0, 1);
    sensor.offset(40);
    assertThat(sensor.report(350)).hasValue(391);
    sensor.offset(0);
    assertThat(sensor.report(350)).hasValue(351);
  }

  @Test
  void aFaultDoesNotChangeTheNoiseThatComesAfterIt() {
    SimulatedSensor sound = probe(9);
    SimulatedSensor faulty = probe(9);
    reports(sound, 10);
    faulty.silent(true);
    faulty.frozen(true);
    IntStream.range(0, 10).forEach(i -> faulty.report(350));
    faulty.silent(false);
    faulty.frozen(false);
    assertThat(reports(faulty, 20)).isEqualTo(reports(sound, 20));
  }
}

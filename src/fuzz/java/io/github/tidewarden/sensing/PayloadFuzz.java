package io.github.tidewarden.sensing;

import com.code_intelligence.jazzer.junit.FuzzTest;
import io.github.tidewarden.quantity.Moment;
import java.time.Instant;
import java.util.List;
import java.util.Map;

/** Any bytes as a message: never an exception, never a value outside what is plausible. */
class PayloadFuzz {
  private static final Moment NOW = new Moment(Instant.parse("2026-01-15T02:00:00Z"), 0, true);

  private static final List<SensorSpec> SPECS =
      List.of(
          spec(Measure.REDOX, "", Map.of(), "", ""),
          spec(Measure.REDOX, "/mv", Map.of(), "/n", "/t"),
          spec(Measure.LEAK, "/state", Map.of("wet", true, "dry", false), "", ""));

  private static SensorSpec spec(
      Measure measure, String pointer, Map<String, Boolean> states, String n, String t) {
    return new SensorSpec(
        "any",
        "lab/any",
        pointer,
        measure,
        1,
        measure.plausibleLow(),
        measure.plausibleHigh(),
        measure.staleNanos(),
        0,
        states,
        n,
        t);
  }

  @FuzzTest(maxDuration = "3m")
  void isNeverBelievedOutsideTheBand(byte[] bytes) {
    for (SensorSpec spec : SPECS) {
      Reading reading = new Reading(1, spec.topic(), bytes, false, NOW);
      Signal signal = Sensor.UNHEARD.accept(spec, reading).at(spec, NOW);
      double value = signal.value();
      if (signal.good() && !(value >= spec.plausibleLow() && value <= spec.plausibleHigh())) {
        throw new AssertionError(signal);
      }
      Payload.state(spec.pointer(), bytes);
    }
  }
}

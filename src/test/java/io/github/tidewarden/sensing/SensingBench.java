package io.github.tidewarden.sensing;

import io.github.tidewarden.quantity.Moment;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.Map;

/** One sensor, its messages, and both clocks in the test's hand. */
final class SensingBench {
  static final long SECOND = 1_000_000_000L;
  static final SensorSpec REDOX = redox("", 1, "", "");
  static final SensorSpec REDOX_JSON = redox("/mv", 1, "", "");
  static final SensorSpec COUNTED = redox("/mv", 1, "/n", "");
  static final SensorSpec TIMED = redox("/mv", 1, "", "/t");
  static final SensorSpec LEAK =
      contact("", Measure.LEAK, Map.of("wet", true, "dry", false, "", false));
  static final SensorSpec RUNNING =
      contact("/state", Measure.RUNNING, Map.of("1", true, "0", false, "true", true));

  final SensorSpec spec;
  Sensor sensor = Sensor.UNHEARD;
  Instant wall = Instant.parse("2026-01-15T02:00:00Z");
  long mono = -30 * SECOND; // the origin of a monotonic clock is arbitrary
  boolean trusted = true;
  private long arrivals;

  SensingBench(SensorSpec spec) {
    this.spec = spec;
  }

  static SensorSpec redox(String pointer, double scale, String sequence, String time) {
    return new SensorSpec(
        "redox-a",
        "lab/lagoon/redox/a",
        pointer,
        Measure.REDOX,
        scale,
        50,
        700,
        60 * SECOND,
        0,
        Map.of(),
        sequence,
        time);
  }

  static SensorSpec contact(String pointer, Measure measure, Map<String, Boolean> states) {
    return new SensorSpec(
        "contact",
        "lab/lagoon/contact",
        pointer,
        measure,
        1,
        0,
        1,
        measure.staleNanos(),
        0,
        states,
        "",
        "");
  }

  static byte[] bytes(String text) {
    return text.getBytes(StandardCharsets.UTF_8);
  }

  Moment now() {
    return new Moment(wall, mono, trusted);
  }

  SensingBench passes(Duration time) {
    wall = wall.plus(time);
    mono += time.toNanos();
    return this;
  }

  SensingBench hears(String payload) {
    return hears(bytes(payload), false);
  }

  SensingBench hears(byte[] payload, boolean retained) {
    Reading reading = new Reading(++arrivals, spec.topic(), payload, retained, now());
    sensor = sensor.accept(spec, reading);
    return this;
  }

  Signal signal() {
    return sensor.at(spec, now());
  }
}

package io.github.tidewarden.sensing;

import java.util.Map;

/**
 * How one sensor's messages become a signal. Built and checked by {@code config}.
 *
 * @param name the name within its tank or room, such as {@code redox-a}
 * @param topic the MQTT topic
 * @param pointer JSON Pointer (RFC 6901) to the value, or empty when the whole payload is the value
 * @param measure what it measures
 * @param scale factor from the payload's unit to the core's unit, finite and positive; 1 for a
 *     contact
 * @param plausibleLow lowest believable value in the core's unit
 * @param plausibleHigh highest believable value in the core's unit
 * @param staleNanos age in nanoseconds of monotonic time at which the value no longer counts
 * @param latchWhenSilentNanos silence in nanoseconds, while its function runs, that latches; 0 for
 *     never
 * @param states for a contact, the payload texts and the state each means (1 running, wet or full,
 *     0 stopped, dry or empty); empty for a number
 * @param sequencePointer JSON Pointer to a counter that must rise from message to message, or empty
 * @param timePointer JSON Pointer to the device's own RFC 3339 time, which must rise, or empty
 */
public record SensorSpec(
    String name,
    String topic,
    String pointer,
    Measure measure,
    double scale,
    double plausibleLow,
    double plausibleHigh,
    long staleNanos,
    long latchWhenSilentNanos,
    Map<String, Boolean> states,
    String sequencePointer,
    String timePointer) {

  /** Copies the map so that the spec cannot change afterwards. */
  public SensorSpec {
    states = Map.copyOf(states);
  }
}

package io.github.tidewarden.sensing;

import io.github.tidewarden.quantity.Moment;
import java.time.Duration;
import java.time.Instant;
import org.jspecify.annotations.Nullable;

/**
 * What is known of one sensor: an immutable state that readings move on. A retained, late,
 * repeated, unreadable or implausible message never makes it good and never makes its value
 * younger.
 *
 * @param value the last believed value; NaN before the first
 * @param monoNanos arrival of that value, monotonic
 * @param arrivalNumber arrival number of that value; 0 before the first
 * @param doubt why the latest message spoils the value, in the keeper's words; empty when it does
 *     not
 * @param lost whether the doubt leaves no usable value at all
 * @param sequence the last sequence seen, where one is configured
 * @param deviceTime the last device time seen, where it is configured
 * @param rejected messages so far that could not be used
 */
public record Sensor(
    double value,
    long monoNanos,
    long arrivalNumber,
    String doubt,
    boolean lost,
    @Nullable Long sequence,
    @Nullable Instant deviceTime,
    long rejected) {

  /** Most by which a device's clock may differ from a trusted one. */
  static final Duration DEVICE_CLOCK_TOLERANCE = Duration.ofMinutes(2);

  /** Nothing heard yet. */
  public static final Sensor UNHEARD = new Sensor(Double.NaN, 0, 0, "", false, null, null, 0);

  /** The state after one message. */
  public Sensor accept(SensorSpec spec, Reading reading) {
    if (reading.retained()) {
      return ignored();
    }
    Payload payload = Payload.read(spec, reading.payload());
    if (!payload.usable()) {
      return spoiled(payload.fault());
    }
    if (isLate(payload)) {
      return stale(spec, reading.arrival()) ? rebased(payload) : ignored();
    }
    Instant time = payload.deviceTime();
    if (time != null
        && reading.arrival().trusted()
        && Duration.between(time, reading.arrival().wall()).abs().compareTo(DEVICE_CLOCK_TOLERANCE)
            > 0) {
      return spoiled("its clock is more than 2 min off");
    }
    return new Sensor(
        payload.value(),
        reading.arrival().monoNanos(),
        reading.arrivalNumber(),
        "",
        false,
        spec.sequencePointer().isEmpty() ? null : payload.sequence(),
        time,
        rejected);
  }

  /**
   * The state after something made everything heard so far worthless: messages were lost, or the
   * program stood still. The next message that can be used clears it.
   *
   * @param why in the keeper's words
   */
  public Sensor distrusted(String why) {
    return new Sensor(value, monoNanos, arrivalNumber, why, true, sequence, deviceTime, rejected);
  }

  /** The sensor as seen now. */
  public Signal at(SensorSpec spec, Moment now) {
    if (arrivalNumber == 0) {
      return new Signal(
          spec.name(),
          spec.measure(),
          Double.NaN,
          Quality.BAD,
          doubt.isEmpty() ? "not heard yet" : doubt,
          Long.MAX_VALUE,
          false,
          0);
    }
    long age = now.since(monoNanos);
    Quality quality = Quality.GOOD;
    String reason = "";
    if (stale(spec, now)) {
      quality = Quality.BAD;
      reason = "silent for " + age / 1_000_000_000L + " s";
    } else if (!doubt.isEmpty()) {
      quality = lost ? Quality.BAD : Quality.UNCERTAIN;
      reason = doubt;
    }
    return new Signal(
        spec.name(), spec.measure(), value, quality, reason, age, true, arrivalNumber);
  }

  private boolean stale(SensorSpec spec, Moment now) {
    long age = now.since(monoNanos);
    return arrivalNumber == 0 || age < 0 || age >= spec.staleNanos();
  }

  private boolean isLate(Payload payload) {
    return (sequence != null && payload.sequence() <= sequence)
        || (deviceTime != null
            && payload.deviceTime() != null
            && !payload.deviceTime().isAfter(deviceTime));
  }

  /**
   * A device that restarted counts from the beginning again. Once its old value is stale, a falling
   * count is taken as the new beginning, without believing the value that came with it.
   */
  private Sensor rebased(Payload payload) {
    return new Sensor(
        value,
        monoNanos,
        arrivalNumber,
        doubt,
        lost,
        sequence == null ? null : Long.valueOf(payload.sequence()),
        payload.deviceTime(),
        rejected + 1);
  }

  private Sensor ignored() {
    return new Sensor(
        value, monoNanos, arrivalNumber, doubt, lost, sequence, deviceTime, rejected + 1);
  }

  private Sensor spoiled(String why) {
    return new Sensor(
        value, monoNanos, arrivalNumber, why, lost, sequence, deviceTime, rejected + 1);
  }
}

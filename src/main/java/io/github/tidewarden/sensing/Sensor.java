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
 * <p>Where a count is configured, what does not rise is late, for ever, unless it begins again near
 * zero and rises from there in small steps: that is a device that restarted, and it is believed
 * once the old value is stale. A device's time must rise always.
 *
 * @param value the last believed value; NaN before the first
 * @param monoNanos arrival of that value, monotonic
 * @param arrivalNumber arrival number of that value; 0 before the first
 * @param doubt why the latest message spoils the value, in the keeper's words; empty when it does
 *     not
 * @param lost whether the doubt leaves no usable value at all
 * @param sequence the last sequence seen, where one is configured
 * @param deviceTime the last device time seen, where it is configured
 * @param restarted the last of a count that began again near zero while the old one's value was not
 *     stale yet; null when there is none
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
    @Nullable Long restarted,
    long rejected) {

  /** A device that restarts counts from here or below, and misses fewer than this at once. */
  static final long MOST_AT_RESTART = 10;

  /** Most by which a device's clock may differ from a trusted one. */
  static final Duration DEVICE_CLOCK_TOLERANCE = Duration.ofMinutes(2);

  /** Nothing heard yet. */
  public static final Sensor UNHEARD = new Sensor(Double.NaN, 0, 0, "", false, null, null, null, 0);

  /** The state after one message. */
  public Sensor accept(SensorSpec spec, Reading reading) {
    if (reading.retained()) {
      return ignored();
    }
    Payload payload = Payload.read(spec, reading.payload());
    if (!payload.usable()) {
      return spoiled(payload.fault());
    }
    boolean anew = goesOnAnew(payload.sequence()) && stale(spec, reading.arrival());
    if (hasLateTime(payload, reading.arrival()) || (hasLateCount(payload) && !anew)) {
      return late(spec, payload, reading);
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
        null,
        rejected);
  }

  /**
   * The state after something made everything heard so far worthless: messages were lost, or the
   * program stood still. The next message that can be used clears it.
   *
   * @param why in the keeper's words
   */
  public Sensor distrusted(String why) {
    return new Sensor(
        value, monoNanos, arrivalNumber, why, true, sequence, deviceTime, restarted, rejected);
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
      long seconds = age / 1_000_000_000L;
      reason =
          doubt.isEmpty()
              ? "silent for " + seconds + " s"
              : "without a usable message for " + seconds + " s: " + doubt;
    } else if (!doubt.isEmpty()) {
      quality = lost ? Quality.BAD : Quality.UNCERTAIN;
      reason = doubt;
    }
    return new Signal(
        spec.name(), spec.measure(), value, quality, reason, age, true, arrivalNumber);
  }

  private boolean stale(SensorSpec spec, Moment now) {
    return freshNanos(spec, now) == 0;
  }

  /**
   * How long the value stays within its stale limit without a further message; 0 when it is not.
   */
  public long freshNanos(SensorSpec spec, Moment now) {
    long age = now.since(monoNanos);
    return arrivalNumber == 0 || age < 0 ? 0 : Math.max(0, spec.staleNanos() - age);
  }

  private boolean hasLateCount(Payload payload) {
    return sequence != null && payload.sequence() <= sequence;
  }

  /** A time that a trusted clock shows to lie ahead came while none was trusted, and is nothing. */
  private boolean hasLateTime(Payload payload, Moment arrival) {
    Instant last = deviceTime;
    Instant time = payload.deviceTime();
    return last != null
        && time != null
        && !time.isAfter(last)
        && !(arrival.trusted()
            && Duration.between(arrival.wall(), last).compareTo(DEVICE_CLOCK_TOLERANCE) > 0);
  }

  /** Whether a count that is late goes on from one that began anew. */
  private boolean goesOnAnew(long count) {
    return restarted != null && count > restarted && count - restarted <= MOST_AT_RESTART;
  }

  private Sensor late(SensorSpec spec, Payload payload, Reading reading) {
    boolean stale = stale(spec, reading.arrival());
    Long count = sequence;
    if (count == null || !hasLateCount(payload)) {
      return stale ? spoiled("its time is not later than the last one") : ignored();
    }
    long began = payload.sequence();
    if (goesOnAnew(began) || (began >= 0 && began <= MOST_AT_RESTART)) {
      return new Sensor(
          value, monoNanos, arrivalNumber, doubt, lost, count, deviceTime, began, rejected + 1);
    }
    return stale ? spoiled(notRisen(count, began)) : ignored();
  }

  private static String notRisen(long last, long count) {
    return "count %d came after %d; a restart would begin at %d or below"
        .formatted(count, last, MOST_AT_RESTART);
  }

  private Sensor ignored() {
    return new Sensor(
        value,
        monoNanos,
        arrivalNumber,
        doubt,
        lost,
        sequence,
        deviceTime,
        restarted,
        rejected + 1);
  }

  private Sensor spoiled(String why) {
    return new Sensor(
        value, monoNanos, arrivalNumber, why, lost, sequence, deviceTime, restarted, rejected + 1);
  }
}

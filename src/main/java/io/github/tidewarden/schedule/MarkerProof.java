package io.github.tidewarden.schedule;

import java.time.Duration;
import java.time.Instant;
import org.jspecify.annotations.Nullable;

/**
 * Which marker of the time service shows that the wall clock is right on its present time scale.
 *
 * <p>A step came at some instant between two samples. A marker made before it, on the old time
 * scale, is either the one known by the earlier sample or one of the times that the old scale ran
 * through between the two; neither ever counts. All others from the earlier sample on, reckoned on
 * the new scale, were made after the step.
 *
 * @param notBefore boot, or the sample before the last step, on the present time scale
 * @param oldTime what the wall clock may have read from that sample to the step, if there was one
 * @param refused a marker that proves nothing, if any
 * @param known the last marker that was seen, if any; one that could not be read changes nothing
 */
record MarkerProof(
    Instant notBefore,
    @Nullable Interval oldTime,
    @Nullable Instant refused,
    @Nullable Instant known) {

  /** At the first sample: a marker in the future shows that the clock has been put back. */
  static MarkerProof atStart(ClockSample first) {
    Instant marker = first.markerTime();
    boolean future = marker != null && marker.isAfter(first.wall());
    return new MarkerProof(first.wallAtBoot(), null, future ? marker : null, marker);
  }

  /** After a sample without a step. */
  MarkerProof seen(ClockSample sample) {
    Instant marker = sample.markerTime();
    return marker == null ? this : new MarkerProof(notBefore, oldTime, refused, marker);
  }

  /** After a step somewhere between two samples. */
  MarkerProof afterStep(ClockSample before, ClockSample after) {
    Duration between = after.since(before);
    Interval oldScale = new Interval(before.wall(), before.wall().plus(between).plusNanos(1));
    return new MarkerProof(after.wall().minus(between), oldScale, known, known).seen(after);
  }

  /** Whether the sample's marker proves its wall clock. */
  boolean isGivenBy(ClockSample sample) {
    Instant marker = sample.markerTime();
    return marker != null
        && !marker.equals(refused)
        && (oldTime == null || !oldTime.contains(marker))
        && !marker.isBefore(notBefore)
        && !marker.isAfter(sample.wall());
  }
}

package io.github.tidewarden.interlock;

import io.github.tidewarden.quantity.Moment;
import java.util.Objects;
import org.jspecify.annotations.Nullable;

/**
 * What one actuator was told and what it says of itself. Volatile; a retained report never gets
 * here.
 *
 * @param reportedOn its last report; null when there is none since the link came up
 * @param reportedNanos when that report came, monotonic
 * @param runNanos first command of the run that is asked for, monotonic; null when rest is asked
 *     for
 * @param restNanos last time it was told to rest, monotonic; null when never
 * @param outNanos when the last lease given runs out by a device that got it at once, monotonic;
 *     null when none was given
 * @param boundNanos when the last lease given has run out whatever happens, monotonic; null when
 *     none was given
 * @param unaskedNanos since when it has been on without a lease, monotonic; null when it is not
 * @param silence the loss of its confirmation, under the rules of a lost signal
 */
public record Device(
    @Nullable Boolean reportedOn,
    long reportedNanos,
    @Nullable Long runNanos,
    @Nullable Long restNanos,
    @Nullable Long outNanos,
    @Nullable Long boundNanos,
    @Nullable Long unaskedNanos,
    Silence silence) {

  /** Nothing told, nothing heard. */
  public static final Device UNKNOWN =
      new Device(null, 0, null, null, null, null, null, Silence.NONE);

  /**
   * How much before its lease is over by our clock a device may drop out: its timer counts from
   * whole seconds, or goes a little fast.
   */
  static final long EARLY_NANOS = 1_000_000_000L;

  /**
   * After it was told to run.
   *
   * @param leaseOutNanos when this lease runs out by a device that got it at once
   * @param leaseBoundNanos when it has run out whatever happens
   */
  public Device toldToRun(Moment now, long leaseOutNanos, long leaseBoundNanos) {
    return new Device(
        reportedOn,
        reportedNanos,
        runNanos == null ? Long.valueOf(now.monoNanos()) : runNanos,
        restNanos,
        leaseOutNanos,
        leaseBoundNanos,
        null,
        silence);
  }

  /** After it was told to rest. */
  public Device toldToRest(Moment now) {
    return new Device(
        reportedOn,
        reportedNanos,
        null,
        now.monoNanos(),
        outNanos,
        boundNanos,
        unaskedNanos,
        silence);
  }

  /** After it reported its state. */
  public Device reported(boolean on, Moment arrival) {
    return new Device(
        on, arrival.monoNanos(), runNanos, restNanos, outNanos, boundNanos, unaskedNanos, silence);
  }

  /** After the link was lost: what it said before proves nothing now. */
  public Device unheard() {
    return new Device(null, 0, runNanos, restNanos, outNanos, boundNanos, null, silence);
  }

  /**
   * When it reported that it is at rest, after it was last told to rest; a report that made it be
   * told is none of that, for the last run may still be on its way.
   *
   * @return that moment, monotonic nanoseconds; null when it has not
   */
  public @Nullable Long restConfirmedNanos() {
    boolean confirmed =
        Boolean.FALSE.equals(reportedOn) && restNanos != null && reportedNanos - restNanos > 0;
    return confirmed ? Long.valueOf(reportedNanos) : null;
  }

  /**
   * Whether it is on though it was not told to, beyond the time that a report may take: one of the
   * run that was just ended may still come after it was told to rest. Once it is, only its own
   * report of rest ends that: being told to rest again does not.
   */
  boolean unasked(ConfirmSpec spec, Moment now) {
    return Boolean.TRUE.equals(reportedOn)
        && runNanos == null
        && (unaskedNanos != null
            || restNanos == null
            || now.since(restNanos) >= spec.withinNanos()
            || (reportedNanos - restNanos > 0 && !mayCross(now)));
  }

  /** Whether a report of now may be one of the last run, whose lease would not be over yet. */
  private boolean mayCross(Moment now) {
    return boundNanos != null && now.since(boundNanos) < 0;
  }

  /**
   * Whether it was told to run and ought to have said by now that it does, but has not. That it
   * rests when its last lease is over is an end: it was cut to the end of its window, say, and is
   * not renewed.
   */
  boolean unconfirmed(ConfirmSpec spec, Moment now) {
    return runNanos != null
        && now.since(runNanos) >= spec.withinNanos()
        && !(Boolean.TRUE.equals(reportedOn) && reportedNanos - runNanos >= 0)
        && !droppedOut();
  }

  /** Whether it said that it rests when its last lease was over, or nearly. */
  private boolean droppedOut() {
    return Boolean.FALSE.equals(reportedOn)
        && outNanos != null
        && reportedNanos - outNanos >= -EARLY_NANOS;
  }

  /** One cycle on. */
  Device next(ConfirmSpec spec, Moment now) {
    Long unaskedSince = null;
    if (unasked(spec, now)) {
      unaskedSince = unaskedNanos == null ? Long.valueOf(now.monoNanos()) : unaskedNanos;
    }
    // What is unconfirmed was told to run, so its loss is never one while idle.
    Silence heard = silence.next(!unconfirmed(spec, now), true, now);
    return Objects.equals(unaskedSince, unaskedNanos) && heard.equals(silence)
        ? this
        : new Device(
            reportedOn,
            reportedNanos,
            runNanos,
            restNanos,
            outNanos,
            boundNanos,
            unaskedSince,
            heard);
  }

  /** Whether it has been on unasked until after the last lease and the time for a report. */
  boolean stuck(ConfirmSpec spec, Moment now) {
    return unaskedNanos != null
        && now.since(unaskedNanos) >= spec.withinNanos()
        && (boundNanos == null || now.since(boundNanos) >= spec.withinNanos());
  }
}

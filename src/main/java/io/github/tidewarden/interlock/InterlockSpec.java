package io.github.tidewarden.interlock;

import java.util.Set;
import org.jspecify.annotations.Nullable;

/**
 * One interlock: cause and effect. While the cause stands, what it stops is forbidden at once;
 * {@code forNanos} delays only the trip, and the latch has a delay of its own.
 *
 * @param name unique in its tank, such as {@code air-lost}
 * @param cause when it acts
 * @param arming when the cause counts as a trip
 * @param notice whether it only tells (a notice) instead of tripping; what it {@code stops} is
 *     still forbidden while the cause stands
 * @param forNanos how long the cause must stand, armed, before it is a trip or a notice
 * @param clear when a trip is over; null for "the cause is false". All its signals must be good.
 * @param restNanos how long what it stops stays at rest after a trip that clears by itself is over
 * @param latchWhen the condition that latches; null for never
 * @param latchForNanos how long {@code latchWhen} must stand, armed, before the trip is latched
 * @param latchAtCount the how-manieth trip of a night latches; 0 for never
 * @param stops what it stops; empty for one that only tells
 */
public record InterlockSpec(
    String name,
    Condition cause,
    Arming arming,
    boolean notice,
    long forNanos,
    @Nullable Condition clear,
    long restNanos,
    @Nullable Condition latchWhen,
    long latchForNanos,
    int latchAtCount,
    Set<TankFunction> stops) {

  /** Copies the set. */
  public InterlockSpec {
    stops = Set.copyOf(stops);
  }
}

package io.github.tidewarden.control;

import io.github.tidewarden.exchange.Exchange;
import io.github.tidewarden.exchange.LevelAtRest;
import io.github.tidewarden.gate.Lease;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.NightPlan;
import io.github.tidewarden.sensing.Trend;
import org.jspecify.annotations.Nullable;

/**
 * What is known of the exchange between two events; starts empty and closed at every start.
 *
 * @param rule where the rule stands
 * @param calm since when nothing has moved the water
 * @param trend the last minutes of the level
 * @param drain what the drain pump did for the present portion
 * @param fill what the fill pump did for it
 * @param hold the live hold on top-off; null for none
 * @param heldNanos since when top-off has been held without a break, monotonic; null when it is not
 * @param holdUntilNanos top-off stays held until then after a portion, monotonic
 * @param released whether the hold was given up because it lasted too long
 * @param quietUntilNanos until then a pump may still run that was told so before the start,
 *     monotonic
 * @param plan the windows of the present night; null before the first cycle
 */
record WaterState(
    Exchange.State rule,
    LevelAtRest.State calm,
    Trend trend,
    Pumping drain,
    Pumping fill,
    @Nullable Lease hold,
    @Nullable Long heldNanos,
    long holdUntilNanos,
    boolean released,
    long quietUntilNanos,
    @Nullable NightPlan plan) {

  WaterState watched(LevelAtRest.State nextCalm, Trend nextTrend, NightPlan nextPlan) {
    return new WaterState(
        rule,
        nextCalm,
        nextTrend,
        drain,
        fill,
        hold,
        heldNanos,
        holdUntilNanos,
        released,
        quietUntilNanos,
        nextPlan);
  }

  WaterState pumped(Exchange.State nextRule, Pumping nextDrain, Pumping nextFill) {
    return new WaterState(
        nextRule,
        calm,
        trend,
        nextDrain,
        nextFill,
        hold,
        heldNanos,
        holdUntilNanos,
        released,
        quietUntilNanos,
        plan);
  }

  WaterState holding(@Nullable Lease nextHold, @Nullable Long since, boolean givenUp) {
    return new WaterState(
        rule,
        calm,
        trend,
        drain,
        fill,
        nextHold,
        since,
        holdUntilNanos,
        givenUp,
        quietUntilNanos,
        plan);
  }

  WaterState holdingUntil(long nanos) {
    return new WaterState(
        rule, calm, trend, drain, fill, hold, heldNanos, nanos, released, quietUntilNanos, plan);
  }

  static WaterState atBoot(Moment now) {
    return new WaterState(
        Exchange.atBoot(now),
        LevelAtRest.atBoot(now),
        Trend.EMPTY,
        Pumping.NONE,
        Pumping.NONE,
        null,
        null,
        now.monoNanos(),
        false,
        now.monoNanos() + TankMemory.LEASE_AFTER_CRASH.toNanos(),
        null);
  }
}

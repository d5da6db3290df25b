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
 * @param salinity the last minutes of the tank's salinity
 * @param bin the last minutes of what the bin of new water holds
 * @param filledNanos since when the bin has held more than was left in it, monotonic; null for not
 * @param drain what the drain pump did for the present portion
 * @param fill what the fill pump did for it
 * @param hold the live hold on top-off; null for none
 * @param heldNanos since when top-off has been held without a break, monotonic; null when it is not
 * @param holdUntilNanos top-off stays held until then after a portion, monotonic
 * @param released whether the hold was given up because it lasted too long
 * @param quietUntilNanos until then a pump may still run that was told so before the start,
 *     monotonic
 * @param begun number of the last portion that this run of the program began: of an older one
 *     nobody knows how long its pumps ran
 * @param hindrance what holds up a portion that is due; empty for nothing
 * @param plan the windows of the present night; null before the first cycle
 */
record WaterState(
    Exchange.State rule,
    LevelAtRest.State calm,
    Trend trend,
    Trend salinity,
    Trend bin,
    @Nullable Long filledNanos,
    Pumping drain,
    Pumping fill,
    @Nullable Lease hold,
    @Nullable Long heldNanos,
    long holdUntilNanos,
    boolean released,
    long quietUntilNanos,
    long begun,
    String hindrance,
    @Nullable NightPlan plan) {

  WaterState heard(
      Trend level,
      Trend nextSalinity,
      Trend nextBin,
      @Nullable Long nextFilled,
      NightPlan nextPlan) {
    return new WaterState(
        rule,
        calm,
        level,
        nextSalinity,
        nextBin,
        nextFilled,
        drain,
        fill,
        hold,
        heldNanos,
        holdUntilNanos,
        released,
        quietUntilNanos,
        begun,
        hindrance,
        nextPlan);
  }

  WaterState calm(LevelAtRest.State next) {
    return new WaterState(
        rule,
        next,
        trend,
        salinity,
        bin,
        filledNanos,
        drain,
        fill,
        hold,
        heldNanos,
        holdUntilNanos,
        released,
        quietUntilNanos,
        begun,
        hindrance,
        plan);
  }

  WaterState pumped(Exchange.State nextRule, Pumping nextDrain, Pumping nextFill) {
    return new WaterState(
        nextRule,
        calm,
        trend,
        salinity,
        bin,
        filledNanos,
        nextDrain,
        nextFill,
        hold,
        heldNanos,
        holdUntilNanos,
        released,
        quietUntilNanos,
        begun,
        hindrance,
        plan);
  }

  WaterState holding(@Nullable Lease nextHold, @Nullable Long since, boolean givenUp) {
    return new WaterState(
        rule,
        calm,
        trend,
        salinity,
        bin,
        filledNanos,
        drain,
        fill,
        nextHold,
        since,
        holdUntilNanos,
        givenUp,
        quietUntilNanos,
        begun,
        hindrance,
        plan);
  }

  WaterState holdingUntil(long nanos) {
    return new WaterState(
        rule,
        calm,
        trend,
        salinity,
        bin,
        filledNanos,
        drain,
        fill,
        hold,
        heldNanos,
        nanos,
        released,
        quietUntilNanos,
        begun,
        hindrance,
        plan);
  }

  WaterState beginning(long portion) {
    return new WaterState(
        rule,
        calm,
        trend,
        salinity,
        bin,
        filledNanos,
        drain,
        fill,
        hold,
        heldNanos,
        holdUntilNanos,
        false, // a new portion, a new hold
        quietUntilNanos,
        portion,
        "",
        plan);
  }

  WaterState hindered(String by) {
    return by.equals(hindrance)
        ? this
        : new WaterState(
            rule,
            calm,
            trend,
            salinity,
            bin,
            filledNanos,
            drain,
            fill,
            hold,
            heldNanos,
            holdUntilNanos,
            released,
            quietUntilNanos,
            begun,
            by,
            plan);
  }

  static WaterState atBoot(Moment now) {
    return new WaterState(
        Exchange.atBoot(now),
        LevelAtRest.atBoot(now),
        Trend.EMPTY,
        Trend.EMPTY,
        Trend.EMPTY,
        null,
        Pumping.NONE,
        Pumping.NONE,
        null,
        null,
        now.monoNanos(),
        false,
        now.monoNanos() + TankMemory.LEASE_AFTER_CRASH.toNanos(),
        0,
        "",
        null);
  }
}

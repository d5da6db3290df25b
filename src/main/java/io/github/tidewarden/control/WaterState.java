package io.github.tidewarden.control;

import io.github.tidewarden.exchange.Exchange;
import io.github.tidewarden.exchange.LevelAtRest;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.NightPlan;
import io.github.tidewarden.sensing.Trend;
import org.jspecify.annotations.Nullable;

/**
 * What is known of the exchange between two events; starts empty and closed at every start.
 *
 * @param rule where the rule stands
 * @param calm since when nothing has moved the water
 * @param level the last minutes of the level
 * @param salinity the last minutes of the tank's salinity
 * @param bin what the bin of new water does
 * @param drain what the drain pump did for the present portion
 * @param fill what the fill pump did for it
 * @param topOff the hold on top-off
 * @param quietUntilNanos until then a pump may still run that was told so before the start,
 *     monotonic
 * @param returnFromNanos from then on the return has run for 10 min, as far as is known, monotonic
 * @param own what this run of the program knows of the last portion that it began
 * @param standstill whether the portion under way stands still
 * @param hindrance what holds up a portion that is due; empty for nothing
 * @param plan the windows of the present night; null before the first cycle
 */
record WaterState(
    Exchange.State rule,
    LevelAtRest.State calm,
    Trend level,
    Trend salinity,
    BinWatch bin,
    Pumping drain,
    Pumping fill,
    TopOff topOff,
    long quietUntilNanos,
    long returnFromNanos,
    OwnPortion own,
    Standstill standstill,
    String hindrance,
    @Nullable NightPlan plan) {

  static WaterState atBoot(WaterMemory memory, String boot, Moment now) {
    return new WaterState(
        Exchange.atBoot(now),
        LevelAtRest.atBoot(now),
        Trend.EMPTY,
        Trend.EMPTY,
        BinWatch.NOTHING,
        Pumping.NONE,
        Pumping.NONE,
        TopOff.atBoot(memory.topOffHeld(), boot, now),
        now.monoNanos() + TankMemory.LEASE_AFTER_CRASH.toNanos(),
        now.monoNanos(),
        OwnPortion.found(memory.portion()),
        Standstill.NONE,
        "",
        null);
  }

  /** The same of a tank that only rests: what it held is let go. */
  WaterState failed() {
    return new WaterState(
        rule,
        calm,
        level,
        salinity,
        bin,
        drain,
        fill,
        topOff.letGo(),
        quietUntilNanos,
        returnFromNanos,
        own,
        standstill,
        hindrance,
        plan);
  }
}

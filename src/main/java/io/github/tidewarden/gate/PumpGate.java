package io.github.tidewarden.gate;

import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.NightPlan;
import io.github.tidewarden.schedule.OpenWindow;
import io.github.tidewarden.sensing.Signal;
import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import org.jspecify.annotations.Nullable;

/**
 * The gate's part for water: the drain pump, the fill pump and the hold on top-off of one tank. As
 * for ozone it starts closed and reads the raw world itself. A pump needs every one of: it is asked
 * for, nothing stops it, the link is up, the level is good, fresh and within its range, the other
 * pump is at rest for certain (unless the heads are paired), top-off is held, the rolling 24 h are
 * not overdrawn, out and in are not too far apart, and time for it is reserved on disk. Draining
 * needs a trusted clock and an open window too; what was drained may be filled again outside it.
 */
public final class PumpGate {
  private static final long SECOND = 1_000_000_000L;

  private final Gate door;
  private final Limits limits;

  PumpGate(Gate door, Limits limits) {
    this.door = door;
    this.limits = limits;
    door.require(limits.drain(), TankFunction.EXCHANGE);
    door.require(limits.fill(), TankFunction.EXCHANGE);
    if (limits.hold() != null) {
      door.require(limits.hold(), TankFunction.TOP_OFF);
    }
  }

  /**
   * The limits of a tank's exchange.
   *
   * @param drain the drain pump's name
   * @param fill the fill pump's name
   * @param hold the name of what holds top-off; null for a tank without
   * @param paired whether both pumps may run at once
   * @param lowMillimetres at or under this nothing is drained; negative infinity without a level
   * @param highMillimetres at or over this nothing is filled; infinity without a level
   * @param per24hMillilitres most drained in any rolling 24 h, positive
   * @param imbalanceMillilitres most that out and in may be apart, positive
   */
  public record Limits(
      String drain,
      String fill,
      @Nullable String hold,
      boolean paired,
      double lowMillimetres,
      double highMillimetres,
      long per24hMillilitres,
      long imbalanceMillilitres) {

    /**
     * Checks: a limit that is absent or 0 is never "no limit".
     *
     * @throws IllegalArgumentException when a limit is out of bounds
     */
    public Limits {
      boolean bounded = per24hMillilitres > 0 && imbalanceMillilitres > 0;
      if (!bounded || !(lowMillimetres < highMillimetres) || drain.equals(fill)) {
        throw new IllegalArgumentException("no exchange within those limits");
      }
    }
  }

  /**
   * What the gate looks at for a pump.
   *
   * @param now both clocks
   * @param linkUp whether commands can be sent
   * @param asked whether the pump is proposed to run
   * @param stops why it may not run, from the interlocks
   * @param level the level; null for a tank without
   * @param otherAtRest whether the other pump is at rest for certain
   * @param held whether everything that tops off the tank's level is held; true where nothing that
   *     can be held does
   * @param plan the windows of this night
   * @param closed ids of windows that have closed and do not open again
   * @param drainedIn24hMillilitres what was drained in the rolling 24 h, a portion under way in
   *     full
   * @param apartMillilitres what went out and has not come in again if the pump goes on, by what
   *     was commanded and not by the level; negative for too much in
   * @param grantNanos time reserved for this run since it began; 0 for none
   */
  public record World(
      Moment now,
      boolean linkUp,
      boolean asked,
      List<String> stops,
      @Nullable Signal level,
      boolean otherAtRest,
      boolean held,
      NightPlan plan,
      Set<String> closed,
      long drainedIn24hMillilitres,
      long apartMillilitres,
      long grantNanos) {}

  /**
   * Decides about a pump for this cycle.
   *
   * @param pump the drain pump's name or the fill pump's
   * @param lease its live run of the last cycle; null when at rest
   */
  public Gate.Decision decide(String pump, @Nullable Lease lease, World world) {
    List<String> denials = new ArrayList<>(world.stops());
    deny(pump, world, denials);
    if (lease != null && !lease.within(world.grantNanos())) {
      denials.add("what is reserved does not cover it");
    }
    if (!world.asked() || !denials.isEmpty()) {
      return door.resting(pump, lease, denials);
    }
    long left =
        lease == null
            ? world.grantNanos()
            : world.grantNanos() - world.now().since(lease.startedNanos());
    return door.running(pump, lease, world.now().monoNanos(), left);
  }

  /**
   * Decides about the hold on top-off; its rest lets top-off go on.
   *
   * @param lease the live hold of the last cycle; null when there is none
   * @param asked whether top-off is to be held
   * @throws IllegalStateException when the tank has no hold
   */
  public Gate.Decision decideHold(
      @Nullable Lease lease, boolean asked, boolean linkUp, Moment now) {
    String hold = limits.hold();
    if (hold == null) {
      throw new IllegalStateException("a hold on top-off that is not there");
    }
    if (!asked || !linkUp) {
      return door.resting(hold, lease, linkUp ? List.of() : List.of("the broker is not reached"));
    }
    return door.running(hold, lease, now.monoNanos(), Long.MAX_VALUE);
  }

  /** Whether so much in a rolling 24 h is over the limit, mL: then no pump runs. */
  public boolean overdraws(long drainedIn24hMillilitres) {
    return drainedIn24hMillilitres > limits.per24hMillilitres();
  }

  private void deny(String pump, World world, List<String> denials) {
    if (!world.linkUp()) {
      denials.add("the broker is not reached");
    }
    boolean drains = pump.equals(limits.drain());
    if (drains) {
      denyWindow(world, denials);
    }
    denyLevel(drains, world, denials);
    if (!limits.paired() && !world.otherAtRest()) {
      denials.add("the other pump may still run");
    }
    if (!world.held()) {
      denials.add("top-off is not held");
    }
    if (overdraws(world.drainedIn24hMillilitres())) {
      denials.add("the hard limit of 24 h is overdrawn");
    }
    long apart = drains ? world.apartMillilitres() : -world.apartMillilitres();
    if (apart >= limits.imbalanceMillilitres()) {
      denials.add("out and in are too far apart");
    }
  }

  private static void denyWindow(World world, List<String> denials) {
    if (!world.now().trusted()) {
      denials.add("the wall clock is not trusted");
      return;
    }
    OpenWindow window = world.plan().openAt(world.now().wall());
    if (window == null) {
      denials.add("no window is open");
    } else if (world.closed().contains(window.id())) {
      denials.add("this window has closed already");
    }
  }

  private void denyLevel(boolean drains, World world, List<String> denials) {
    Signal level = world.level();
    if (level == null) {
      return;
    }
    if (!level.good()) {
      denials.add(level.name() + " is " + level.reason());
    } else if (level.ageNanos() < 0
        || level.ageNanos() >= HardLimits.MAX_ANALOGUE_STALE_SECONDS * SECOND) {
      denials.add(level.name() + " is stale");
    } else if (drains
        ? !(level.value() > limits.lowMillimetres())
        : !(level.value() < limits.highMillimetres())) {
      denials.add(
          level.name()
              + " "
              + level.measure().told(level.value())
              + (drains ? " is not over its lower limit" : " is not under its upper limit"));
    }
  }
}

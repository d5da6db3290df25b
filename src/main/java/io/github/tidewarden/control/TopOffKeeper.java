package io.github.tidewarden.control;

import io.github.tidewarden.exchange.Exchange;
import io.github.tidewarden.exchange.LevelAtRest;
import io.github.tidewarden.gate.Gate;
import io.github.tidewarden.interlock.Stop;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.schedule.Spend;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import java.util.concurrent.TimeUnit;
import java.util.function.Predicate;
import org.jspecify.annotations.Nullable;

/**
 * Holds top-off in one turn: before a portion and while one is under way, and a while after, while
 * other tanks move the level that it looks at, until the return has run for a while, and while
 * something stops it. It is held for 2 h at most, but for water on the floor or where it should not
 * be; after that a portion on this level waits for a keeper, whichever tank's it is, for what was
 * drained may have been replaced by fresh water. So that portions that follow each other never come
 * to that, none begins that would not be over in time, and after a long hold what evaporated has a
 * while to come back. A tank without a hold of its own goes by that of the tank with which it
 * shares its level.
 */
final class TopOffKeeper {

  /** Top-off stays held so long after a portion, so that the level at rest is seen first. */
  static final long AFTER_NANOS = TimeUnit.MINUTES.toNanos(10);

  /** Asked for before a portion it stays so long, so that a wave does not switch it to and fro. */
  private static final long BEFORE_NANOS = TimeUnit.MINUTES.toNanos(2);

  /** Longest that top-off is held: the tank evaporates, and its return pump must not run dry. */
  static final long LONGEST_NANOS = TimeUnit.HOURS.toNanos(2);

  /** Only these hold it for as long as they are latched: any more water may be too much. */
  private static final Set<String> ENDLESS =
      Set.of("leak", "level-high", Exchange.Latch.LEVEL_FALLS.word());

  private static final String LET_GO =
      "top-off is held no more, for it may have been for 2 h or the tank that holds it failed";

  private static final String RELEASED = "top-off may have been held for 2 h and is released";

  private final Turn turn;
  private final PortionClerk clerk;
  private TopOff state;

  TopOffKeeper(Turn turn, PortionClerk clerk, TopOff before) {
    this.turn = turn;
    this.clerk = clerk;
    state = before;
  }

  TopOff after() {
    return state;
  }

  /** Whether top-off is held for as long as this is latched. */
  static boolean isEndless(String latch) {
    return ENDLESS.contains(latch);
  }

  /** Whether a portion is under way that needs it held: once released, it has no use of it. */
  static boolean isNeeded(TankMemory memory) {
    return memory.water().portion() != null
        && !memory.latches().containsKey(Exchange.Latch.TOP_OFF_RELEASED.word());
  }

  /**
   * Why no portion may begin that takes so long; null when one may.
   *
   * @param portionNanos how long it takes when nothing holds it up, ns
   */
  @Nullable String waits(long portionNanos) {
    return any(topOff -> topOff.holdsUp(portionNanos, turn.now))
        ? "top-off makes good what evaporated"
        : null;
  }

  /** Whether it is so of anything that holds top-off of this level, of this tank or another. */
  private boolean any(Predicate<TopOff> holds) {
    if (turn.tank.hold() != null && holds.test(state)) {
      return true;
    }
    for (TopOff other : turn.around.level().topOffs()) {
      if (holds.test(other)) {
        return true;
      }
    }
    return false;
  }

  /**
   * One cycle.
   *
   * @param pumping whether a pump of this tank may be on
   * @param returnSteady whether the return has run for a while, as far as is known
   */
  void cycle(boolean pumping, boolean returnSteady, List<Stop> stops) {
    if (turn.tank.hold() != null) {
      hold(pumping || turn.around.level().moves(), returnSteady, stops);
      remember();
    }
    if (isNeeded(turn.memory) && any(TopOff::givenUp)) {
      clerk.fault(
          new Exchange.Outcome.Fault(
              Exchange.Latch.TOP_OFF_RELEASED,
              LET_GO
                  + ": fresh water may take the place of what was drained, see to the salinity"));
    }
  }

  private void hold(boolean moving, boolean returnSteady, List<Stop> stops) {
    boolean needed = isNeeded(turn.memory) || turn.around.level().halfDone();
    boolean soon = turn.before.water().rule().holdsTopOff() || turn.around.level().asksForHold();
    long until =
        needed
            ? turn.now.monoNanos() + AFTER_NANOS
            : soon ? later(turn.now.monoNanos() + BEFORE_NANOS) : state.untilNanos();
    if (turn.linkUp && !turn.interruption.isEmpty()) {
      // Whether it was told is not known, so it is told again in the next cycle.
      state = state.after(null, until, state.givenUp(), turn.now);
      return;
    }
    List<Stop> reasons = reasons(stops);
    boolean endless =
        turn.memory.latches().containsKey(Exchange.Latch.LEVEL_FALLS.word())
            || reasons.stream().anyMatch(stop -> stop.latched() && ENDLESS.contains(stop.name()));
    boolean asked =
        endless || needed || !returnSteady || turn.now.since(until) < 0 || !reasons.isEmpty();
    state = endless ? state.anew(turn.now) : state;
    boolean tooLong = state.heldNanos(turn.now) >= LONGEST_NANOS;
    if (asked && tooLong && !state.givenUp() && !isNeeded(turn.memory)) {
      turn.write(Kind.NOTICE, RELEASED, Map.of());
    }
    boolean givenUp = asked && !endless && (state.givenUp() || tooLong);
    Gate.Decision decision =
        Objects.requireNonNull(turn.tank.gate.pumps())
            .decideHold(state.lease(), asked && (!givenUp || moving), turn.linkUp, turn.now);
    turn.send(decision);
    state = state.after(decision.lease(), until, givenUp, turn.now);
    if (turn.linkUp && decision.lease() == null && decision.command() != null) {
      state = state.toldToRest(turn.now);
    }
  }

  /**
   * Records each half hour of it, so that a start does not begin it anew: the time since the last
   * record counts as held then, up to half an hour. So an evening of portions with pauses between
   * them writes nothing.
   */
  private void remember() {
    Spend last = turn.memory.water().topOffHeld();
    long known = last == null ? 0 : last.amount();
    long held = Math.min(state.heldNanos(turn.now), LONGEST_NANOS);
    long millis = TimeUnit.NANOSECONDS.toMillis(held - held % TopOff.STEP_NANOS);
    if (state.sinceNanos() == null && known > 0) {
      turn.write(Kind.TOP_OFF_HELD, "top-off had its pause", Map.of(Fields.HELD_MS, 0L));
    } else if (millis > known) {
      turn.write(
          Kind.TOP_OFF_HELD,
          "top-off may have been held for " + Figures.span(TimeUnit.MILLISECONDS.toNanos(millis)),
          Map.of(Fields.HELD_MS, millis));
    }
  }

  private long later(long nanos) {
    return nanos - state.untilNanos() > 0 ? nanos : state.untilNanos();
  }

  /** What the hold's own device does is no reason to hold: it would be told to and fro for ever. */
  private List<Stop> reasons(List<Stop> stops) {
    return stops.stream()
        .filter(stop -> stop.function() == TankFunction.TOP_OFF)
        .filter(stop -> !turn.tank.devices.latches().containsKey(stop.name()))
        .toList();
  }

  /**
   * What it may do to the level.
   *
   * @param forLong whether it has been held for as long as the level is looked back at
   */
  LevelAtRest.TopOff mayFill(boolean forLong) {
    if (!any(topOff -> true)) {
      return LevelAtRest.TopOff.UNHELD;
    }
    return forLong ? LevelAtRest.TopOff.HELD : LevelAtRest.TopOff.FREE;
  }

  /** Whether something that tops off this level, and can be held, may let water in. */
  boolean mayLetIn() {
    return (turn.tank.hold() != null && state.mayLetIn(turn.tank, turn.devices, turn.now))
        || turn.around.level().letsIn();
  }

  /** Whether everything that tops off this level, and can be held, certainly is. */
  boolean held() {
    return (turn.tank.hold() == null || state.held(turn.tank, turn.devices))
        && turn.around.level().held();
  }
}

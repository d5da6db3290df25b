package io.github.tidewarden.control;

import io.github.tidewarden.exchange.Exchange;
import io.github.tidewarden.gate.Gate;
import io.github.tidewarden.gate.Lease;
import io.github.tidewarden.interlock.Stop;
import io.github.tidewarden.interlock.TankFunction;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/**
 * Holds top-off in one turn: while a portion is under way and a while after, while other tanks move
 * the level that it looks at, and while something stops it. It is held for 2 h at most, but for a
 * stop that waits for a keeper; after that a portion waits for a keeper too, for what was drained
 * may have been replaced by fresh water.
 */
final class TopOffKeeper {

  /** Top-off stays held so long after a portion, so that the level at rest is seen first. */
  static final long AFTER_NANOS = TimeUnit.MINUTES.toNanos(10);

  /** Longest that top-off is held: the tank evaporates, and its return pump must not run dry. */
  static final long LONGEST_NANOS = TimeUnit.HOURS.toNanos(2);

  private final Turn turn;
  private final PortionClerk clerk;
  private @Nullable Lease lease;
  private @Nullable Long sinceNanos;
  private long untilNanos;
  private boolean givenUp;

  TopOffKeeper(Turn turn, PortionClerk clerk, TopOff before) {
    this.turn = turn;
    this.clerk = clerk;
    lease = before.lease();
    sinceNanos = before.sinceNanos();
    untilNanos = before.untilNanos();
    givenUp = before.givenUp();
  }

  TopOff after() {
    return new TopOff(lease, sinceNanos, untilNanos, givenUp);
  }

  /** A new portion, a new hold. */
  void begins() {
    givenUp = false;
  }

  /** One cycle. */
  void cycle(boolean portion, boolean levelMoves, List<Stop> stops) {
    if (portion) {
      untilNanos = turn.now.monoNanos() + AFTER_NANOS;
    }
    if (turn.tank.hold() == null) {
      return;
    }
    if (turn.linkUp && !turn.interruption.isEmpty()) {
      lease = null; // whether it was told is not known, so it is told again in the next cycle
      return;
    }
    List<Stop> reasons = reasons(stops);
    boolean latched =
        turn.memory.latches().containsKey(Exchange.Latch.LEVEL_FALLS.word())
            || reasons.stream().anyMatch(Stop::latched);
    boolean asked =
        latched || portion || levelMoves || turn.now.since(untilNanos) < 0 || !reasons.isEmpty();
    Long since = sinceNanos;
    boolean tooLong = !latched && since != null && turn.now.since(since) >= LONGEST_NANOS;
    if (asked && tooLong && !givenUp) {
      tellRelease(portion);
    }
    givenUp = asked && !latched && (givenUp || tooLong);
    Gate.Decision decision =
        Objects.requireNonNull(turn.tank.gate.pumps())
            .decideHold(lease, asked && !givenUp, turn.linkUp, turn.now);
    turn.send(decision);
    lease = decision.lease();
    sinceNanos = lease == null ? null : since == null ? Long.valueOf(turn.now.monoNanos()) : since;
  }

  /** What the hold's own device does is no reason to hold: it would be told to and fro for ever. */
  private List<Stop> reasons(List<Stop> stops) {
    return stops.stream()
        .filter(stop -> stop.function() == TankFunction.TOP_OFF)
        .filter(stop -> !turn.tank.devices.latches().containsKey(stop.name()))
        .toList();
  }

  private void tellRelease(boolean portion) {
    String why = "top-off was held for 2 h and is released";
    if (portion) {
      clerk.fault(
          new Exchange.Outcome.Fault(
              Exchange.Latch.TOP_OFF_RELEASED,
              why + ": fresh water may take the place of what was drained, see to the salinity"));
    } else {
      turn.write(Kind.NOTICE, why, Map.of());
    }
  }

  /** Whether top-off is certainly held: told so, and where the device reports, by its own word. */
  boolean held() {
    String hold = turn.tank.hold();
    return lease != null
        && (hold == null
            || turn.tank.confirm(hold) == null
            || Boolean.TRUE.equals(turn.device(hold).reportedOn()));
  }
}

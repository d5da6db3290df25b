package io.github.tidewarden.control;

import io.github.tidewarden.exchange.DailyShare;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.exchange.NewWater;
import io.github.tidewarden.interlock.Stop;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.schedule.NightPlan;
import io.github.tidewarden.schedule.OpenWindow;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.List;
import java.util.Objects;
import java.util.Set;
import org.jspecify.annotations.Nullable;

/**
 * On which terms water of one tank may be exchanged in one turn: how much is due, what keeps its
 * pumps at rest, what ends draining, and what a portion that is due waits for.
 */
final class PortionTerms {
  private final Turn turn;
  private final ExchangeSpec spec;
  private final NightPlan plan;
  private final @Nullable OpenWindow window;
  private final BinKeeper bin;

  /** Reckoned once in a turn: what a turn records changes neither. */
  private double due = Double.NaN;

  private long drainedIn24h = -1;

  /**
   * The terms of one turn.
   *
   * @param window the window that is open; null for none
   */
  PortionTerms(
      Turn turn, ExchangeSpec spec, NightPlan plan, @Nullable OpenWindow window, BinKeeper bin) {
    this.turn = turn;
    this.spec = spec;
    this.plan = plan;
    this.window = window;
    this.bin = bin;
  }

  private WaterMemory memory() {
    return turn.memory.water();
  }

  /** What is due and not exchanged, L. */
  double dueLitres() {
    if (Double.isNaN(due)) {
      due = reckonDueLitres();
    }
    return due;
  }

  private double reckonDueLitres() {
    OpenWindow open = window;
    if (open == null || closed().contains(open.id())) {
      return 0;
    }
    List<OpenWindow> windows =
        open.night().equals(plan.night())
            ? plan.windows()
            : NightPlan.of(open.night(), turn.tank.zone, spec.windows()).windows();
    double due = DailyShare.dueLitres(spec, windows, turn.now.wall());
    return Math.max(0, due - memory().drainedInNight(open.night()) / 1000.0);
  }

  /**
   * The window that seems to be open, where its night is accounted for: the clock went back, and
   * what was owed has lapsed.
   */
  Set<String> closed() {
    OpenWindow open = window;
    LocalDate accounted = memory().accounted();
    return open == null || accounted == null || open.night().isAfter(accounted)
        ? Set.of()
        : Set.of(open.id());
  }

  /** What was drained in the 24 h before now, mL. */
  long drainedIn24h() {
    if (drainedIn24h < 0) {
      drainedIn24h = memory().drainedIn24h(turn.before.boot(), turn.now);
    }
    return drainedIn24h;
  }

  /**
   * What keeps the pumps at rest.
   *
   * @param pumping whether a pump may be on
   * @param returnSteady whether the return has run for a while, as far as is known
   */
  List<String> forbidden(List<Stop> stops, boolean pumping, boolean returnSteady) {
    List<String> forbidden = new ArrayList<>();
    if (!turn.interruption.isEmpty()) {
      forbidden.add(turn.interruption);
    }
    for (Stop stop : stops) {
      if (stop.function() == TankFunction.EXCHANGE && !HoldKeeper.made(stop)) {
        forbidden.add(stop.name() + ": " + stop.why());
      }
    }
    if (turn.lease != null && !spec.whileOzone()) {
      forbidden.add("ozone is being given");
    }
    String unfit = NewWater.stop(bin.world());
    if (unfit != null) {
      forbidden.add(unfit);
    }
    if (memory().portion() == null && pumping) {
      forbidden.add("a pump of the last portion may still run");
    }
    if (turn.now.since(turn.before.water().quietUntilNanos()) < 0) {
      forbidden.add("what ran before the start may still run");
    }
    if (!returnSteady) {
      forbidden.add("the return has not run for 10 min yet");
    }
    return forbidden;
  }

  /** Why no more water may go out, though what is out may come in again. */
  List<String> ends(Standstill standstill) {
    List<String> ends = new ArrayList<>();
    String held = turn.holds.why(TankFunction.EXCHANGE);
    if (held != null) {
      ends.add(held);
    }
    if (window == null) {
      ends.add("no window is open");
    } else if (!closed().isEmpty()) {
      ends.add("this window has closed already");
    }
    if (standstill.gaveWay()) {
      ends.add("it gave way to others, and takes no more out");
    }
    String flaw = memory().portion() == null ? bin.temperatureFlaw() : null;
    if (flaw != null) {
      ends.add(flaw);
    }
    long next = PortionClerk.millilitres(Math.min(dueLitres(), spec.portionLitres()));
    if (memory().portion() == null
        && Objects.requireNonNull(turn.tank.gate.pumps()).overdraws(drainedIn24h() + next)) {
      ends.add("a portion would overdraw the hard limit of 24 h");
    }
    return ends;
  }

  /**
   * What a portion that is due waits for that is no matter of others, and holds none of them up.
   */
  List<String> ownWaits(TopOffKeeper topOff, WaterBalance balance) {
    List<String> waits = new ArrayList<>();
    String low = NewWater.low(bin.world(), spec.portionLitres());
    if (low != null) {
      waits.add("new-water-low: " + low);
    }
    double litres = Math.min(dueLitres(), spec.portionLitres());
    String topOffWaits =
        topOff.waits(
            Objects.requireNonNull(turn.tank.exchange).wholeNanos(litres, balance.rates()));
    if (topOffWaits != null) {
      waits.add(topOffWaits);
    }
    return waits;
  }
}

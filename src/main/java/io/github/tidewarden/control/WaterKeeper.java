package io.github.tidewarden.control;

import io.github.tidewarden.exchange.Exchange;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.exchange.LevelAtRest;
import io.github.tidewarden.exchange.Portion;
import io.github.tidewarden.gate.Gate;
import io.github.tidewarden.gate.Lease;
import io.github.tidewarden.gate.PumpGate;
import io.github.tidewarden.interlock.Stop;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.schedule.NightPlan;
import io.github.tidewarden.schedule.Nights;
import io.github.tidewarden.schedule.OpenWindow;
import io.github.tidewarden.sensing.Signal;
import io.github.tidewarden.sensing.Trend;
import java.time.temporal.ChronoUnit;
import java.util.ArrayList;
import java.util.List;
import java.util.Objects;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/**
 * Joins the exchange of one tank in one turn: looks at the level, asks the rule, lets the gate
 * decide about both pumps, and has recorded what becomes of it. Beside it stand the {@link
 * TopOffKeeper}, the {@link BinKeeper} and the {@link PortionClerk}.
 */
final class WaterKeeper {
  private final Turn turn;
  private final ExchangeSpec spec;
  private final PumpGate gate;
  private final NightPlan plan;
  private final @Nullable OpenWindow window;
  private final PortionTerms terms;
  private final @Nullable Signal level;
  private final Trend levelTrend;
  private final Trend salinityTrend;
  private final BinKeeper bin;
  private final PortionClerk clerk;
  private final TopOffKeeper topOff;
  private final long quietUntilNanos;
  private final long returnFromNanos;
  private Exchange.State rule;
  private LevelAtRest.State calm;
  private Pumping drain;
  private Pumping fill;
  private OwnPortion own;
  private Standstill standstill;
  private String hindrance;

  WaterKeeper(Turn turn, ExchangeSpec spec) {
    this.turn = turn;
    this.spec = spec;
    gate = Objects.requireNonNull(turn.tank.gate.pumps());
    WaterState before = turn.before.water();
    NightPlan known = before.plan();
    plan =
        known != null && known.interval().contains(turn.now.wall())
            ? known
            : NightPlan.of(
                Nights.nightOf(turn.now.wall(), turn.tank.zone), turn.tank.zone, spec.windows());
    window = turn.now.trusted() ? plan.openAt(turn.now.wall()) : null;
    ExchangeSpec.Level measured = spec.level();
    level = turn.signal(measured == null ? null : measured.sensor());
    levelTrend = heard(before.level(), level);
    salinityTrend = heard(before.salinity(), turn.signal(spec.salinitySensor()));
    bin = new BinKeeper(turn, spec, before.bin());
    terms = new PortionTerms(turn, spec, plan, window, bin);
    clerk = new PortionClerk(turn, spec, bin);
    topOff = new TopOffKeeper(turn, clerk, before.topOff());
    quietUntilNanos = before.quietUntilNanos();
    returnFromNanos =
        returnStands()
            ? turn.now.monoNanos() + LevelAtRest.CALM.toNanos()
            : before.returnFromNanos();
    rule = before.rule();
    calm = before.calm();
    drain = before.drain();
    fill = before.fill();
    own = before.own();
    standstill = before.standstill();
    hindrance = before.hindrance();
  }

  private Trend heard(Trend trend, @Nullable Signal signal) {
    return signal == null ? trend : trend.with(signal, turn.now);
  }

  private WaterState after() {
    return new WaterState(
        rule,
        calm,
        levelTrend,
        salinityTrend,
        bin.after(),
        drain,
        fill,
        topOff.after(),
        quietUntilNanos,
        returnFromNanos,
        own,
        standstill,
        hindrance,
        plan);
  }

  /** Whether a portion is under way, so that what guards it is armed. */
  boolean running() {
    return memory().portion() != null;
  }

  /** Whether a pump may be on. */
  boolean pumping() {
    return !(drain.atRest() && fill.atRest());
  }

  /** Whether a portion is due or under way. */
  boolean wanted() {
    return running() || terms.dueLitres() > 0;
  }

  /** One cycle, after the interlocks have spoken. */
  WaterState cycle(List<Stop> stops) {
    if (new WaterAccount(turn, spec, plan, hindrance).close()) {
      clerk.noticeSeep();
    }
    Portion portion = memory().portion();
    bin.watch(portion != null || turn.around.busy());
    drain = settled(drain, spec.drain(), portion);
    fill = settled(fill, spec.fill(), portion);
    List<String> forbidden = terms.forbidden(stops, pumping(), returnIsSteady());
    // Whether top-off is held is for the gate to ask, and a portion that waits for it goes not on.
    boolean ready = forbidden.isEmpty() && (level == null || level.good()) && topOff.held();
    standstill =
        portion == null
            ? Standstill.NONE
            : standstill.held(pumping(), ready, !turn.around.stops().isEmpty());
    forbidden.addAll(turn.around.stops());
    List<String> ends = terms.ends(standstill);
    topOff.cycle(pumping(), returnIsSteady(), stops);
    if (portion != null && hasPumped() && topOff.mayLetIn()) {
      own = own.thatWasToppedOff();
    }
    WaterBalance balance = new WaterBalance(turn, spec);
    if (portion == null) {
      ends.addAll(terms.ownWaits(topOff, balance));
    }
    Exchange.Proposal proposal = propose(portion, forbidden, ends, balance);
    rule = proposal.state();
    pump(proposal, forbidden, ends, balance);
    givesWay(portion, proposal.why());
    turn.narrator.tellsExchange(proposal.why());
    if (portion == null && window != null && terms.dueLitres() > 0 && proposal.outcome() == null) {
      hindered(proposal.why());
    }
    follow(proposal);
    watchLevelAtRest();
    return after();
  }

  /** A pump of a portion that is over counts until it is at rest for certain, and no longer. */
  private Pumping settled(Pumping pumping, ExchangeSpec.Pump pump, @Nullable Portion portion) {
    Pumping next = pumping.settled(turn.device(pump.name()), turn.now);
    return portion == null && next.atRest() ? Pumping.NONE : next;
  }

  /** What others drew meanwhile says nothing of this portion's pumps. */
  private void givesWay(@Nullable Portion portion, String why) {
    Standstill before = standstill;
    boolean awaitsKeeper = turn.tank.awaitsKeeper(TankFunction.EXCHANGE, turn.memory);
    standstill =
        portion == null ? Standstill.NONE : before.lasting(pumping(), awaitsKeeper, turn.now);
    if (standstill.gaveWay() && !before.gaveWay()) {
      own = own.disturbedByOthers();
      if (!awaitsKeeper) {
        clerk.tellStandstill(why);
      }
    }
  }

  /** What held a portion up before the end of its window came near says more than that it did. */
  private void hindered(String why) {
    if (!why.equals(Exchange.NO_ROOM) || hindrance.isEmpty()) {
      hindrance = why;
    }
  }

  /** Whether a return is known to stand still. */
  private boolean returnStands() {
    for (int place : turn.tank.returns) {
      Signal signal = Objects.requireNonNull(turn.signals.at(place));
      if (signal.good() && signal.value() == 0) {
        return true;
      }
    }
    return false;
  }

  /** Whether each return is known to run. */
  private boolean returnRuns() {
    for (int place : turn.tank.returns) {
      Signal signal = Objects.requireNonNull(turn.signals.at(place));
      if (!signal.good() || signal.value() == 0) {
        return false;
      }
    }
    return true;
  }

  /** Whether no return was heard to stand still in the last 10 min. */
  private boolean returnIsSteady() {
    return turn.now.since(returnFromNanos) >= 0;
  }

  /** Also while a portion waits, for however long. */
  private void watchLevelAtRest() {
    boolean pumpsRest =
        !pumping() && !turn.around.level().moves() && turn.now.since(quietUntilNanos) >= 0;
    calm =
        LevelAtRest.look(
            calm,
            new LevelAtRest.World(
                turn.now,
                levelTrend,
                pumpsRest,
                returnRuns(),
                topOff.mayFill(rule.levelIsHeld(turn.now))));
    Exchange.Outcome.Fault fault = calm.fault();
    if (fault != null) {
      clerk.fault(fault);
    }
  }

  private WaterMemory memory() {
    return turn.memory.water();
  }

  private Exchange.Proposal propose(
      @Nullable Portion portion, List<String> forbidden, List<String> ends, WaterBalance balance) {
    OpenWindow open = window;
    return Objects.requireNonNull(turn.tank.exchange)
        .propose(
            rule,
            new Exchange.World(
                turn.now,
                terms.dueLitres(),
                open == null ? 0 : turn.now.wall().until(open.interval().end(), ChronoUnit.NANOS),
                portion,
                level,
                levelTrend,
                forbidden,
                ends,
                turn.around.waits(),
                use(drain),
                use(fill),
                balance.rates(),
                -memory().apartMillilitres() / 1000.0,
                balance.roomLitres(),
                knowsItsBin() ? bin.litres() : Double.NaN,
                own.wasToppedOff(portion),
                memory().unseenMillilitres() / 1000.0,
                topOff.held()));
  }

  private Exchange.Use use(Pumping pumping) {
    return new Exchange.Use(
        !pumping.atRest(),
        pumping.usedNanos(turn.now),
        pumping.runNanos(turn.now),
        pumping.ranNanos());
  }

  // What is done.

  private void pump(
      Exchange.Proposal proposal, List<String> forbidden, List<String> ends, WaterBalance balance) {
    boolean paired = spec.kind() == ExchangeSpec.Kind.PAIRED;
    List<String> forbiddenOut = new ArrayList<>(forbidden);
    forbiddenOut.addAll(ends);
    drain =
        pump(
            spec.drain(),
            drain,
            proposal.drain(),
            proposal.drainNanos(),
            fill,
            forbiddenOut,
            balance);
    fill =
        pump(
            spec.fill(),
            fill,
            proposal.fill(),
            proposal.fillNanos(),
            paired ? Pumping.NONE : drain,
            forbidden,
            balance);
  }

  private Pumping pump(
      ExchangeSpec.Pump pump,
      Pumping pumping,
      boolean asked,
      long nanos,
      Pumping other,
      List<String> forbidden,
      WaterBalance balance) {
    long whole = Lease.boundSeconds(turn.tank.actuator(pump.name()).dropOutSeconds());
    long grant =
        pumping.lease() != null
            ? pumping.grantNanos()
            : nanos - pumping.usedNanos(turn.now) + TimeUnit.SECONDS.toNanos(whole);
    Portion portion = memory().portion();
    Gate.Decision decision =
        gate.decide(
            pump.name(),
            pumping.lease(),
            new PumpGate.World(
                turn.now,
                turn.linkUp,
                asked && portion != null && pumping.ended() == null,
                forbidden,
                level,
                other.atRest(),
                topOff.held(),
                plan,
                terms.closed(),
                terms.drainedIn24h(),
                balance.apartMillilitres(pump.equals(spec.fill()), drain, fill),
                portion == null ? 0 : Math.max(0, grant)));
    turn.send(decision);
    return pumping.decided(decision, grant, turn.now, turn.linkUp);
  }

  private void follow(Exchange.Proposal proposal) {
    Exchange.Outcome outcome = proposal.outcome();
    if (outcome instanceof Exchange.Outcome.Reserve reserve) {
      double psu = salinityTrend.settled(turn.signal(spec.salinitySensor()), turn.now);
      if (clerk.reserve(reserve, Objects.requireNonNull(window), psu, proposal.why())) {
        own = OwnPortion.begun(memory().lastPortion() + 1);
        hindrance = "";
      } else if (turn.pending == null) {
        hindered("no portion can be recorded");
      }
    } else if (outcome instanceof Exchange.Outcome.Drained drained) {
      clerk.drained(drained, own, drain.ranNanos(), proposal.why());
    } else if (outcome instanceof Exchange.Outcome.Done done) {
      clerk.done(done, own, drain.ranNanos(), fill.ranNanos(), proposal.why());
    } else if (outcome instanceof Exchange.Outcome.Fault fault) {
      clerk.fault(fault);
    }
  }

  /** Whether nobody else can have drawn from the bin since this portion began. */
  private boolean knowsItsBin() {
    return spec.shares().isEmpty() || (own.is(memory().lastPortion()) && !own.disturbed());
  }

  /** Whether a pump may have run for the portion under way, in this run of the program. */
  private boolean hasPumped() {
    return drain.usedNanos(turn.now) > 0 || fill.usedNanos(turn.now) > 0;
  }
}

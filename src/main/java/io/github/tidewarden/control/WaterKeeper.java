package io.github.tidewarden.control;

import io.github.tidewarden.exchange.DailyShare;
import io.github.tidewarden.exchange.Exchange;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.exchange.LevelAtRest;
import io.github.tidewarden.exchange.NewWater;
import io.github.tidewarden.exchange.Portion;
import io.github.tidewarden.exchange.Rates;
import io.github.tidewarden.exchange.SaltWatch;
import io.github.tidewarden.gate.Command;
import io.github.tidewarden.gate.Gate;
import io.github.tidewarden.gate.Lease;
import io.github.tidewarden.gate.PumpGate;
import io.github.tidewarden.interlock.Device;
import io.github.tidewarden.interlock.Event;
import io.github.tidewarden.interlock.Stop;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.quantity.UnitCode;
import io.github.tidewarden.schedule.NightPlan;
import io.github.tidewarden.schedule.Nights;
import io.github.tidewarden.schedule.OpenWindow;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Signal;
import io.github.tidewarden.sensing.Trend;
import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.jspecify.annotations.Nullable;

/**
 * Joins the exchange of one tank in one turn: looks at the level, asks the rule, lets the gate
 * decide about both pumps and the hold on top-off, and keeps the account.
 */
final class WaterKeeper {

  /** Top-off stays held so long after a portion, so that the level at rest is seen first. */
  static final long HOLD_AFTER_NANOS = TimeUnit.MINUTES.toNanos(10);

  /** Longest that top-off is held: the tank evaporates, and its return pump must not run dry. */
  static final long LONGEST_HOLD_NANOS = TimeUnit.HOURS.toNanos(2);

  /** A bin that has held more for so long than was left in it was filled. */
  static final long FILLED_NANOS = TimeUnit.MINUTES.toNanos(1);

  private final Turn turn;
  private final ExchangeSpec spec;
  private final PumpGate gate;
  private final NightPlan plan;
  private final @Nullable OpenWindow window;
  private WaterState state;

  WaterKeeper(Turn turn, ExchangeSpec spec) {
    this.turn = turn;
    this.spec = spec;
    gate = Objects.requireNonNull(turn.tank.gate.pumps());
    state = turn.before.water();
    NightPlan known = state.plan();
    plan =
        known != null && known.interval().contains(turn.now.wall())
            ? known
            : NightPlan.of(
                Nights.nightOf(turn.now.wall(), turn.tank.zone), turn.tank.zone, spec.windows());
    window = turn.now.trusted() ? plan.openAt(turn.now.wall()) : null;
  }

  /** Whether a portion is under way, so that what guards it is armed. */
  boolean running() {
    return memory().portion() != null;
  }

  /** Whether a portion is due or under way. */
  boolean wanted() {
    return running() || dueLitres() > 0;
  }

  /** One cycle, after the interlocks have spoken. */
  WaterState cycle(List<Stop> stops) {
    new WaterAccount(turn, spec, plan, state.hindrance()).close();
    Signal level = level();
    Portion portion = memory().portion();
    hear(level);
    state =
        state.pumped(
            state.rule(),
            settled(state.drain(), spec.drain(), portion),
            settled(state.fill(), spec.fill(), portion));
    if (portion != null) {
      state = state.holdingUntil(turn.now.monoNanos() + HOLD_AFTER_NANOS);
    }
    List<String> forbidden = forbidden(stops);
    List<String> ends = ends();
    hold(portion, stops);
    Exchange.Proposal proposal = propose(level, portion, forbidden, ends);
    boolean paired = spec.kind() == ExchangeSpec.Kind.PAIRED;
    Pumping drain =
        pump(
            spec.drain(),
            state.drain(),
            proposal.drain(),
            proposal.drainNanos(),
            state.fill(),
            Stream.concat(forbidden.stream(), ends.stream()).toList());
    Pumping fill =
        pump(
            spec.fill(),
            state.fill(),
            proposal.fill(),
            proposal.fillNanos(),
            paired ? Pumping.NONE : drain,
            forbidden);
    state = state.pumped(proposal.state(), drain, fill);
    turn.narrator.tellsExchange(proposal.why());
    if (portion == null && window != null && dueLitres() > 0) {
      state = state.hindered(proposal.outcome() == null ? proposal.why() : "");
    }
    follow(proposal);
    watchLevelAtRest(portion);
    return state;
  }

  /** A pump of a portion that is over counts until it is at rest for certain, and no longer. */
  private Pumping settled(Pumping pumping, ExchangeSpec.Pump pump, @Nullable Portion portion) {
    Pumping next = pumping.settled(device(pump), turn.now);
    return portion == null && next.atRest() ? Pumping.NONE : next;
  }

  private void hear(@Nullable Signal level) {
    Signal volume = signal(spec.bin().volumeSensor());
    Long since = NewWater.filled(newWater()) ? state.filledNanos() : null;
    if (NewWater.filled(newWater()) && since == null) {
      since = turn.now.monoNanos();
    }
    state =
        state.heard(
            heard(state.trend(), level),
            heard(state.salinity(), signal(spec.salinitySensor())),
            heard(state.bin(), volume),
            since,
            plan);
    if (since != null && turn.now.since(since) >= FILLED_NANOS) {
      Map<String, Object> fields = new LinkedHashMap<>();
      fields.put(Fields.BIN, spec.bin().name());
      turn.write(Kind.NEW_WATER, NewWater.filledWhy(newWater()), fields);
    }
  }

  private Trend heard(Trend trend, @Nullable Signal signal) {
    return signal == null ? trend : trend.with(signal, turn.now);
  }

  /** What a slow sensor says at rest: its mean, or its last good word; NaN for unknown. */
  private double settled(Trend trend, @Nullable Signal signal) {
    if (signal == null || !signal.good()) {
      return Double.NaN;
    }
    double mean = trend.mean(Trend.KEPT, turn.now);
    return Double.isFinite(mean) ? mean : signal.value();
  }

  private double binLitres() {
    return settled(state.bin(), signal(spec.bin().volumeSensor()));
  }

  /**
   * What is left in a bin with a sensor by the ledger, mL, so that what one reading is off the next
   * makes good; else what its sensor says now.
   */
  private long leftInBin() {
    BinMemory bin = turn.around.bin();
    BinMemory.Batch batch = bin.batch();
    long now = measured(binLitres());
    return now == BinMemory.UNKNOWN || batch == null
        ? now
        : Math.max(0, batch.millilitres() - bin.drawnMillilitres());
  }

  private NewWater.World newWater() {
    BinMemory bin = turn.around.bin();
    BinMemory.Batch batch = bin.batch();
    return new NewWater.World(
        spec.bin(),
        batch != null,
        batch == null ? Duration.ZERO : batch.mixed(turn.before.boot(), turn.now),
        batch == null ? 0 : (batch.millilitres() - bin.drawnMillilitres()) / 1000.0,
        signal(spec.bin().volumeSensor()),
        bin.leftMillilitres() == BinMemory.UNKNOWN ? Double.NaN : bin.leftMillilitres() / 1000.0);
  }

  private void watchLevelAtRest(@Nullable Portion portion) {
    boolean atRest =
        portion == null
            && turn.now.since(state.quietUntilNanos()) >= 0
            && turn.signals.values().stream()
                .filter(signal -> signal.measure() == Measure.RUNNING)
                .allMatch(signal -> signal.good() && signal.value() != 0);
    LevelAtRest.Finding found =
        LevelAtRest.look(
            state.calm(), new LevelAtRest.World(turn.now, state.trend(), atRest, held()));
    state = state.calm(found.state());
    Exchange.Outcome.Fault fault = found.fault();
    if (fault != null) {
      fault(fault);
    }
  }

  private WaterMemory memory() {
    return turn.memory.water();
  }

  private Device device(ExchangeSpec.Pump pump) {
    return turn.device(pump.name());
  }

  private @Nullable Signal level() {
    ExchangeSpec.Level level = spec.level();
    return signal(level == null ? null : level.sensor());
  }

  private @Nullable Signal signal(@Nullable String sensor) {
    return sensor == null ? null : Objects.requireNonNull(turn.signals.get(sensor));
  }

  // What is due.

  private double dueLitres() {
    OpenWindow open = window;
    if (open == null) {
      return 0;
    }
    List<OpenWindow> windows =
        open.night().equals(plan.night())
            ? plan.windows()
            : NightPlan.of(open.night(), turn.tank.zone, spec.windows()).windows();
    double due = DailyShare.dueLitres(spec, windows, turn.now.wall());
    return Math.max(0, due - memory().drainedInNight(open.night()) / 1000.0);
  }

  private List<String> forbidden(List<Stop> stops) {
    List<String> forbidden = new ArrayList<>();
    if (!turn.interruption.isEmpty()) {
      forbidden.add(turn.interruption);
    }
    stops.stream()
        .filter(stop -> stop.function() == TankFunction.EXCHANGE && !HoldKeeper.made(stop))
        .forEach(stop -> forbidden.add(stop.name() + ": " + stop.why()));
    if (turn.lease != null && !spec.whileOzone()) {
      forbidden.add("ozone is being given");
    }
    String unfit = NewWater.stop(newWater());
    if (unfit != null) {
      forbidden.add(unfit);
    }
    forbidden.addAll(turn.around.stops());
    if (memory().portion() == null && !(state.drain().atRest() && state.fill().atRest())) {
      forbidden.add("a pump of the last portion may still run");
    }
    if (turn.now.since(state.quietUntilNanos()) < 0) {
      forbidden.add("what ran before the start may still run");
    }
    return forbidden;
  }

  /** Why no more water may go out, though what is out may come in again. */
  private List<String> ends() {
    List<String> ends = new ArrayList<>();
    String held = turn.holds.why(TankFunction.EXCHANGE);
    if (held != null) {
      ends.add(held);
    }
    if (window == null) {
      ends.add("no window is open");
    }
    long next = millilitres(Math.min(dueLitres(), spec.portionLitres()));
    if (memory().portion() == null
        && gate.overdraws(memory().drainedIn24h(turn.before.boot(), turn.now) + next)) {
      ends.add("a portion would overdraw the hard limit of 24 h");
    }
    return ends;
  }

  private List<String> waits() {
    List<String> waits = new ArrayList<>(turn.around.waits());
    String low = NewWater.low(newWater(), spec.portionLitres());
    if (low != null) {
      waits.add(0, "new-water-low: " + low);
    }
    return waits;
  }

  private Exchange.Proposal propose(
      @Nullable Signal level,
      @Nullable Portion portion,
      List<String> forbidden,
      List<String> ends) {
    OpenWindow open = window;
    return Objects.requireNonNull(turn.tank.exchange)
        .propose(
            state.rule(),
            new Exchange.World(
                turn.now,
                dueLitres(),
                open == null
                    ? 0
                    : Duration.between(turn.now.wall(), open.interval().end()).toNanos(),
                portion,
                level,
                state.trend(),
                forbidden,
                ends,
                waits(),
                use(state.drain()),
                use(state.fill()),
                memory().rates(spec),
                -memory().apartMillilitres() / 1000.0,
                binLitres()));
  }

  private Exchange.Use use(Pumping pumping) {
    return new Exchange.Use(
        !pumping.atRest(), pumping.usedNanos(turn.now), pumping.runNanos(turn.now));
  }

  // What is done.

  /**
   * Top-off is held while a portion is under way and a while after, and while something stops it.
   * It is held for 2 h at most, but for a stop that waits for a keeper; after that a portion waits
   * for a keeper too, for what was drained may have been replaced by fresh water.
   */
  private void hold(@Nullable Portion portion, List<Stop> stops) {
    if (turn.tank.hold() == null) {
      return;
    }
    // What the hold's own device does is no reason to hold: it would be told to and fro for ever.
    List<Stop> reasons =
        stops.stream()
            .filter(stop -> stop.function() == TankFunction.TOP_OFF)
            .filter(stop -> !turn.tank.devices.latches().containsKey(stop.name()))
            .toList();
    boolean latched =
        turn.memory.latches().containsKey(Exchange.Latch.LEVEL_FALLS.word())
            || reasons.stream().anyMatch(Stop::latched);
    boolean asked =
        latched
            || portion != null
            || turn.now.since(state.holdUntilNanos()) < 0
            || !reasons.isEmpty();
    Long since = state.heldNanos();
    if (turn.linkUp && !turn.interruption.isEmpty()) {
      // Whether it was told is not known, so it is told again in the next cycle.
      state = state.holding(null, since, state.released());
      return;
    }
    boolean tooLong = !latched && since != null && turn.now.since(since) >= LONGEST_HOLD_NANOS;
    if (asked && tooLong && !state.released()) {
      released(portion);
    }
    boolean released = asked && !latched && (state.released() || tooLong);
    Gate.Decision decision =
        gate.decideHold(state.hold(), asked && !released, turn.linkUp, turn.now);
    send(decision);
    Lease is = decision.lease();
    state =
        state.holding(
            is,
            is == null ? null : since == null ? Long.valueOf(turn.now.monoNanos()) : since,
            released);
  }

  private void released(@Nullable Portion portion) {
    String why = "top-off was held for 2 h and is released";
    if (portion == null) {
      turn.write(Kind.NOTICE, why, Map.of());
    } else {
      fault(
          new Exchange.Outcome.Fault(
              Exchange.Latch.TOP_OFF_RELEASED,
              why + ": fresh water may take the place of what was drained, see to the salinity"));
    }
  }

  /** Whether top-off is certainly held: told so, and where the device reports, by its own word. */
  private boolean held() {
    String hold = turn.tank.hold();
    return state.hold() != null
        && (hold == null
            || turn.tank.confirm(hold) == null
            || Boolean.TRUE.equals(turn.device(hold).reportedOn()));
  }

  private Pumping pump(
      ExchangeSpec.Pump pump,
      Pumping pumping,
      boolean asked,
      long nanos,
      Pumping other,
      List<String> forbidden) {
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
                level(),
                other.atRest(),
                held(),
                plan,
                Set.of(),
                memory().drainedIn24h(turn.before.boot(), turn.now),
                memory().apartMillilitres(),
                portion == null ? 0 : Math.max(0, grant)));
    send(decision);
    return pumping.decided(decision, grant, turn.now);
  }

  private void send(Gate.Decision decision) {
    Command command = decision.command();
    if (command != null) {
      turn.send(command, decision.lease());
    }
  }

  // What is recorded.

  private void follow(Exchange.Proposal proposal) {
    Exchange.Outcome outcome = proposal.outcome();
    if (outcome instanceof Exchange.Outcome.Reserve reserve) {
      reserve(reserve, proposal.why());
    } else if (outcome instanceof Exchange.Outcome.Drained drained) {
      drained(drained, proposal.why());
    } else if (outcome instanceof Exchange.Outcome.Done done) {
      done(done, proposal.why());
    } else if (outcome instanceof Exchange.Outcome.Fault fault) {
      fault(fault);
    }
  }

  private void reserve(Exchange.Outcome.Reserve reserve, String why) {
    OpenWindow open = Objects.requireNonNull(window);
    Map<String, Object> salt = salt(reserve);
    Exchange.Outcome.Fault wrong =
        salt.isEmpty() ? null : SaltWatch.judge(new Fields(salt).count(Fields.SALT_OFF) / 1e6);
    if (wrong != null) {
      fault(wrong);
      return;
    }
    state = state.beginning(memory().lastPortion() + 1);
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.NIGHT, open.night().toString());
    fields.put(Fields.PORTION, memory().lastPortion() + 1);
    fields.put(Fields.WINDOW, open.id());
    fields.put(Fields.PORTION_ML, millilitres(reserve.litres()));
    fields.put(Fields.BEFORE_UM, micrometres(reserve.beforeMillimetres()));
    fields.put(Fields.TARGET_UM, micrometres(reserve.targetMillimetres()));
    fields.put(Fields.BIN, spec.bin().name());
    fields.put(Fields.BIN_ML, leftInBin());
    fields.putAll(salt);
    fields.putAll(turn.narrator.vector());
    turn.reserve(Kind.PORTION, why, fields);
  }

  /** The salinity before a portion, and how far it is off what explains it; empty for unknown. */
  private Map<String, Object> salt(Exchange.Outcome.Reserve reserve) {
    double psu = settled(state.salinity(), signal(spec.salinitySensor()));
    if (Double.isNaN(psu)) {
      return Map.of();
    }
    ExchangeSpec.Level level = spec.level();
    double over =
        level == null
            ? 0
            : (reserve.beforeMillimetres() - (level.lowMillimetres() + level.highMillimetres()) / 2)
                * level.litresPerMillimetre();
    double litres = turn.tank.spec.waterLitres() + over;
    SaltMemory known = memory().salt();
    double off =
        known.last() == SaltMemory.UNKNOWN
            ? 0
            : SaltWatch.off(known.held(), known.salt() / 1e3, new SaltWatch.Held(psu, litres));
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.SALINITY_UPSU, millionths(psu));
    fields.put(Fields.WATER_ML, millilitres(litres));
    fields.put(Fields.SALT_OFF, millionths(SaltWatch.together(known.off() / 1e6, off)));
    fields.put(Fields.SALT_NIGHT, known.night() + millionths(off));
    return fields;
  }

  private void drained(Exchange.Outcome.Drained drained, String why) {
    Rates rates = memory().rates(spec);
    if (begunHere() && state.drain().ranNanos() > 0) {
      rates = rates.withDrain(rate(drained.litres(), state.drain()));
    }
    Map<String, Object> fields = portionFields();
    fields.put(Fields.OUT_ML, millilitres(drained.litres()));
    fields.put(Fields.LEVEL_UM, micrometres(drained.levelMillimetres()));
    fields.put(Fields.DRAIN_RATE, PumpMemory.microlitres(rates.drain().litresPerMinute()));
    turn.write(Kind.DRAINED, why, fields);
  }

  private void done(Exchange.Outcome.Done done, String why) {
    Rates before = memory().rates(spec);
    Rates rates = learnt(before, done);
    Map<String, Object> fields = portionFields();
    fields.put(Fields.OUT_ML, millilitres(done.outLitres()));
    fields.put(Fields.IN_ML, millilitres(done.inLitres()));
    fields.put(Fields.DRAIN_RATE, PumpMemory.microlitres(rates.drain().litresPerMinute()));
    fields.put(Fields.FILL_RATE, PumpMemory.microlitres(rates.fill().litresPerMinute()));
    fields.put(Fields.BIN, spec.bin().name());
    fields.put(Fields.BIN_ML, measured(binLitres()));
    fields.put(Fields.KEPT, kept(done.outLitres() / turn.tank.spec.waterLitres()));
    fields.put(Fields.SALT, Math.round(1000 * saltOf(done)));
    turn.write(Kind.FILLED, why, fields);
    tellRate(spec.drain(), before.drain(), rates.drain(), Exchange.Latch.DRAIN_DRIFTS);
    tellRate(spec.fill(), before.fill(), rates.fill(), Exchange.Latch.FILL_DRIFTS);
  }

  /**
   * Both at once mixes as it goes, one after the other at the end: see {@code science.Dilution}.
   */
  private long kept(double share) {
    double left = spec.kind() == ExchangeSpec.Kind.PAIRED ? Math.exp(-share) : 1 - share;
    return Math.round(WaterLedger.ALL_KEPT * Math.max(0, Math.min(1, left)));
  }

  private double saltOf(Exchange.Outcome.Done done) {
    SaltMemory salt = memory().salt();
    double tank = salt.last() == SaltMemory.UNKNOWN ? SaltWatch.USUAL_PSU : salt.held().psu();
    BinMemory.Batch batch = turn.around.bin().batch();
    double bin =
        settled(Trend.EMPTY, signal(spec.bin().salinitySensor())); // measured, or as confirmed
    double fresh =
        !Double.isNaN(bin)
            ? bin
            : batch == null ? spec.bin().salinityPsu() : batch.microPsu() / 1e6;
    return SaltWatch.portion(tank, done.outLitres(), fresh, done.inLitres());
  }

  private boolean begunHere() {
    return memory().lastPortion() == state.begun();
  }

  private Rates learnt(Rates known, Exchange.Outcome.Done done) {
    boolean paired = spec.kind() == ExchangeSpec.Kind.PAIRED;
    Portion portion = Objects.requireNonNull(memory().portion());
    if (!begunHere() || state.fill().ranNanos() == 0) {
      return known;
    }
    double fill = rate(done.inLitres(), state.fill());
    boolean measured = !Double.isNaN(portion.binLitres()) && !Double.isNaN(binLitres());
    return paired && measured
        ? known.withBoth(rate(done.outLitres(), state.drain()), fill)
        : known.withFill(fill);
  }

  private void tellRate(
      ExchangeSpec.Pump pump, Rates.Rate before, Rates.Rate now, Exchange.Latch latch) {
    String why =
        "pump "
            + pump.name()
            + " moves "
            + Figures.brief(now.litresPerMinute() * 1000, UnitCode.MILLILITRE_PER_MINUTE)
            + " instead of "
            + Figures.brief(now.baseLitresPerMinute() * 1000, UnitCode.MILLILITRE_PER_MINUTE);
    if (now.drifts()) {
      fault(new Exchange.Outcome.Fault(latch, why + ": look at it, and calibrate it anew"));
    } else if (now.isTold() && !before.isTold()) {
      turn.write(Kind.NOTICE, why, Map.of(Fields.NAME, latch.word()));
    }
  }

  private void fault(Exchange.Outcome.Fault fault) {
    String name = fault.name().word();
    if (!turn.memory.latches().containsKey(name)) {
      turn.narrator.tells(List.of(new Event(Event.Type.TRIP, name, fault.why(), true, name)));
    }
  }

  private Map<String, Object> portionFields() {
    Portion portion = Objects.requireNonNull(memory().portion());
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.NIGHT, portion.night().toString());
    fields.put(Fields.PORTION, portion.number());
    return fields;
  }

  private static double rate(double litres, Pumping pumping) {
    return litres * TimeUnit.MINUTES.toNanos(1) / pumping.ranNanos();
  }

  private static long millionths(double value) {
    return Math.round(value * 1e6);
  }

  private static long measured(double litres) {
    return Double.isNaN(litres) ? BinMemory.UNKNOWN : millilitres(litres);
  }

  private static long millilitres(double litres) {
    return Math.round(Math.max(0, litres) * 1000);
  }

  private static long micrometres(double millimetres) {
    return Double.isNaN(millimetres) ? Portion.UNMEASURED : Math.round(millimetres * 1000);
  }
}

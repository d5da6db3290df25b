package io.github.tidewarden.control;

import io.github.tidewarden.dosing.Outlook;
import io.github.tidewarden.dosing.OzoneDosing;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.gate.Command;
import io.github.tidewarden.gate.Gate;
import io.github.tidewarden.gate.Lease;
import io.github.tidewarden.interlock.Device;
import io.github.tidewarden.interlock.Devices;
import io.github.tidewarden.interlock.Interlocks;
import io.github.tidewarden.interlock.Seen;
import io.github.tidewarden.interlock.Situation;
import io.github.tidewarden.interlock.Stop;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.NightPlan;
import io.github.tidewarden.schedule.Nights;
import io.github.tidewarden.schedule.OpenWindow;
import io.github.tidewarden.sensing.ByName;
import io.github.tidewarden.sensing.Sensor;
import io.github.tidewarden.sensing.Settling;
import io.github.tidewarden.sensing.Signal;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/**
 * One step of one tank while it is being taken: the state opened up, moved on, and closed again.
 * Used once and thrown away.
 */
final class Turn {

  /** The core wants to be asked at least this often. */
  static final long LONGEST_SLEEP_NANOS = TimeUnit.SECONDS.toNanos(1);

  private static final Set<TankFunction> OZONE = Set.of(TankFunction.OZONE);
  private static final Set<TankFunction> EXCHANGE = Set.of(TankFunction.EXCHANGE);
  private static final Set<TankFunction> OZONE_AND_EXCHANGE =
      Set.of(TankFunction.OZONE, TankFunction.EXCHANGE);

  final Tank tank;
  final TankState before;
  final Surroundings around;
  final HoldKeeper holds;
  final CareKeeper care;
  final Moment now;
  final List<Effect> sends = new ArrayList<>();
  final List<Effect> others = new ArrayList<>();

  TankMemory memory;
  ByName<Sensor> sensors;
  ByName<Device> devices;
  ByName<Signal> signals;

  /** The same with the redox of calibrated probes corrected; the very same where none is. */
  ByName<Signal> corrected;

  List<Settling> settling;
  Teaching teaching;

  /** The redox of every probe that ozone goes by, once the signals are known. */
  List<Signal> probes = List.of();

  final Narrator narrator;
  NightPlan plan;
  Interlocks.State interlocks;
  OzoneDosing.@Nullable State dosing;
  @Nullable Lease lease;
  @Nullable Lease ended;
  TankState.@Nullable Pending pending;
  @Nullable Instant watchedUntil;
  @Nullable OpenWindow window;
  WaterState water;
  private SkimmerState skimmer;
  private long lastTicket;
  boolean linkUp;
  long settledNanos;
  long retryNanos;
  boolean reconnected;
  String interruption = "";

  Turn(Tank tank, TankState before, Surroundings around, Moment now) {
    this.tank = tank;
    this.before = before;
    this.around = around;
    this.now = now;
    memory = before.memory();
    sensors = tank.sensorNames.of(before.sensors());
    devices = tank.actuatorNames.of(before.devices());
    signals = tank.sensorNames.none();
    corrected = signals;
    settling = before.settling();
    teaching = before.teaching();
    interlocks = before.interlocks();
    dosing = before.dosing();
    lease = before.lease();
    ended = before.ended();
    pending = before.pending();
    watchedUntil = before.watchedUntil();
    lastTicket = before.lastTicket();
    linkUp = before.linkUp();
    settledNanos = before.settledNanos();
    retryNanos = before.retryNanos();
    water = before.water();
    skimmer = before.skimmer();
    NightPlan known = before.plan();
    plan = known != null && known.interval().contains(now.wall()) ? known : planOfNow();
    narrator = new Narrator(this);
    holds = new HoldKeeper(this);
    care = new CareKeeper(this);
  }

  private NightPlan planOfNow() {
    OzoneSpec ozone = tank.spec.ozone();
    return NightPlan.of(
        Nights.nightOf(now.wall(), tank.zone),
        tank.zone,
        ozone == null ? List.of() : ozone.windows());
  }

  /** Takes the step. */
  Tank.Result take(Event event) {
    new Ear(this).hears(event);
    if (!before.faulted()) {
      signals = tank.signals(sensors, now);
      cycle();
    } else if (reconnected) {
      others.add(tank.faultState(memory, now));
    }
    sends.addAll(others);
    return new Tank.Result(after(), sends);
  }

  private TankState after() {
    return new TankState(
        memory,
        before.boot(),
        sensors,
        settling,
        teaching,
        devices,
        interlocks,
        dosing,
        lease,
        ended,
        pending,
        lastTicket,
        linkUp,
        settledNanos,
        retryNanos,
        plan,
        watchedUntil,
        before.faulted(),
        water,
        skimmer,
        narrator.story(),
        wakeNanos());
  }

  // What follows from it.

  private void cycle() {
    OzoneDosing rule = tank.dosing;
    OzoneDosing.State state = dosing;
    OzoneSpec ozone = tank.spec.ozone();
    boolean running = lease != null && interruption.isEmpty();
    probes = probes();
    corrected = ProbeKeeper.corrected(signals, ozone, memory);
    ProbeKeeper known = ozone == null ? null : new ProbeKeeper(this, ozone);
    window = new WindowKeeper(this).openWindow();
    holds.endsWhatIsOver();
    narrator.followsRedox();
    ExchangeSpec exchange = tank.spec.exchange();
    WaterKeeper keeper = exchange == null ? null : new WaterKeeper(this, exchange);
    Situation situation = situation(running, keeper);
    Interlocks.Outcome guarded = tank.interlocks.evaluate(interlocks, situation);
    interlocks = guarded.state();
    narrator.tells(guarded.events());
    Devices.Outcome watched = tank.devices.evaluate(devices, situation);
    devices = tank.actuatorNames.of(watched.devices());
    narrator.tells(watched.events());
    watched.toRest().forEach(name -> send(tank.gate.rest(name)));
    List<Stop> stops = new ArrayList<>(guarded.stops());
    stops.addAll(watched.stops());
    stops.addAll(holds.stops());
    stops.addAll(care.stops());
    if (rule != null && state != null && known != null) {
      settling = known.settling(settling);
      Stop uncalibrated = known.stop();
      if (uncalibrated != null) {
        stops.add(uncalibrated);
      }
      List<Signal> higher = known.higher();
      LessonKeeper lessons = new LessonKeeper(this, known.ozone());
      Outlook outlook = lessons.outlook(higher, stops);
      OzoneDosing.Proposal proposal =
          rule.propose(state, now, window != null, lease != null, higher, outlook);
      dosing = proposal.state();
      decide(proposal, stops);
      lessons.follow(outlook.first());
      narrator.tellsRefusal(proposal, stops);
    }
    if (keeper != null) {
      water = keeper.cycle(stops);
    }
    SkimmerSpec cared = tank.spec.care().skimmer();
    if (cared != null) {
      skimmer = new SkimmerKeeper(this, cared).cycle(skimmer);
    }
    narrator.tellsQualities();
    narrator.tellsState(stops);
  }

  private List<Signal> probes() {
    OzoneSpec ozone = tank.spec.ozone();
    if (ozone == null) {
      return List.of();
    }
    List<Signal> seen = new ArrayList<>();
    for (String name : ozone.probes()) {
      seen.add(Objects.requireNonNull(signals.get(name)));
    }
    return seen;
  }

  private Situation situation(boolean running, @Nullable WaterKeeper keeper) {
    OpenWindow open = window;
    OzoneSpec ozone = tank.spec.ozone();
    boolean wanted =
        open != null
            && ozone != null
            && (running
                || memory.spentInNightMillis(open.night()) * 1_000_000 < ozone.mostPerNightNanos());
    return new Situation(
        now,
        new Seen(signals, corrected),
        functions(wanted, keeper != null && keeper.wanted()),
        functions(running, keeper != null && keeper.running()),
        functions(running, keeper != null && keeper.pumping()),
        memory.latches(),
        memory.countsIn(plan.night(), now.trusted()));
  }

  private static Set<TankFunction> functions(boolean ozone, boolean exchange) {
    return ozone ? exchange ? OZONE_AND_EXCHANGE : OZONE : exchange ? EXCHANGE : Set.of();
  }

  private void decide(OzoneDosing.Proposal proposal, List<Stop> stops) {
    List<String> forbidden = new ArrayList<>();
    if (!interruption.isEmpty()) {
      forbidden.add(interruption);
    }
    for (Stop stop : stops) {
      if (stop.function() == TankFunction.OZONE) {
        forbidden.add(stop.name() + ": " + stop.why());
      }
    }
    ExchangeSpec exchange = tank.spec.exchange();
    if (exchange != null && !exchange.whileOzone() && memory.water().portion() != null) {
      forbidden.add("a portion of water is under way");
    }
    OpenWindow open = window;
    Gate.Decision decision =
        tank.gate.decideOzone(
            lease,
            new Gate.World(
                now,
                linkUp,
                proposal.run(),
                forbidden,
                probes,
                plan,
                memory.closed(),
                open == null ? 0 : memory.spentInNightMillis(open.night()) * 1_000_000,
                memory.spentIn24hMillis(before.boot(), now) * 1_000_000,
                grantNanos(),
                grantNight()));
    send(decision);
    new RunKeeper(this).follow(proposal, decision);
    lease = decision.lease();
  }

  private long grantNanos() {
    Run run = memory.run();
    return run == null || run.spend() != null ? 0 : run.reservedMillis() * 1_000_000;
  }

  private @Nullable LocalDate grantNight() {
    Run run = memory.run();
    return run == null ? null : run.night();
  }

  /** Whether any probe is calibrated. */
  @SuppressWarnings("ReferenceEquality") // the very same map where none is
  boolean corrects() {
    return corrected != signals;
  }

  /** The calibration of each probe that has one, for the state topic. */
  Map<String, Object> calibrations() {
    OzoneSpec ozone = tank.spec.ozone();
    return ozone == null ? Map.of() : new ProbeKeeper(this, ozone).told();
  }

  // How it is carried out.

  Device device(String name) {
    return devices.getOrDefault(name, Device.UNKNOWN);
  }

  /** The signal of this name; null for none. */
  @Nullable Signal signal(@Nullable String sensor) {
    return sensor == null ? null : Objects.requireNonNull(signals.get(sensor));
  }

  void send(Gate.Decision decision) {
    Command command = decision.command();
    if (command != null) {
      send(command, decision.lease());
    }
  }

  void send(Command rest) {
    send(rest, null);
  }

  private void send(Command command, @Nullable Lease granted) {
    sends.add(new Effect.Send(command));
    Device device = device(command.actuator());
    devices =
        devices.with(
            command.actuator(),
            granted == null
                ? device.toldToRest(now)
                : device.toldToRun(now, granted.outNanos(), granted.boundNanos()));
  }

  /** Writes a record that permits nothing, and remembers what it says. */
  void write(Kind kind, String why, Map<String, Object> fields) {
    AuditRecord record = record(kind, why, fields);
    remembers(record);
    others.add(new Effect.Write(record, 0));
  }

  /** Remembers what is written, by this tank or by the site. */
  void remembers(AuditRecord record) {
    memory = memory.apply(record, before.boot());
    TankState.Pending waiting = pending;
    pending = waiting == null ? null : waiting.followedBy(record, before.boot());
  }

  /**
   * Writes a record that permits something; it is remembered when it is on disk.
   *
   * @return whether it, or another, is on its way there; not while the disk takes nothing
   */
  boolean reserve(Kind kind, String why, Map<String, Object> fields) {
    if (pending != null || now.since(retryNanos) < 0) {
      return pending != null;
    }
    lastTicket = tank.ticketAfter(lastTicket);
    AuditRecord record = record(kind, why, fields);
    pending = new TankState.Pending(lastTicket, record, memory.apply(record, before.boot()));
    others.add(new Effect.Write(record, lastTicket));
    return true;
  }

  private AuditRecord record(Kind kind, String why, Map<String, Object> fields) {
    Map<String, Object> all = new LinkedHashMap<>();
    all.put(Fields.NIGHT, plan.night().toString());
    all.putAll(fields);
    return AuditRecord.of(now, tank.spec.name(), kind, why, all);
  }

  private long wakeNanos() {
    long wake = now.monoNanos() + LONGEST_SLEEP_NANOS;
    wake = dueBefore(wake, lease);
    wake = dueBefore(wake, water.drain().lease());
    wake = dueBefore(wake, water.fill().lease());
    wake = dueBefore(wake, water.topOff().lease());
    for (int place = 0; place < tank.sensors.size(); place++) {
      Sensor sensor = sensors.at(place);
      long left = sensor == null ? 0 : sensor.freshNanos(tank.sensors.get(place), now);
      wake = left > 0 ? Math.min(wake, now.monoNanos() + left) : wake;
    }
    Instant edge = plan.nextEdge(now.wall());
    if (edge != null && edge.isBefore(now.wall().plusSeconds(2))) {
      wake = Math.min(wake, now.monoNanos() + Duration.between(now.wall(), edge).toNanos());
    }
    return Math.max(wake, now.monoNanos() + 1_000_000);
  }

  /** One that is due and was not renewed waits for something else, which wakes by itself. */
  private long dueBefore(long wake, @Nullable Lease live) {
    if (live == null) {
      return wake;
    }
    long due = live.sentNanos() + TimeUnit.SECONDS.toNanos(live.seconds()) / 3;
    return due - now.monoNanos() > 0 ? Math.min(wake, due) : wake;
  }
}

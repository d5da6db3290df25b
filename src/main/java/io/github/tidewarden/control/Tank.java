package io.github.tidewarden.control;

import io.github.tidewarden.dosing.DoseCourse;
import io.github.tidewarden.dosing.OzoneDosing;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.exchange.Exchange;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.exchange.LevelAtRest;
import io.github.tidewarden.exchange.Rates;
import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.gate.Gate;
import io.github.tidewarden.gate.HardLimits;
import io.github.tidewarden.gate.PumpGate;
import io.github.tidewarden.interlock.ConfirmSpec;
import io.github.tidewarden.interlock.Devices;
import io.github.tidewarden.interlock.Interlocks;
import io.github.tidewarden.interlock.Seen;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.Nights;
import io.github.tidewarden.science.Electrodes;
import io.github.tidewarden.sensing.ByName;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Sensor;
import io.github.tidewarden.sensing.SensorSpec;
import io.github.tidewarden.sensing.Settling;
import io.github.tidewarden.sensing.Signal;
import java.time.Instant;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.Collections;
import java.util.Comparator;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.stream.IntStream;
import org.jspecify.annotations.Nullable;

/**
 * One tank's step: from a state and an event to a state and effects. Pure and deterministic; holds
 * only what the configuration says.
 */
final class Tank {
  final TankSpec spec;
  final ZoneId zone;
  final Interlocks interlocks;
  final Devices devices;
  final Gate gate;
  final @Nullable OzoneDosing dosing;
  final @Nullable Exchange exchange;
  final Map<String, List<SensorSpec>> sensorsByTopic = new HashMap<>();
  final Map<String, List<String>> actuatorsByTopic = new HashMap<>();
  final ByName.Names sensorNames;
  final ByName.Names actuatorNames;

  /** Sorted by name, as {@link #sensorNames} are. */
  final List<SensorSpec> sensors;

  /** The places among them of what watches the return. */
  final int[] returns;

  private final @Nullable String hold;
  private final Map<String, ActuatorSpec> actuators = new TreeMap<>();

  private final int index;
  private final int tanks;

  /**
   * One tank.
   *
   * @param spec its configuration
   * @param zone in which its windows are reckoned
   * @param hard the site's hard limits
   * @param index its place among the site's tanks, from 0
   * @param tanks how many there are
   */
  Tank(TankSpec spec, ZoneId zone, HardLimits hard, int index, int tanks) {
    this.spec = spec;
    this.zone = zone;
    this.index = index;
    this.tanks = tanks;
    hold = hold(spec);
    sensors = spec.sensors().stream().sorted(Comparator.comparing(SensorSpec::name)).toList();
    returns =
        IntStream.range(0, sensors.size())
            .filter(place -> sensors.get(place).measure() == Measure.RUNNING)
            .toArray();
    sensorNames = new ByName.Names(sensors.stream().map(SensorSpec::name).toList());
    actuatorNames = new ByName.Names(spec.actuators().stream().map(ActuatorSpec::name).toList());
    spec.actuators().forEach(actuator -> actuators.put(actuator.name(), actuator));
    OzoneSpec ozone = spec.ozone();
    Map<String, TankFunction> functions = new TreeMap<>();
    spec.actuators().forEach(actuator -> functions.put(actuator.name(), actuator.function()));
    devices = new Devices(spec.confirms(), functions);
    interlocks =
        new Interlocks(
            spec.interlocks(),
            spec.sensors(),
            ozone == null ? Map.of() : Map.of(TankFunction.OZONE, ozone.probes()),
            latches());
    dosing = ozone == null ? null : new OzoneDosing(ozone);
    ExchangeSpec water = spec.exchange();
    exchange = water == null ? null : new Exchange(water);
    gate =
        new Gate(
            spec.name(),
            spec.actuators(),
            ozone == null ? null : limits(ozone, hard),
            water == null ? null : limits(water, hard));
    for (SensorSpec sensor : spec.sensors()) {
      sensorsByTopic.computeIfAbsent(sensor.topic(), topic -> new ArrayList<>()).add(sensor);
    }
    new TreeMap<>(spec.confirms())
        .forEach(
            (name, confirm) ->
                actuatorsByTopic
                    .computeIfAbsent(confirm.topic(), topic -> new ArrayList<>())
                    .add(name));
  }

  private int probes() {
    OzoneSpec ozone = spec.ozone();
    return ozone == null ? 0 : ozone.probes().size();
  }

  /** What each latch that is not an interlock's own stops. */
  private Map<String, TankFunction> latches() {
    Map<String, TankFunction> latches = new TreeMap<>(devices.latches());
    for (Exchange.Latch latch : Exchange.Latch.values()) {
      latches.put(latch.word(), TankFunction.EXCHANGE);
    }
    return latches;
  }

  private PumpGate.Limits limits(ExchangeSpec water, HardLimits hard) {
    ExchangeSpec.Level level = water.level();
    return new PumpGate.Limits(
        water.drain().name(),
        water.fill().name(),
        hold(),
        water.kind() == ExchangeSpec.Kind.PAIRED,
        level == null ? Double.NEGATIVE_INFINITY : level.lowMillimetres(),
        level == null ? Double.POSITIVE_INFINITY : level.highMillimetres(),
        Math.round(hard.exchangePer24hPercent() * 10 * spec.waterLitres()),
        Math.round(water.imbalanceLitres() * 1000));
  }

  /** The name of what holds top-off; null for a tank without. */
  @Nullable String hold() {
    return hold;
  }

  private static @Nullable String hold(TankSpec spec) {
    return spec.actuators().stream()
        .filter(actuator -> actuator.function() == TankFunction.TOP_OFF)
        .map(ActuatorSpec::name)
        .findFirst()
        .orElse(null);
  }

  /** The hard ceiling is given against Ag/AgCl 3 M KCl, the tank's own against its electrode. */
  private static Gate.OzoneLimits limits(OzoneSpec ozone, HardLimits hard) {
    double hardCeilingMillivolts =
        Electrodes.limitAgainst(
            Electrodes.Reference.named(ozone.reference()), hard.redoxCeilingMillivolts());
    return new Gate.OzoneLimits(
        ozone.generator(),
        Math.min(ozone.ceilingMillivolts(), hardCeilingMillivolts),
        ozone.mostPerNightNanos(),
        hard.ozonePer24hNanos(),
        ozone.quantumNanos());
  }

  /**
   * Why a latch may not be reset now.
   *
   * @return the reason in the keeper's words; null when it may be reset
   */
  @Nullable String whyNoReset(TankState state, String name, Moment now) {
    if (!state.memory().latches().containsKey(name)) {
      return "nothing named \""
          + name
          + "\" is latched; latched: "
          + (state.memory().latches().isEmpty()
              ? "nothing"
              : String.join(", ", state.memory().latches().keySet()));
    }
    ByName<Signal> signals = signals(state.sensors(), now);
    ExchangeSpec water = spec.exchange();
    String standing = water == null ? null : standing(water, state, name, signals);
    if (standing != null) {
      return standing;
    }
    if (devices.standing(name, state.devices())) {
      return "the device is still on";
    }
    return interlocks.standingCause(
        name,
        state.interlocks(),
        new Seen(signals, ProbeKeeper.corrected(signals, spec.ozone(), state.memory())));
  }

  /** Why a latch of the exchange may not be reset now; null when it may, or is none. */
  private static @Nullable String standing(
      ExchangeSpec water, TankState state, String name, Map<String, Signal> signals) {
    Rates rates = state.memory().water().rates(water);
    if ((name.equals(Exchange.Latch.DRAIN_DRIFTS.word()) && rates.drain().drifts())
        || (name.equals(Exchange.Latch.FILL_DRIFTS.word()) && rates.fill().drifts())) {
      return "look at the pump and calibrate it first";
    }
    if (name.equals(Exchange.Latch.TOP_OFF_SEEPS.word()) && state.memory().water().seeps(rates)) {
      return "try whether top-off shuts when it is held, and calibrate both pumps first";
    }
    ExchangeSpec.Level level = water.level();
    if (level == null || !LevelAtRest.tells(name)) {
      return null;
    }
    Signal signal = Objects.requireNonNull(signals.get(level.sensor()));
    if (!signal.good()) {
      return signal.name() + " is " + signal.reason() + ", so nobody knows whether it still moves";
    }
    LevelAtRest.State calm = state.water().calm();
    if (!calm.seen()) {
      return "the level is not seen at rest yet: that takes some 12 min after a start, or with a"
          + " return that stood still, and 6 min after a pump";
    }
    Exchange.Outcome.Fault fault = calm.fault();
    return fault == null ? null : fault.why();
  }

  /** Whether something is latched that keeps a function at rest until a keeper resets it. */
  boolean awaitsKeeper(TankFunction function, TankMemory memory) {
    return memory.latches().keySet().stream()
        .anyMatch(latch -> interlocks.stoppedBy(latch).contains(function));
  }

  /** Every signal of the tank as seen now, by name. */
  ByName<Signal> signals(Map<String, Sensor> heard, Moment now) {
    ByName<Sensor> known = sensorNames.of(heard);
    return sensorNames.each(
        place -> {
          Sensor sensor = known.at(place);
          return (sensor == null ? Sensor.UNHEARD : sensor).at(sensors.get(place), now);
        });
  }

  /**
   * The state after a keeper's act that is on disk; a fault that was reset starts the tank anew.
   */
  TankState acted(TankState state, AuditRecord record, Moment now) {
    TankState acted = state.acted(record);
    return state.faulted() && !acted.memory().latches().containsKey(TankMemory.FAULT)
        ? boot(acted.memory(), state.boot(), state.watchedUntil(), now)
            .reconnected(state.linkUp(), state.lastTicket())
        : acted;
  }

  /** Topics that this tank listens to. */
  Set<String> topics() {
    Set<String> topics = new TreeSet<>(sensorsByTopic.keySet());
    topics.addAll(actuatorsByTopic.keySet());
    return topics;
  }

  /**
   * What one step gave.
   *
   * @param state to be handed in again
   * @param effects what the shell is to do, commands first
   */
  record Result(TankState state, List<Effect> effects) {}

  /** The state at a start of the daemon: all closed, all quiet, nothing heard. */
  TankState boot(TankMemory memory, String boot, @Nullable Instant watchedUntil, Moment now) {
    OzoneDosing rule = dosing;
    return new TankState(
        memory,
        boot,
        Map.of(),
        Collections.nCopies(probes(), Settling.NOTHING),
        new Teaching(Collections.nCopies(probes(), DoseCourse.NOTHING), null, null, ""),
        Map.of(),
        Interlocks.State.QUIET,
        rule == null ? null : rule.atBoot(now),
        null,
        null,
        null,
        0,
        false,
        now.monoNanos(),
        now.monoNanos(),
        null,
        watchedUntil,
        false,
        WaterState.atBoot(memory.water(), boot, now),
        SkimmerState.atBoot(now),
        Story.NOTHING,
        now.monoNanos());
  }

  /** One step. */
  Result step(TankState state, Event event, Surroundings around, Moment now) {
    return new Turn(this, state, around, now).take(event);
  }

  /**
   * The state and effects after a step failed: everything at rest, and latched by a record. What
   * was reserved counts as spent, as after a crash.
   */
  Result fault(TankState state, Event event, Moment now, String what) {
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.NIGHT, Nights.nightOf(now.wall(), zone).toString());
    fields.put(Fields.LATCHED, true);
    AuditRecord record =
        AuditRecord.of(now, spec.name(), Kind.FAULT, "a step failed: " + what, fields);
    TankState.Pending waiting = state.pending();
    TankMemory memory = state.memory();
    if (waiting != null) {
      memory = waiting.after();
    }
    memory = memory.apply(record, state.boot());
    AuditRecord portion = TopOffKeeper.isNeeded(memory) ? portionLatched(now) : null;
    if (portion != null) {
      memory = memory.apply(portion, state.boot());
    }
    TankState rested =
        boot(memory, state.boot(), state.watchedUntil(), now)
            .failed(
                linkUp(state, event),
                state.lastTicket(),
                now.monoNanos() + Turn.LONGEST_SLEEP_NANOS);
    List<Effect> effects = new ArrayList<>();
    gate.restAll().forEach(command -> effects.add(new Effect.Send(command)));
    effects.add(new Effect.Write(record, 0));
    if (portion != null) {
      effects.add(new Effect.Write(portion, 0));
    }
    effects.add(faultTrip(rested.memory(), now));
    effects.add(faultState(rested.memory(), now));
    return new Result(rested, effects);
  }

  /** A portion in which a step failed is watched no more, and what held top-off for it lets go. */
  private AuditRecord portionLatched(Moment now) {
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.NIGHT, Nights.nightOf(now.wall(), zone).toString());
    fields.put(Fields.NAME, Exchange.Latch.TOP_OFF_RELEASED.word());
    fields.put(Fields.LATCHED, true);
    return AuditRecord.of(
        now,
        spec.name(),
        Kind.LATCHED,
        "a step failed in a portion: fresh water may take the place of what was drained, see to the"
            + " salinity",
        fields);
  }

  private static boolean linkUp(TankState state, Event event) {
    return event instanceof Event.LinkUp || (state.linkUp() && !(event instanceof Event.LinkDown));
  }

  private Effect faultTrip(TankMemory memory, Moment now) {
    Map<String, Object> content = new LinkedHashMap<>();
    content.put("at", Figures.recordTime(now.wall()));
    content.put("why", fault(memory));
    content.put(Fields.LATCHED, true);
    return new Effect.Tell(spec.name() + "/trip/" + TankMemory.FAULT, content);
  }

  /** What the state topic says while the tank only rests after a fault. */
  Effect faultState(TankMemory memory, Moment now) {
    Map<String, Object> content = new LinkedHashMap<>();
    content.put("at", Figures.recordTime(now.wall()));
    content.put("ozone", dosing == null ? "none" : "rest");
    content.put("why", fault(memory));
    content.put(Fields.LATCHED, List.copyOf(memory.latches().keySet()));
    return new Effect.Tell(spec.name() + "/state", content);
  }

  private static String fault(TankMemory memory) {
    return Objects.requireNonNull(memory.latches().get(TankMemory.FAULT));
  }

  /** The next ticket after {@code last}; tickets of different tanks never meet, and none is 0. */
  long ticketAfter(long last) {
    return last == 0 ? index + 1 : last + tanks;
  }

  /** The spec of an actuator. */
  ActuatorSpec actuator(String name) {
    ActuatorSpec known = actuators.get(name);
    if (known == null) {
      throw new IllegalArgumentException(spec.name() + " has no " + name);
    }
    return known;
  }

  @Nullable ConfirmSpec confirm(String name) {
    return spec.confirms().get(name);
  }
}

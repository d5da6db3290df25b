package io.github.tidewarden.rehearsal;

import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.SensorSpec;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Collections;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.OptionalLong;
import java.util.Set;
import java.util.TreeSet;
import java.util.function.DoubleSupplier;
import java.util.function.Function;

/**
 * All simulated tanks of a site as a broker sees them: commands in, readings and state reports out.
 * Pure and deterministic: time is handed in, and the same seed and the same calls give the same
 * messages.
 */
public final class SiteRig {

  private static final double LOWEST_PROBE_MILLIVOLTS = -2000;

  /** One MQTT message of a sensor or a device. */
  public record Message(String topic, String payload) {}

  private final long seed;
  private final long startNanos;
  private final Map<String, TankRig> tanks = new LinkedHashMap<>();
  private final Map<String, SimulatedRoom> rooms = new HashMap<>();
  private final Map<String, SimulatedBin> bins = new HashMap<>();
  private final Map<String, SimulatedWater> waters = new HashMap<>();
  private final Map<String, SimulatedWaste> wastes = new HashMap<>();
  private final Map<String, SensorTopic> topics = new LinkedHashMap<>();
  private final Map<String, SimulatedSensor> sensors = new HashMap<>();
  private final Map<String, DoubleSupplier> truths = new HashMap<>();
  private long nowNanos;

  /**
   * Everything sound and at rest.
   *
   * @param specs the tanks; those that name the same room share its air and its sensors
   * @param models the figures of each tank; a room takes those of its first tank
   * @param seed of all noise
   * @param startNanos monotonic time now
   */
  public SiteRig(
      List<TankSpec> specs, Function<TankSpec, TankModel> models, long seed, long startNanos) {
    this.seed = seed;
    this.startNanos = startNanos;
    nowNanos = startNanos;
    for (TankSpec spec : specs) {
      tanks.put(spec.name(), rig(spec, models.apply(spec)));
    }
  }

  private TankRig rig(TankSpec spec, TankModel model) {
    String roomName = spec.room().isEmpty() ? "room of " + spec.name() : spec.room();
    SimulatedRoom room =
        rooms.computeIfAbsent(
            roomName, name -> new SimulatedRoom(model.roomAir(), model.speed(), startNanos));
    SimulatedTank tank =
        new SimulatedTank(spec.name(), model, room, water(spec, model), startNanos);
    Map<String, SimulatedSensor> own = new HashMap<>();
    int probes = 0;
    for (SensorSpec sensor : spec.sensors()) {
      int probe = probes % model.probes().size();
      probes += sensor.measure() == Measure.REDOX ? 1 : 0;
      own.put(sensor.name(), sensor(sensor, model, tank, probe, spec));
    }
    TankRig rig = new TankRig(spec, tank, own, startNanos);
    model.fittings().faults().forEach(rig::lasting);
    return rig;
  }

  /** Tanks whose water is measured by one sensor have one sump; one bin has one name. */
  private SimulatedWater water(TankSpec spec, TankModel model) {
    ExchangeSpec exchange = spec.exchange();
    ExchangeSpec.Level level = exchange == null ? null : exchange.level();
    String place =
        level == null
            ? spec.name()
            : spec.sensors().stream()
                .filter(sensor -> sensor.name().equals(level.sensor()))
                .map(SiteRig::place)
                .findFirst()
                .orElse(spec.name());
    double psu = exchange == null ? steady(model, Measure.SALINITY) : exchange.bin().salinityPsu();
    SimulatedBin bin =
        bins.computeIfAbsent(
            exchange == null ? "bin of " + spec.name() : exchange.bin().name(),
            name ->
                new SimulatedBin(
                    steady(model, Measure.VOLUME), psu + model.fittings().newWaterOffPsu()));
    SimulatedWater water =
        waters.computeIfAbsent(
            place,
            name ->
                new SimulatedWater(
                    model.water(),
                    spec.waterLitres(),
                    level == null ? Double.POSITIVE_INFINITY : level.litresPerMillimetre(),
                    steady(model, Measure.LEVEL),
                    steady(model, Measure.SALINITY),
                    bin,
                    startNanos));
    water.wasteGoesTo(
        wastes.computeIfAbsent(
            waste(spec, place), name -> new SimulatedWaste(model.fittings().wasteLitres())));
    return water;
  }

  /** What one contact watches is one waste. */
  private static String waste(TankSpec spec, String water) {
    return spec.sensors().stream()
        .filter(spec::takesWaste)
        .map(SiteRig::place)
        .findFirst()
        .orElse(water);
  }

  private static double steady(TankModel model, Measure measure) {
    TankModel.Steady steady = model.steady().get(measure);
    return steady == null ? 0 : steady.value();
  }

  private static String place(SensorSpec spec) {
    return spec.topic() + ' ' + spec.pointer();
  }

  private SimulatedSensor sensor(
      SensorSpec spec, TankModel model, SimulatedTank tank, int probe, TankSpec of) {
    String place = place(spec);
    SimulatedSensor known = sensors.get(place);
    if (known != null) {
      return known;
    }
    TankModel.Probe own = own(spec, model, probe);
    SimulatedSensor sensor =
        new SimulatedSensor(
            own.offset(),
            own.noise(),
            own.step(),
            spec.measure() == Measure.REDOX ? LOWEST_PROBE_MILLIVOLTS : 0,
            seed * 31 + place.hashCode());
    DoubleSupplier seen = seen(spec, own, truth(spec, tank, probe, of));
    topics.computeIfAbsent(spec.topic(), SensorTopic::new).add(spec, sensor, seen);
    sensors.put(place, sensor);
    truths.put(place, seen);
    return sensor;
  }

  private static DoubleSupplier truth(SensorSpec spec, SimulatedTank tank, int probe, TankSpec of) {
    ExchangeSpec exchange = of.exchange();
    if (spec.measure() == Measure.REDOX) {
      return () -> tank.probeRedoxMillivolts(probe);
    }
    if (exchange != null && spec.name().equals(exchange.bin().salinitySensor())) {
      return () -> tank.bin().psu();
    }
    if (spec.measure() == Measure.FULL && !of.takesWaste(spec)) {
      return () -> 0; // the cup of the skimmer, which a keeper empties in time
    }
    return () -> tank.value(spec.measure());
  }

  /** Of a redox probe the water's part of the tank knows the lag already. */
  private DoubleSupplier seen(SensorSpec spec, TankModel.Probe own, DoubleSupplier truth) {
    double lag = spec.measure() == Measure.REDOX ? 0 : own.lagSeconds();
    return lag > 0 || own.fouling().secondsPerDay() > 0
        ? new LaggingTruth(truth, lag, own.fouling(), () -> nowNanos)
        : truth;
  }

  private static TankModel.Probe own(SensorSpec spec, TankModel model, int probe) {
    return spec.measure() == Measure.REDOX
        ? model.probes().get(probe)
        : model.fittings().sensors().getOrDefault(spec.name(), model.typical(spec.measure()));
  }

  /**
   * One tank.
   *
   * @throws IllegalArgumentException when the site has none of that name
   */
  public TankRig tank(String name) {
    TankRig rig = tanks.get(name);
    if (rig == null) {
      throw new IllegalArgumentException("no tank " + name);
    }
    return rig;
  }

  /** The set-topics of all devices, sorted. */
  public Set<String> setTopics() {
    Set<String> all = new TreeSet<>();
    for (TankRig tank : tanks.values()) {
      tank.spec().actuators().stream().map(ActuatorSpec::topic).forEach(all::add);
    }
    return all;
  }

  /** When the next device of any tank would drop out, if one runs on a lease. */
  public OptionalLong nextDropOutNanos() {
    OptionalLong first = OptionalLong.empty();
    for (TankRig tank : tanks.values()) {
      first = earlier(first, tank.nextDropOutNanos());
    }
    return first;
  }

  /** The one that comes first, monotonic; empty where there is neither. */
  static OptionalLong earlier(OptionalLong one, OptionalLong other) {
    boolean isOther =
        one.isEmpty() || (other.isPresent() && other.getAsLong() - one.getAsLong() < 0);
    return isOther ? other : one;
  }

  /** Goes on to this monotonic time, through every drop-out on the way in its order. */
  public void advanceTo(long monoNanos) {
    for (OptionalLong next = nextDropOutNanos();
        next.isPresent() && next.getAsLong() - monoNanos <= 0;
        next = nextDropOutNanos()) {
      long dropOutNanos = next.getAsLong();
      tanks.values().forEach(tank -> tank.advanceTo(dropOutNanos));
    }
    tanks.values().forEach(tank -> tank.advanceTo(monoNanos));
    nowNanos = monoNanos;
  }

  /** A message arrives on a set-topic at this monotonic time. */
  public void command(String topic, String payload, long monoNanos) {
    advanceTo(monoNanos);
    tanks.values().forEach(tank -> tank.hear(topic, payload));
  }

  /** What every sensor says now, one message a topic; silent ones say nothing. */
  public List<Message> readings(Instant wall) {
    return topics.values().stream().flatMap(topic -> topic.next(wall).stream()).toList();
  }

  /**
   * The same of every sensor but those that have spoken within a third of their stale limit.
   *
   * @param nowNanos monotonic time now
   * @param leastNanos from one call to the next; 0 for all sensors
   */
  List<Message> readings(Instant wall, long nowNanos, long leastNanos) {
    return topics.values().stream()
        .filter(topic -> topic.isDue(nowNanos, leastNanos))
        .flatMap(topic -> topic.next(wall).stream())
        .toList();
  }

  /** The topics on which sensors speak, in the order in which they were declared. */
  Set<String> sensorTopics() {
    return Collections.unmodifiableSet(topics.keySet());
  }

  /** What the sensors of one topic say now; empty while all of them are silent. */
  Optional<Message> reading(String topic, Instant wall) {
    return Objects.requireNonNull(topics.get(topic)).next(wall);
  }

  /** What a sensor would say now but for its noise; empty while it has a fault. */
  OptionalDouble shows(SensorSpec spec) {
    String place = place(spec);
    return Objects.requireNonNull(sensors.get(place))
        .shows(Objects.requireNonNull(truths.get(place)).getAsDouble());
  }

  /** Standard deviation of a sensor's noise. */
  double noise(SensorSpec spec) {
    return Objects.requireNonNull(sensors.get(place(spec))).noise();
  }

  /** State reports that are due: in answer to a command, or since a state changed. */
  public List<Message> takeReports() {
    List<Message> reports = new ArrayList<>();
    tanks.values().forEach(tank -> reports.addAll(tank.takeReports()));
    return reports;
  }

  /** The state of every device that reports one. */
  public List<Message> states() {
    return tanks.values().stream().flatMap(tank -> tank.states().stream()).toList();
  }
}

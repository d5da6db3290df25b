package io.github.tidewarden.config;

import static io.github.tidewarden.quantity.UnitCode.LITRES;

import io.github.tidewarden.control.Carbon;
import io.github.tidewarden.control.CareSpec;
import io.github.tidewarden.control.SkimmerSpec;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.dosing.ProbeAge;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.gate.HardLimits;
import io.github.tidewarden.interlock.ConfirmSpec;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.sensing.Measure;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/** Reads one tank. */
final class TankReader {
  private static final Limits WATER = Limits.between(LITRES, 1, 10_000_000);
  private static final long SHORT_START_TO_START = TimeUnit.MINUTES.toNanos(2);

  /**
   * What a tank is read with.
   *
   * @param inDoubt whether it could not be told what some sensor of a room or of shared equipment
   *     measures
   */
  record Site(
      HardLimits hard,
      Map<String, List<Sensor>> rooms,
      Map<String, Shared> shared,
      boolean inDoubt,
      Actuator.Site actuators,
      List<String> notices) {}

  private final String name;
  private final Section section;
  private final Site site;
  private boolean guardsInDoubt;
  private final List<Sensor> sensors = new ArrayList<>();

  /** Those of {@link #sensors} that are not of its room's air. */
  private final List<Sensor> inWater = new ArrayList<>();

  private SharesReader.Shares shares = new SharesReader.Shares(List.of(), false);
  private List<Sensor> own = List.of();

  private final List<Actuator> actuators = new ArrayList<>();

  TankReader(String name, Section section, Site site) {
    this.name = name;
    this.section = section;
    this.site = site;
  }

  TankSpec read() {
    double water = section.number("water", WATER, "340 L");
    String room = room();
    readShares();
    readSensors();
    OzoneReader.@Nullable Ozone ozone = readOzone(water);
    ExchangeReader.@Nullable Exchange exchange = readExchange(water);
    boolean topOffHold = readTopOff();
    SensorReader.needKeepBetween(own, exchange == null ? null : exchange.newWater());
    Map<String, String> without = readWithout(topOffHold, ozone, exchange);
    SkimmerSpec skimmer = readSkimmer();
    List<InterlockDraft> interlocks =
        StandardInterlocks.of(
            sensors,
            ozone == null ? null : ozone.redox(),
            exchange == null ? null : exchange.spec(),
            skimmer == null ? null : skimmer.cup());
    Section changes = section.optionalSection("interlocks");
    if (changes != null) {
      new InterlockReader(sensors, interlocks, this::notice).read(changes);
    }
    Map<String, ConfirmSpec> confirms = new LinkedHashMap<>();
    for (Actuator actuator : actuators) {
      if (actuator.confirm() != null) {
        confirms.put(actuator.spec().name(), actuator.confirm());
      }
    }
    return new TankSpec(
        name,
        water,
        room,
        sensors.stream().map(Sensor::spec).toList(),
        actuators.stream().map(Actuator::spec).toList(),
        confirms,
        interlocks.stream().map(InterlockDraft::spec).toList(),
        ozone == null ? null : calibrated(ozone.spec(), without),
        exchange == null ? null : exchange.spec(),
        without,
        new CareSpec(ozone == null ? Map.of() : ozone.carbon(), skimmer));
  }

  /** Ozone waits for a calibration of every probe, unless the keeper said why not. */
  private static OzoneSpec calibrated(OzoneSpec spec, Map<String, String> without) {
    ProbeAge age = spec.probeAge();
    return spec.with(
        new ProbeAge(
            !without.containsKey(Guard.PROBE_CALIBRATION.key()),
            age.warnNanos(),
            age.forbidNanos()));
  }

  private String room() {
    String room = section.optional("room").map(this::declaredRoom).orElse("");
    guardsInDoubt = site.inDoubt() || (section.has("room") && room.isEmpty());
    sensors.addAll(site.rooms().getOrDefault(room, List.of()));
    return room;
  }

  private @Nullable String declaredRoom(Value value) {
    if (!site.rooms().isEmpty()) {
      return value.oneOf(site.rooms().keySet());
    }
    String room = value.text();
    if (room != null) {
      value.complain(
          "`room` is \"" + room + "\", and no room is declared",
          "declare it beside `tanks`: `rooms: { " + room + ": { ... } }`, or take `room` out");
    }
    return null;
  }

  private void readShares() {
    shares = new SharesReader(section, site.shared(), sensors).read();
    guardsInDoubt |= shares.inDoubt();
    shares.units().forEach(unit -> inWater.addAll(unit.sensors()));
  }

  private void readSensors() {
    Section declared = section.section("sensors", "{ ... }");
    if (declared != null) {
      complainAboutNames(declared, "the room", sensors);
      for (Shared unit : shares.units()) {
        complainAboutNames(declared, "the shared `" + unit.name() + "`", unit.sensors());
      }
    }
    SensorReader reader =
        new SensorReader(
            site.actuators().topics(), EnumSet.complementOf(EnumSet.of(Measure.OZONE_IN_AIR)));
    own = reader.readAll(declared, name);
    Loosened.sensors(own, this::notice);
    inWater.addAll(own);
    sensors.addAll(inWater);
    guardsInDoubt |= reader.inDoubt();
  }

  private static void complainAboutNames(Section declared, String owner, List<Sensor> others) {
    for (Sensor other : others) {
      if (declared.has(other.name())) {
        declared.complain(
            declared.keyPlace(other.name()),
            owner + " already has a sensor `" + other.name() + "`",
            "another name");
      }
    }
  }

  private OzoneReader.@Nullable Ozone readOzone(double water) {
    Section ozoneSection = section.optionalSection("ozone");
    if (ozoneSection == null) {
      return null;
    }
    OzoneReader.Ozone ozone =
        new OzoneReader(ozoneSection, site.hard()).read(name, water, sensors, site.actuators());
    if (ozone.generator() != null) {
      actuators.add(ozone.generator());
    }
    if (ozone.spec().probes().isEmpty() && !guardsInDoubt) {
      ozoneSection.complain(
          ozoneSection.place(),
          "ozone without a redox probe",
          "declare a sensor that measures `redox`");
    }
    tellAbout(ozone, water);
    return ozone;
  }

  private void tellAbout(OzoneReader.Ozone ozone, double water) {
    OzoneSpec spec = ozone.spec();
    double perLitre = spec.ratedMilligramsPerHour() / water;
    if (perLitre > HardLimits.WARN_MILLIGRAMS_PER_HOUR_LITRE) {
      notice(
          "the generator makes "
              + Figures.decimal(perLitre, 3).toPlainString()
              + " mg/h for each litre, over "
              + HardLimits.WARN_MILLIGRAMS_PER_HOUR_LITRE
              + ": redox may run far past the band before it stops");
    }
    long startToStart = spec.shortestOnNanos() + spec.shortestOffNanos();
    if (startToStart < SHORT_START_TO_START) {
      notice(
          "a dose may start every "
              + Figures.span(startToStart)
              + ", which is hard on relay and generator");
    }
    Loosened.ozone(spec, this::notice);
    ozone.carbon().forEach((carbon, life) -> Loosened.carbon(carbon, life, this::notice));
    if (spec.probes().size() == 1) {
      notice("one redox probe only: a probe that reads low cannot be told from low redox");
    }
  }

  private ExchangeReader.@Nullable Exchange readExchange(double water) {
    Section exchangeSection = section.optionalSection("exchange");
    if (exchangeSection == null) {
      return null;
    }
    ExchangeReader.Exchange exchange =
        new ExchangeReader(
                exchangeSection,
                site.hard(),
                new ExchangeReader.Tank(name, water, shares, inWater, guardsInDoubt))
            .read(site.actuators());
    actuators.addAll(exchange.pumps());
    tellAboutLevel(exchange.spec());
    return exchange;
  }

  /**
   * How often a sensor reports is in no configuration, so a slow one cannot be refused. A long
   * {@code stale-after} is no danger: a level of which there are fewer than three readings in 40 s
   * is not known, and no pump runs.
   */
  private void tellAboutLevel(ExchangeSpec spec) {
    ExchangeSpec.Level level = spec.level();
    if (level == null) {
      return;
    }
    for (Sensor sensor : sensors) {
      if (sensor.name().equals(level.sensor())
          && sensor.spec().staleNanos() > Measure.LEVEL.staleNanos()) {
        notice(
            "the exchange goes by the level of "
                + level.sensor()
                + ", which needs a reading at least every 10 s whatever its `stale-after`, else no"
                + " pump runs");
      }
    }
  }

  private @Nullable SkimmerSpec readSkimmer() {
    Section skimmer = section.optionalSection("skimmer");
    return skimmer == null ? null : new SkimmerReader(skimmer, own, guardsInDoubt).read();
  }

  private boolean readTopOff() {
    Section topOff = section.optionalSection("top-off");
    Section hold = topOff == null ? null : topOff.section("hold", "{ kind: relay, topic: ... }");
    if (hold == null) {
      return false;
    }
    Actuator actuator =
        Actuator.read(hold, name, "top-off-hold", TankFunction.TOP_OFF, site.actuators());
    if (actuator != null) {
      actuators.add(actuator);
    }
    return true;
  }

  private Map<String, String> readWithout(
      boolean topOffHold,
      OzoneReader.@Nullable Ozone ozone,
      ExchangeReader.@Nullable Exchange exchange) {
    Set<Guard> there = EnumSet.noneOf(Guard.class);
    Set<Guard> passedOver = EnumSet.of(Guard.PROBE_CALIBRATION);
    List<Sensor> guarding =
        sensors.stream()
            .filter(sensor -> exchange == null || exchange.newWater().guardedBy(sensor))
            .toList();
    for (Guard guard : Guard.values()) {
      if (guard.providedBy(guarding, topOffHold)) {
        there.add(guard);
      }
    }
    for (Carbon carbon : Carbon.values()) {
      // One that is missing and of which nothing is said is told by `check`, and refused by nobody.
      Set<Guard> told = ozone != null && ozone.carbon().containsKey(carbon) ? there : passedOver;
      told.add(Guard.of(carbon));
    }
    if (exchange != null && exchange.needsLevel() && !there.contains(Guard.LEVEL_SENSOR)) {
      passedOver.add(Guard.LEVEL_SENSOR);
    }
    if (exchange != null && exchange.newWater().inDoubt()) {
      passedOver.add(Guard.SALINITY_SENSOR);
    }
    return new WithoutReader(section, there, passedOver).read(guardsInDoubt);
  }

  private void notice(String text) {
    site.notices().add("tank " + name + ": " + text);
  }
}

package io.github.tidewarden.config;

import static io.github.tidewarden.quantity.UnitCode.LITRES;
import static io.github.tidewarden.quantity.UnitCode.MILLIVOLT;
import static io.github.tidewarden.quantity.UnitCode.PERCENTS;
import static io.github.tidewarden.quantity.UnitCode.SECONDS;

import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.gate.HardLimits;
import io.github.tidewarden.science.RoomLeak;
import io.github.tidewarden.sensing.Measure;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import org.jspecify.annotations.Nullable;

/**
 * Reads what the core needs of a site: hard limits, kinds of devices, rooms, shared equipment and
 * tanks.
 */
final class SiteReader {
  private static final int MAX_TANKS = 50;

  /** Shorter ones are abbreviations, such as EST. */
  private static final int SHORTEST_REGION = 5;

  /** What a room's air is described under; no sensor of a room may be named so. */
  private static final String AIR = "air";

  private static final double LITRES_A_CUBIC_METRE = 1000;
  private static final double MOST_ROOM_LITRES = 1e8;
  private static final double MOST_CHANGES_PERCENT = 10_000;

  private final Section root;
  private final Topics topics = new Topics();
  private final List<String> notices = new ArrayList<>();
  private final Map<String, RoomLeak> air = new LinkedHashMap<>();

  SiteReader(Section root) {
    this.root = root;
  }

  /** What the keeper should know though it is allowed. */
  List<String> notices() {
    return notices;
  }

  /** The air of each room of which it is said. */
  Map<String, RoomLeak> air() {
    return air;
  }

  SiteSpec read() {
    String name = root.text("site", "harbour-lab");
    Names.check(root, name, root.place("site"));
    if (name.endsWith(Configuration.WATCH_ONLY)) {
      root.complain(
          root.place("site"),
          "`site` is \"" + name + "\", which is what a daemon that only watches calls itself",
          "a name that does not end in " + Configuration.WATCH_ONLY);
    }
    ZoneId zone = zone();
    HardLimits hard = hardLimits();
    Map<String, DeviceKind> kinds = kinds(hard);
    SensorReader roomSensors =
        new SensorReader(topics, EnumSet.of(Measure.OZONE_IN_AIR, Measure.TEMPERATURE));
    Map<String, List<Sensor>> rooms = rooms(roomSensors);
    SharedReader sharedReader =
        new SharedReader(root.optionalSection("shared"), topics, notices::add);
    Map<String, Shared> shared = sharedReader.read();
    TankReader.Site site =
        new TankReader.Site(
            hard,
            rooms,
            shared,
            roomSensors.inDoubt() || sharedReader.inDoubt(),
            new Actuator.Site(kinds, topics),
            notices);
    List<TankSpec> tanks = tanks(site, sharedReader);
    topics.finish();
    return new SiteSpec(name, zone, hard, tanks);
  }

  private ZoneId zone() {
    return root.required("zone", "Europe/Lisbon")
        .flatMap(SiteReader::zone)
        .orElse(ZoneId.of("UTC"));
  }

  private static Optional<ZoneId> zone(Value value) {
    String name = value.text();
    if (name == null) {
      return Optional.empty();
    }
    if (ZoneId.getAvailableZoneIds().contains(name)) {
      return Optional.of(ZoneId.of(name));
    }
    // What is near an abbreviation is another abbreviation, of another place.
    Optional<String> near =
        name.length() < SHORTEST_REGION
            ? Optional.empty()
            : Nearest.to(name, ZoneId.getAvailableZoneIds());
    value.complain(
        "`zone` is \"" + name + "\", which is not a time zone",
        near.map(region -> "write `" + region + "`")
            .orElse("a region of the IANA time-zone database, such as Europe/Lisbon"));
    return Optional.empty();
  }

  private HardLimits hardLimits() {
    Section limits = root.section("hard-limits", "{ redox-ceiling: 430 mV, ... }");
    if (limits == null) {
      return new HardLimits(Double.NaN, Long.MAX_VALUE, Integer.MAX_VALUE, Double.NaN, Double.NaN);
    }
    Limits ceiling = Limits.positive(MILLIVOLT, HardLimits.MAX_REDOX_CEILING_MILLIVOLTS);
    Limits ozone = Limits.between(SECONDS, 60, HardLimits.MAX_OZONE_PER_24H_MINUTES * 60.0);
    Limits dropOut =
        Limits.between(SECONDS, HardLimits.MIN_DROP_OUT_SECONDS, HardLimits.MAX_DROP_OUT_SECONDS);
    return new HardLimits(
        limits.number("redox-ceiling", ceiling, "430 mV"),
        limits.nanos("ozone-per-24h", ozone, "120 min", Long.MAX_VALUE),
        limits.wholeSeconds("longest-drop-out", dropOut, "60 s", Integer.MAX_VALUE),
        limits.number(
            "exchange-per-24h",
            Limits.positive(PERCENTS, HardLimits.MAX_EXCHANGE_PER_24H_PERCENT),
            "10 %"),
        limits.number(
            "imbalance", Limits.positive(PERCENTS, HardLimits.MAX_IMBALANCE_PERCENT), "0.5 %"));
  }

  private Map<String, DeviceKind> kinds(HardLimits hard) {
    Map<String, DeviceKind> kinds = new LinkedHashMap<>();
    Section declared = root.optionalSection("device-kinds");
    if (declared != null) {
      for (Value entry : declared.entries()) {
        Section kind = entry.section();
        if (kind != null) {
          Names.check(kind, entry.name(), entry.namePlace());
          kinds.put(entry.name(), DeviceKind.read(kind, hard.longestDropOutSeconds()));
        }
      }
    }
    return kinds;
  }

  private Map<String, List<Sensor>> rooms(SensorReader reader) {
    Map<String, List<Sensor>> rooms = new LinkedHashMap<>();
    Section declared = root.optionalSection("rooms");
    if (declared == null) {
      return rooms;
    }
    for (Value entry : declared.entries()) {
      Section room = entry.section();
      if (room != null) {
        Names.check(room, entry.name(), entry.namePlace());
      }
      String owner = "room " + entry.name();
      List<Sensor> sensors = reader.readAll(room, owner, Set.of(AIR));
      if (room != null && room.has(AIR)) {
        air(entry.name(), room.optionalSection(AIR));
      }
      Loosened.sensors(sensors, loosened -> notices.add(owner + ": " + loosened));
      rooms.put(entry.name(), sensors);
    }
    return rooms;
  }

  /** Without a word of how much comes in new, none does: the safe case. */
  private void air(String room, @Nullable Section section) {
    if (section == null) {
      return;
    }
    double litres =
        section.number(
            "volume", Limits.between(LITRES, LITRES_A_CUBIC_METRE, MOST_ROOM_LITRES), "30000 L");
    double changes =
        section.number("changes-per-hour", Limits.between(PERCENTS, 0, MOST_CHANGES_PERCENT), 0);
    if (Double.isFinite(litres) && Double.isFinite(changes)) {
      air.put(room, new RoomLeak(litres / LITRES_A_CUBIC_METRE, changes / 100));
    }
  }

  private List<TankSpec> tanks(TankReader.Site site, SharedReader shared) {
    List<TankSpec> tanks = new ArrayList<>();
    Section declared = root.section("tanks", "{ ... }");
    if (declared == null) {
      return tanks;
    }
    shared.complainAboutNames(declared);
    for (Value entry : declared.entries()) {
      Section tank = entry.section();
      if (tank != null) {
        Names.check(tank, entry.name(), entry.namePlace());
        tanks.add(new TankReader(entry.name(), tank, site).read());
      }
    }
    if (declared.entries().isEmpty() || tanks.size() > MAX_TANKS) {
      declared.complain(
          declared.place(), tanks.size() + " tanks", "1 to " + MAX_TANKS + " tanks a daemon");
    }
    shared.complainAboutTime(tanks);
    shared.tellOfUnused(tanks);
    return tanks;
  }
}

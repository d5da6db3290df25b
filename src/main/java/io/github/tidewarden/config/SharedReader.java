package io.github.tidewarden.config;

import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.schedule.WindowSpec;
import io.github.tidewarden.sensing.Measure;
import java.time.DayOfWeek;
import java.util.EnumSet;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import java.util.function.Consumer;
import java.util.stream.Collectors;
import org.jspecify.annotations.Nullable;

/** Reads {@code shared}, the equipment that several tanks use for their exchange. */
final class SharedReader {
  private static final int MAX_SHARED = 50;

  /** All but what is of one tank's ozone or of a room's air. */
  private static final Set<Measure> MEASURES =
      EnumSet.complementOf(EnumSet.of(Measure.REDOX, Measure.AIR_FLOW, Measure.OZONE_IN_AIR));

  private final @Nullable Section declared;
  private final SensorReader reader;
  private final Consumer<String> notices;
  private final Map<String, Shared> shared = new LinkedHashMap<>();

  /**
   * Prepares.
   *
   * @param declared null where nothing is shared
   */
  SharedReader(@Nullable Section declared, Topics topics, Consumer<String> notices) {
    this.declared = declared;
    this.notices = notices;
    reader = new SensorReader(topics, MEASURES);
  }

  /** What is declared, by name. */
  Map<String, Shared> read() {
    if (declared == null) {
      return shared;
    }
    if (declared.entries().size() > MAX_SHARED) {
      declared.complain(declared.place(), "too much shared equipment", "at most " + MAX_SHARED);
    }
    for (Value entry : declared.entries()) {
      Section unit = entry.section();
      if (unit != null) {
        Names.check(unit, entry.name(), entry.namePlace());
        shared.put(entry.name(), read(entry.name(), unit));
      }
    }
    return shared;
  }

  /** Whether it could not be told what some sensor measures. */
  boolean inDoubt() {
    return reader.inDoubt();
  }

  private Shared read(String name, Section unit) {
    String owner = "shared " + name;
    List<Sensor> sensors =
        unit.has("sensors") ? reader.readAll(unit.optionalSection("sensors"), owner) : List.of();
    Loosened.sensors(sensors, loosened -> notices.accept(owner + ": " + loosened));
    BinReader.NewWater newWater = null;
    if (unit.has("new-water")) {
      Section bin = unit.optionalSection("new-water");
      newWater = bin == null ? BinReader.missing(name) : BinReader.read(name, bin, sensors);
    } else {
      complainAboutVolumes(name, sensors);
    }
    SensorReader.needKeepBetween(sensors, newWater);
    return new Shared(name, sensors, newWater);
  }

  private static void complainAboutVolumes(String name, List<Sensor> sensors) {
    for (Sensor sensor : sensors) {
      if (sensor.measure() == Measure.VOLUME) {
        sensor
            .declared()
            .complain(
                sensor.declared().place(),
                "`" + sensor.name() + "` measures a bin, and `" + name + "` has no `new-water`",
                "add `new-water: " + BinReader.EXAMPLE + "` to `" + name + "`");
      }
    }
  }

  /** Complains about what is named like a tank, for a bin is named after either. */
  void complainAboutNames(Section tanks) {
    if (declared == null) {
      return;
    }
    for (String name : shared.keySet()) {
      if (tanks.has(name)) {
        declared.complain(
            declared.keyPlace(name), "a tank is named `" + name + "` too", "another name");
      }
    }
  }

  /** Complains where what is due one after another takes longer than the windows are open. */
  void complainAboutTime(List<TankSpec> tanks) {
    for (String name : shared.keySet()) {
      List<TankSpec> sharing =
          tanks.stream()
              .filter(tank -> tank.exchange() != null && tank.exchange().shares().contains(name))
              .toList();
      List<ExchangeSpec> exchanges =
          sharing.stream().map(TankSpec::exchange).filter(Objects::nonNull).toList();
      List<WindowSpec> windows =
          exchanges.stream().flatMap(exchange -> exchange.windows().stream()).toList();
      for (DayOfWeek evening : DayOfWeek.values()) {
        double needed =
            exchanges.stream()
                .mapToDouble(exchange -> ExchangeTime.nightMinutes(exchange, evening))
                .sum();
        int open = WindowReader.openMinutes(windows, evening);
        if (sharing.size() > 1 && needed > open && declared != null) {
          complainAboutTime(declared, name, sharing, needed, open);
          break;
        }
      }
    }
  }

  private static void complainAboutTime(
      Section declared, String name, List<TankSpec> sharing, double needed, int open) {
    declared.complain(
        declared.keyPlace(name),
        "one after another the portions of "
            + sharing.stream().map(TankSpec::name).collect(Collectors.joining(", "))
            + " take "
            + Math.round(needed)
            + " min of a night, and their windows are open for "
            + open
            + " min",
        "longer windows, or less `per-day`");
  }

  /** Tells of what no tank shares. */
  void tellOfUnused(List<TankSpec> tanks) {
    Set<String> used = new HashSet<>();
    tanks.stream()
        .map(TankSpec::exchange)
        .forEach(exchange -> used.addAll(exchange == null ? List.of() : exchange.shares()));
    shared.keySet().stream()
        .filter(name -> !used.contains(name))
        .forEach(name -> notices.accept("shared " + name + ": no tank shares it"));
  }
}

package io.github.tidewarden.config;

import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.quantity.Amount;
import io.github.tidewarden.quantity.Dimension;
import io.github.tidewarden.quantity.UnitCode;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.SensorSpec;
import java.time.LocalTime;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.EnumMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.jspecify.annotations.Nullable;

/** What a tank model says in one place, of one tank or of all. */
final class TankModelDraft {
  private static final Limits SHARE = Limits.between(UnitCode.PERCENTS, 0, 100);

  /** A figure as it stands in the file: some are a part of water whose volume is not known yet. */
  private record Written(String told, double value, boolean shareOfWater) {
    TankFigures.Figure of(double waterLitres) {
      return new TankFigures.Figure(told, shareOfWater ? value / 100 * waterLitres : value);
    }
  }

  private final @Nullable TankSpec tank;
  private final Map<TankFigure, Written> figures = new EnumMap<>(TankFigure.class);

  /** By what they measure, or by the name of one. */
  private final Map<String, Map<SensorFigure, TankFigures.Figure>> sensors = new LinkedHashMap<>();

  private final Map<String, Drill.DeviceState> devices = new LinkedHashMap<>();

  /** A draft that says nothing yet, of one tank, or of all where none is named. */
  TankModelDraft(@Nullable TankSpec tank) {
    this.tank = tank;
  }

  void read(Section section) {
    for (TankFigure.Part part : TankFigure.Part.values()) {
      Section own = section.optionalSection(part.word());
      if (own != null) {
        part(part, own);
      }
    }
    Section known = section.optionalSection("sensors");
    if (known != null) {
      known.entries().forEach(entry -> sensor(known, entry));
    }
    Section wrong = tank == null ? null : section.optionalSection("devices");
    if (wrong != null) {
      wrong.entries().forEach(entry -> device(wrong, entry));
    }
  }

  private void part(TankFigure.Part part, Section section) {
    for (TankFigure figure : TankFigure.values()) {
      if (figure.part() == part) {
        section
            .optional(figure.key())
            .map(value -> written(figure, value))
            .ifPresent(written -> figures.put(figure, written));
      }
    }
    if (tank == null) {
      return; // said of all tanks, it shows at those that have the function
    }
    if (!shows(part, tank)) {
      section.complain(
          section.place(),
          "`"
              + part.word()
              + "` of "
              + tank.name()
              + " shows nowhere: the tank has no `"
              + (part.ofOzone() ? "ozone" : "exchange")
              + "`",
          "take it out");
    } else if (section.has(TankFigure.LEVEL_AT_START.key())
        && part == TankFigure.Part.WATER
        && tank.exchange() != null
        && tank.exchange().level() == null) {
      section.complain(
          section.keyPlace(TankFigure.LEVEL_AT_START.key()),
          "no sensor of " + tank.name() + " measures a level",
          "take it out");
    }
  }

  /** Whether anything of it can be seen at a tank. */
  private static boolean shows(TankFigure.Part part, TankSpec tank) {
    boolean ozone =
        tank.ozone() != null || (part == TankFigure.Part.ROOM && !tank.room().isEmpty());
    return part.ofOzone() ? ozone : tank.exchange() != null;
  }

  private static @Nullable Written written(TankFigure figure, Value value) {
    if (figure == TankFigure.HIGHEST_AT) {
      LocalTime time = WindowReader.time(value);
      return time == null ? null : new Written(value.raw(), time.toSecondOfDay() / 60.0, false);
    }
    boolean share = figure.canBeShareOfWater() && value.measures(Dimension.FRACTION);
    Limits limits = share ? SHARE : figure.limits();
    Amount amount = value.amount(limits);
    return amount == null ? null : new Written(amount.format(), amount.in(limits.unit()), share);
  }

  // Sensors and devices.

  private void sensor(Section section, Value entry) {
    Optional<Measure> measure = measure(entry.name());
    if (measure.isEmpty()) {
      section.complain(
          entry.namePlace(),
          "`" + entry.name() + "` is no sensor" + (tank == null ? "" : " of " + tank.name()),
          Nearest.remedy(entry.name(), known()));
    } else if (measure.get().contact()) {
      section.complain(
          entry.namePlace(),
          "`" + entry.name() + "` is a contact, which has neither offset nor noise",
          "take it out");
    }
    Section own = entry.section();
    if (own == null) {
      return;
    }
    if (measure.isEmpty() || measure.get().contact()) {
      own.abandon();
      return;
    }
    Map<SensorFigure, TankFigures.Figure> read = new EnumMap<>(SensorFigure.class);
    for (SensorFigure figure : SensorFigure.values()) {
      Limits limits = figure.limits(measure.get());
      own.optional(figure.key())
          .map(value -> value.amount(limits))
          .ifPresent(
              amount ->
                  read.put(
                      figure, new TankFigures.Figure(amount.format(), amount.in(limits.unit()))));
    }
    sensors.put(entry.name(), read);
  }

  /** What a sensor of this name measures, or what is so called itself. */
  private Optional<Measure> measure(String name) {
    List<SensorSpec> own = tank == null ? List.of() : tank.sensors();
    return own.stream()
        .filter(sensor -> sensor.name().equals(name))
        .map(SensorSpec::measure)
        .findFirst()
        .or(
            () ->
                Arrays.stream(Measure.values())
                    .filter(measure -> measure.word().equals(name))
                    .filter(
                        measure ->
                            tank == null || own.stream().anyMatch(s -> s.measure() == measure))
                    .findFirst());
  }

  /** The names and the kinds of those that say a number. */
  private List<String> known() {
    List<String> all = new ArrayList<>();
    if (tank == null) {
      Arrays.stream(Measure.values())
          .filter(measure -> !measure.contact())
          .forEach(measure -> all.add(measure.word()));
    } else {
      tank.sensors().stream()
          .filter(sensor -> !sensor.measure().contact())
          .forEach(sensor -> all.add(sensor.name()));
    }
    return all;
  }

  private void device(Section section, Value entry) {
    List<String> names =
        tank == null ? List.of() : tank.actuators().stream().map(ActuatorSpec::name).toList();
    if (!names.contains(entry.name())) {
      section.complain(
          entry.namePlace(),
          "there is no device `" + entry.name() + "`",
          Nearest.remedy(entry.name(), names));
      return;
    }
    List<String> words =
        Arrays.stream(Drill.DeviceState.values()).map(Drill.DeviceState::word).toList();
    String word = entry.oneOf(words);
    Arrays.stream(Drill.DeviceState.values())
        .filter(state -> state.word().equals(word))
        .forEach(state -> devices.put(entry.name(), state));
  }

  // Together.

  /** What this, of one tank, says over what is said of all. */
  TankFigures over(TankModelDraft all) {
    if (tank == null) {
      throw new IllegalStateException("a draft of all tanks stands over nothing");
    }
    Map<TankFigure, TankFigures.Figure> together = new EnumMap<>(TankFigure.class);
    for (TankModelDraft draft : List.of(all, this)) {
      draft.figures.forEach(
          (figure, written) -> together.put(figure, written.of(tank.waterLitres())));
    }
    together.keySet().removeIf(figure -> !shows(figure.part(), tank));
    Map<String, Map<SensorFigure, TankFigures.Figure>> named = new LinkedHashMap<>();
    for (SensorSpec sensor : tank.sensors()) {
      Map<SensorFigure, TankFigures.Figure> own = new EnumMap<>(SensorFigure.class);
      own.putAll(all.sensors.getOrDefault(sensor.measure().word(), Map.of()));
      own.putAll(sensors.getOrDefault(sensor.measure().word(), Map.of()));
      own.putAll(sensors.getOrDefault(sensor.name(), Map.of()));
      if (!own.isEmpty()) {
        named.put(sensor.name(), own);
      }
    }
    return new TankFigures(together, named, devices);
  }
}

package io.github.tidewarden.config;

import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.sensing.SensorSpec;
import java.util.ArrayList;
import java.util.EnumMap;
import java.util.EnumSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import java.util.function.Function;
import org.jspecify.annotations.Nullable;

/** Tanks that share a room, a sump, a bin, a waste or a sensor: of each there is only one. */
final class TankModelSharing {
  private static final Set<TankFigure.Part> OF_A_SUMP =
      EnumSet.of(TankFigure.Part.WATER, TankFigure.Part.PUMPS, TankFigure.Part.NUTRIENT);

  private final List<TankSpec> tanks;
  private final Map<String, TankFigures> figures;
  private final List<String> differences = new ArrayList<>();

  TankModelSharing(List<TankSpec> tanks, Map<String, TankFigures> figures) {
    this.tanks = tanks;
    this.figures = figures;
  }

  /** What is said of shared things in two ways, one sentence each. */
  List<String> differences() {
    shared("room", tank -> tank.room().isEmpty() ? null : tank.room(), this::room);
    shared("sump", TankModelSharing::sump, tank -> parts(tank, OF_A_SUMP));
    shared(
        "bin", TankModelSharing::bin, tank -> parts(tank, EnumSet.of(TankFigure.Part.NEW_WATER)));
    shared(
        "waste", TankModelSharing::waste, tank -> parts(tank, EnumSet.of(TankFigure.Part.WASTE)));
    sensors();
    return differences;
  }

  private void shared(
      String thing,
      Function<TankSpec, @Nullable String> place,
      Function<TankSpec, Map<TankFigure, String>> said) {
    Map<String, TankSpec> first = new LinkedHashMap<>();
    for (TankSpec tank : tanks) {
      String where = place.apply(tank);
      TankSpec other = where == null ? null : first.putIfAbsent(where, tank);
      if (other != null && !said.apply(other).equals(said.apply(tank))) {
        differences.add(
            other.name()
                + " and "
                + tank.name()
                + " share one "
                + thing
                + ", and its figures differ");
      }
    }
  }

  /** What escapes is each tank's own. */
  private Map<TankFigure, String> room(TankSpec tank) {
    Map<TankFigure, String> all = parts(tank, EnumSet.of(TankFigure.Part.ROOM));
    all.remove(TankFigure.ESCAPES);
    return all;
  }

  private Map<TankFigure, String> parts(TankSpec tank, Set<TankFigure.Part> parts) {
    Map<TankFigure, String> all = new EnumMap<>(TankFigure.class);
    of(tank)
        .figures()
        .forEach(
            (figure, given) -> {
              if (parts.contains(figure.part())) {
                all.put(figure, given.told());
              }
            });
    return all;
  }

  private TankFigures of(TankSpec tank) {
    return Objects.requireNonNull(figures.get(tank.name()));
  }

  private static @Nullable String sump(TankSpec tank) {
    ExchangeSpec exchange = tank.exchange();
    ExchangeSpec.Level level = exchange == null ? null : exchange.level();
    return level == null
        ? null
        : tank.sensors().stream()
            .filter(sensor -> sensor.name().equals(level.sensor()))
            .map(TankModelSharing::place)
            .findFirst()
            .orElse(null);
  }

  private static @Nullable String bin(TankSpec tank) {
    ExchangeSpec exchange = tank.exchange();
    return exchange == null ? null : exchange.bin().name();
  }

  private static @Nullable String waste(TankSpec tank) {
    return tank.sensors().stream()
        .filter(sensor -> tank.takesWaste(sensor) && tank.exchange() != null)
        .map(TankModelSharing::place)
        .findFirst()
        .orElse(null);
  }

  private void sensors() {
    Map<String, TankSpec> first = new LinkedHashMap<>();
    Map<String, Map<SensorFigure, TankFigures.Figure>> said = new LinkedHashMap<>();
    for (TankSpec tank : tanks) {
      for (SensorSpec sensor : tank.sensors()) {
        Map<SensorFigure, TankFigures.Figure> own =
            of(tank).sensors().getOrDefault(sensor.name(), Map.of());
        TankSpec other = first.putIfAbsent(place(sensor), tank);
        Map<SensorFigure, TankFigures.Figure> before = said.putIfAbsent(place(sensor), own);
        if (other != null && !own.equals(before)) {
          differences.add(
              other.name()
                  + " and "
                  + tank.name()
                  + " share the sensor `"
                  + sensor.name()
                  + "`, and its figures differ");
        }
      }
    }
  }

  private static String place(SensorSpec sensor) {
    return sensor.topic() + ' ' + sensor.pointer();
  }
}

package io.github.tidewarden.config;

import java.util.Collections;
import java.util.EnumMap;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.TreeMap;

/**
 * What a tank model says of one tank; what it does not say is typical.
 *
 * @param figures of water, room and what stands at them
 * @param sensors figures of sensors, by the sensor's name
 * @param devices what is wrong with devices all the time, by the device's name
 */
public record TankFigures(
    Map<TankFigure, Figure> figures,
    Map<String, Map<SensorFigure, Figure>> sensors,
    Map<String, Drill.DeviceState> devices) {

  /**
   * A figure.
   *
   * @param told as the file has it
   * @param value the same in the unit in which it is handed on
   */
  public record Figure(String told, double value) {}

  /** Nothing but what is typical. */
  public static final TankFigures TYPICAL = new TankFigures(Map.of(), Map.of(), Map.of());

  /** Copies the maps, figures in the order of their keys, sensors and devices by name. */
  public TankFigures {
    Map<TankFigure, Figure> ordered = new EnumMap<>(TankFigure.class);
    ordered.putAll(figures);
    figures = Collections.unmodifiableMap(ordered);
    Map<String, Map<SensorFigure, Figure>> named = new TreeMap<>();
    sensors.forEach(
        (name, own) -> {
          Map<SensorFigure, Figure> copy = new EnumMap<>(SensorFigure.class);
          copy.putAll(own);
          named.put(name, Collections.unmodifiableMap(copy));
        });
    sensors = Collections.unmodifiableMap(named);
    devices = Collections.unmodifiableMap(new TreeMap<>(devices));
  }

  /** The figure, or what is typical. */
  public double value(TankFigure figure, double typical) {
    Figure given = figures.get(figure);
    return given == null ? typical : given.value();
  }

  /** All of it as the file has it, by section and key, such as {@code redox.gain}. */
  public Map<String, String> told() {
    Map<String, String> all = new LinkedHashMap<>();
    figures.forEach((figure, given) -> all.put(figure.path(), given.told()));
    sensors.forEach(
        (name, own) ->
            own.forEach(
                (figure, given) -> all.put("sensors." + name + "." + figure.key(), given.told())));
    devices.forEach((name, state) -> all.put("devices." + name, state.word()));
    return all;
  }
}

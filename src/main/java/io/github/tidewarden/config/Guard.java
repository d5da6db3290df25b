package io.github.tidewarden.config;

import static io.github.tidewarden.interlock.TankFunction.EXCHANGE;
import static io.github.tidewarden.interlock.TankFunction.OZONE;

import io.github.tidewarden.control.Carbon;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.sensing.Measure;
import java.util.Arrays;
import java.util.List;
import java.util.Set;
import org.jspecify.annotations.Nullable;

/** What a function of a tank needs to be guarded by, unless the keeper says why not. */
@SuppressWarnings("ImmutableEnumChecker") // what Set.of gives cannot be changed
enum Guard {
  /** Air through the skimmer, so that ozone goes where it should. */
  SKIMMER_AIR("skimmer-air", Measure.AIR_FLOW, OZONE),
  /** Ozone in the air that people breathe. */
  ROOM_OZONE("room-ozone", Measure.OZONE_IN_AIR, OZONE),
  /** The return pump runs. */
  CIRCULATION("circulation", Measure.RUNNING, OZONE, EXCHANGE),
  /** Water on the floor. */
  LEAK_SENSOR("leak-sensor", Measure.LEAK, EXCHANGE),
  /** Water level. */
  LEVEL_SENSOR("level-sensor", Measure.LEVEL, EXCHANGE),
  /** What is left in the bin of new water. */
  NEW_WATER_SENSOR("new-water-sensor", Measure.VOLUME, EXCHANGE),
  /** Salinity of the tank. */
  SALINITY_SENSOR("salinity-sensor", Measure.SALINITY, EXCHANGE),
  /** A hold on top-off while water is exchanged. */
  TOP_OFF("top-off", null, EXCHANGE),
  /** A recorded calibration of each redox probe; the running daemon asks for it, not the reader. */
  PROBE_CALIBRATION("probe-calibration", null, OZONE),
  /** Carbon on the air that leaves the skimmer's cup, its hours counted; only asked for. */
  CARBON_OFF_GAS(Carbon.OFF_GAS.guard(), null, OZONE),
  /** Carbon on the water that leaves the skimmer, its hours counted; only asked for. */
  CARBON_EFFLUENT(Carbon.EFFLUENT.guard(), null, OZONE);

  private final String key;
  private final @Nullable Measure measure;
  private final Set<TankFunction> guarded;

  Guard(String key, @Nullable Measure measure, TankFunction... guarded) {
    this.key = key;
    this.measure = measure;
    this.guarded = Set.of(guarded);
  }

  /** The key under {@code without}. */
  String key() {
    return key;
  }

  boolean guards(TankFunction function) {
    return guarded.contains(function);
  }

  /** What would provide it. */
  String provider() {
    if (measure == null) {
      return this == TOP_OFF ? "`top-off: { hold: ... }`" : "`calibrate probe` of each probe";
    }
    return (this == ROOM_OZONE ? "a sensor of the tank's room" : "a sensor")
        + " that measures `"
        + measure.word()
        + "`";
  }

  boolean providedBy(List<Sensor> sensors, boolean topOffHold) {
    return measure == null
        ? this == TOP_OFF && topOffHold
        : sensors.stream().anyMatch(sensor -> sensor.measure() == measure);
  }

  static Guard of(Carbon carbon) {
    return switch (carbon) {
      case OFF_GAS -> CARBON_OFF_GAS;
      case EFFLUENT -> CARBON_EFFLUENT;
    };
  }

  static @Nullable Guard of(String key) {
    return Arrays.stream(values()).filter(guard -> guard.key.equals(key)).findFirst().orElse(null);
  }

  static List<String> keys() {
    return Arrays.stream(values()).map(Guard::key).toList();
  }
}

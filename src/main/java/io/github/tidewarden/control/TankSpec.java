package io.github.tidewarden.control;

import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.dosing.ProbeAge;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.interlock.ConfirmSpec;
import io.github.tidewarden.interlock.InterlockSpec;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.SensorSpec;
import java.util.List;
import java.util.Map;
import org.jspecify.annotations.Nullable;

/**
 * One tank as the core needs it. Built and checked by {@code config}.
 *
 * @param name the tank's name
 * @param waterLitres water in tank and sump, L
 * @param room the room whose air it shares, or empty
 * @param sensors its own sensors and those of its room; names are unique, a room's sensor has the
 *     name it has in the room
 * @param actuators every actuator it owns, the generator among them
 * @param confirms for an actuator that reports its state, how; by actuator name
 * @param interlocks standard and declared ones, in the order in which they are evaluated
 * @param ozone what ozone it may be given; null for a tank without
 * @param exchange what water of it may be exchanged; null for a tank without
 * @param without guards that it does not have, and why, in the keeper's words
 * @param care what wears out and is looked after
 */
public record TankSpec(
    String name,
    double waterLitres,
    String room,
    List<SensorSpec> sensors,
    List<ActuatorSpec> actuators,
    Map<String, ConfirmSpec> confirms,
    List<InterlockSpec> interlocks,
    @Nullable OzoneSpec ozone,
    @Nullable ExchangeSpec exchange,
    Map<String, String> without,
    CareSpec care) {

  /** Copies the collections. */
  public TankSpec {
    sensors = List.copyOf(sensors);
    actuators = List.copyOf(actuators);
    confirms = Map.copyOf(confirms);
    interlocks = List.copyOf(interlocks);
    without = Map.copyOf(without);
  }

  /** Whether a sensor watches what takes up waste water, which the cup of a skimmer does not. */
  public boolean takesWaste(SensorSpec sensor) {
    SkimmerSpec skimmer = care.skimmer();
    return sensor.measure() == Measure.FULL
        && (skimmer == null || !sensor.name().equals(skimmer.cup()));
  }

  TankSpec asSimulated() {
    OzoneSpec known = ozone;
    return new TankSpec(
        name,
        waterLitres,
        room,
        sensors,
        actuators,
        confirms,
        interlocks,
        known == null ? null : known.with(ProbeAge.NOT_REQUIRED),
        exchange,
        without,
        CareSpec.NONE);
  }
}

package io.github.tidewarden.rehearsal;

import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.interlock.ConfirmSpec;
import io.github.tidewarden.interlock.TankFunction;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Set;
import org.jspecify.annotations.Nullable;

/** One simulated tank with its sensors and devices, wired as its configuration says. */
public final class TankRig {

  private final TankSpec spec;
  private final SimulatedTank tank;
  private final Map<String, SimulatedSensor> sensors;
  private final Map<String, SimulatedDevice> devices = new LinkedHashMap<>();
  private final List<String> holds = new ArrayList<>();
  private final Map<String, Boolean> lastReported = new LinkedHashMap<>();
  private final Set<String> answering = new LinkedHashSet<>();
  private long nowNanos;

  TankRig(
      TankSpec spec, SimulatedTank tank, Map<String, SimulatedSensor> sensors, long startNanos) {
    this.spec = spec;
    this.tank = tank;
    this.sensors = Map.copyOf(sensors);
    this.nowNanos = startNanos;
    for (ActuatorSpec actuator : spec.actuators()) {
      devices.put(actuator.name(), new SimulatedDevice(actuator, startNanos));
      if (actuator.function() == TankFunction.TOP_OFF) {
        holds.add(actuator.name());
      }
    }
  }

  /** What it was built from. */
  public TankSpec spec() {
    return spec;
  }

  /** The truth about its water. */
  public SimulatedTank tank() {
    return tank;
  }

  /**
   * A sensor by its name in the tank; a room's sensor is the same object in all tanks of the room.
   *
   * @throws IllegalArgumentException when the tank has none of that name
   */
  public SimulatedSensor sensor(String name) {
    return known(name, sensors.get(name));
  }

  /**
   * A device by its actuator's name.
   *
   * @throws IllegalArgumentException when the tank has none of that name
   */
  public SimulatedDevice device(String name) {
    return known(name, devices.get(name));
  }

  private <T> T known(String name, @Nullable T part) {
    if (part == null) {
      throw new IllegalArgumentException("tank " + spec.name() + " has no " + name);
    }
    return part;
  }

  /** Cuts the power of all its devices, or gives it back, at the time last advanced to. */
  public void power(boolean given) {
    devices.values().forEach(device -> device.power(given, nowNanos));
    followDevices();
  }

  /** The same of one device. */
  void power(String device, boolean given) {
    device(device).power(given, nowNanos);
    followDevices();
  }

  /** From now on a device has a fault that stays; one that wakes on has just been given power. */
  void lasting(String device, SimulatedDevice.Fault fault) {
    SimulatedDevice has = device(device);
    has.lasting(fault);
    if (fault == SimulatedDevice.Fault.WAKES_ON) {
      has.power(false, nowNanos);
      has.power(true, nowNanos);
    }
    followDevices();
  }

  /** When the next device would drop out, if one runs on a lease. */
  OptionalLong nextDropOutNanos() {
    OptionalLong first = OptionalLong.empty();
    for (SimulatedDevice device : devices.values()) {
      first = SiteRig.earlier(first, device.leaseEndNanos());
    }
    return first;
  }

  /** Goes on to a time that is not later than {@link #nextDropOutNanos()}. */
  void advanceTo(long monoNanos) {
    tank.advanceTo(monoNanos);
    devices.values().forEach(device -> device.advanceTo(monoNanos));
    nowNanos = monoNanos;
    followDevices();
  }

  /** A message on a set-topic, at the time last advanced to; other topics are ignored. */
  void hear(String topic, String payload) {
    for (SimulatedDevice device : devices.values()) {
      if (device.spec().topic().equals(topic) && device.hear(payload, nowNanos)) {
        answering.add(device.spec().name());
      }
    }
    followDevices();
  }

  private void followDevices() {
    OzoneSpec ozone = spec.ozone();
    if (ozone != null) {
      tank.generator(device(ozone.generator()).on() ? ozone.ratedMilligramsPerHour() : 0);
    }
    ExchangeSpec exchange = spec.exchange();
    if (exchange != null) {
      tank.pumps(moved(exchange.drain()), moved(exchange.fill()));
    }
    if (!holds.isEmpty()) {
      tank.topOffHeld(holds.stream().anyMatch(hold -> device(hold).on()));
    }
  }

  private double moved(ExchangeSpec.Pump pump) {
    return device(pump.name()).on() ? pump.litresPerMinute() : 0;
  }

  /** State reports that are due: in answer to a message, or since the state changed. */
  List<SiteRig.Message> takeReports() {
    List<SiteRig.Message> reports = new ArrayList<>();
    for (SimulatedDevice device : devices.values()) {
      boolean answers = answering.remove(device.spec().name());
      boolean changed = device.on() != lastReported.getOrDefault(device.spec().name(), false);
      if (answers || changed) {
        report(device).ifPresent(reports::add);
      }
    }
    return reports;
  }

  /** The state of every device that reports one. */
  List<SiteRig.Message> states() {
    return devices.values().stream().flatMap(device -> report(device).stream()).toList();
  }

  private Optional<SiteRig.Message> report(SimulatedDevice device) {
    ConfirmSpec confirm = spec.confirms().get(device.spec().name());
    if (confirm == null || !device.powered() || device.has(SimulatedDevice.Fault.MUTE)) {
      return Optional.empty();
    }
    lastReported.put(device.spec().name(), device.on());
    JsonAt message = new JsonAt();
    message.scalar(confirm.pointer(), device.on() ? confirm.onText() : confirm.offText());
    return Optional.of(new SiteRig.Message(confirm.topic(), message.payload()));
  }
}

package io.github.tidewarden.rehearsal;

import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.SensorSpec;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Set;
import java.util.SplittableRandom;
import java.util.function.Predicate;
import org.jspecify.annotations.Nullable;

/** Where a fault happens: one tank of a site, and what chance chose of it. */
final class Scene {
  private final RehearsedSite site;
  private final RehearsedKeeper keeper;
  private final TankSpec tank;
  private final TankModel model;
  private final SplittableRandom random;
  private final Set<String> excusedDevices = new LinkedHashSet<>();
  private boolean waterExcused;

  /**
   * A scene in which nothing has happened yet.
   *
   * @param site the whole site
   * @param keeper who may be asked to do something unwise
   * @param tank whose fault it is
   * @param model its figures
   * @param random draws what is left open
   */
  Scene(
      RehearsedSite site,
      RehearsedKeeper keeper,
      TankSpec tank,
      TankModel model,
      SplittableRandom random) {
    this.site = site;
    this.keeper = keeper;
    this.tank = tank;
    this.model = model;
    this.random = random;
  }

  RehearsedSite site() {
    return site;
  }

  RehearsedKeeper keeper() {
    return keeper;
  }

  TankSpec tank() {
    return tank;
  }

  TankModel model() {
    return model;
  }

  SplittableRandom random() {
    return random;
  }

  TankRig rig() {
    return site.rig().tank(tank.name());
  }

  /** The truth about its water. */
  SimulatedTank water() {
    return rig().tank();
  }

  /** What a device does from now on is no command's doing, nor what a pump does to the water. */
  void excuses(ActuatorSpec actuator) {
    excusedDevices.add(actuator.name());
    waterExcused |= actuator.function() != TankFunction.OZONE;
  }

  /** What the water does from now on, or what is said of it, is no command's doing. */
  void excusesWater() {
    waterExcused = true;
  }

  /** Tells the judge so, or that it is over. */
  void tells(JudgedTruth truth, boolean wrong) {
    excusedDevices.forEach(device -> truth.excuses(device, wrong));
    if (waterExcused) {
      truth.excusesWater(wrong);
    }
  }

  /** One of its sensors that measure this; null when it has none. */
  @Nullable SensorSpec sensor(Predicate<SensorSpec> which) {
    return one(tank.sensors().stream().filter(which).toList());
  }

  @Nullable SensorSpec sensor(Measure measure) {
    return sensor(spec -> spec.measure() == measure);
  }

  SimulatedSensor simulated(SensorSpec spec) {
    return rig().sensor(spec.name());
  }

  /** One of its devices with this function; null when it has none. */
  @Nullable ActuatorSpec actuator(TankFunction function) {
    return one(tank.actuators().stream().filter(each -> each.function() == function).toList());
  }

  /** One of its devices. */
  ActuatorSpec anyActuator() {
    return tank.actuators().get(random.nextInt(tank.actuators().size()));
  }

  SimulatedDevice device(ActuatorSpec spec) {
    return rig().device(spec.name());
  }

  /** Where its level is measured; null when it is not. */
  ExchangeSpec.@Nullable Level level() {
    ExchangeSpec exchange = tank.exchange();
    return exchange == null ? null : exchange.level();
  }

  private <T> @Nullable T one(List<T> all) {
    return all.isEmpty() ? null : all.get(random.nextInt(all.size()));
  }
}

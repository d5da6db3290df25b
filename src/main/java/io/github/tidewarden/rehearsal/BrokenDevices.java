package io.github.tidewarden.rehearsal;

import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.interlock.TankFunction;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;

/**
 * What a keeper should do about the devices of a tank that are broken by its model. What such a
 * tank comes to says nothing of its configuration: what the device is for, and what is told of it,
 * follows from what is broken.
 */
final class BrokenDevices {

  /** What may be told of a function for no other reason than that its device is broken. */
  private static final Map<TankFunction, Set<String>> FOLLOWS =
      Map.of(
          TankFunction.OZONE,
          Set.of("redox-ceiling", "room-ozone", "room-ozone-notice", "no-ozone"),
          TankFunction.EXCHANGE,
          Set.of(
              "leak",
              "level-high",
              "level-low",
              "new-water-low",
              "waste-full",
              "salinity-off",
              "salinity-drifts",
              "drain-drifts",
              "fill-drifts",
              "top-off-seeps",
              "drain-blocked",
              "fill-dry",
              "pumps-apart",
              "out-and-in-apart",
              "top-off-released",
              "share-missed"),
          TankFunction.TOP_OFF,
          Set.of("level-high", "level-low", "salinity-off", "salinity-drifts", "top-off-released"));

  private final Set<TankFunction> functions = EnumSet.noneOf(TankFunction.class);
  private final List<String> lines = new ArrayList<>();

  BrokenDevices(TankSpec tank, TankModel model) {
    Map<String, SimulatedDevice.Fault> faults = new TreeMap<>(model.fittings().faults());
    for (ActuatorSpec actuator : tank.actuators()) {
      SimulatedDevice.Fault fault = faults.get(actuator.name());
      boolean reports = tank.confirms().containsKey(actuator.name());
      if (fault == null || (fault == SimulatedDevice.Fault.MUTE && !reports)) {
        continue; // one that need not report is none the worse
      }
      functions.add(actuator.function());
      lines.add(
          actuator.name()
              + " is broken, by the tank model: "
              + remedy(fault)
              + (reports || fault == SimulatedDevice.Fault.MUTE
                  ? ""
                  : ". It reports no `state`, so the daemon cannot tell: give it one")
              + ". No setting of "
              + actuator.function().word()
              + " makes that good; rehearse again with it mended");
    }
  }

  private static String remedy(SimulatedDevice.Fault fault) {
    return switch (fault) {
      case WELDED ->
          "it ignores OFF, as a welded contact does, and runs until its power is cut: cut it by"
              + " hand, change its relay, and have a second switch before it";
      case DEAF -> "it does not do what it is told: see to its topic, its payloads and its network";
      case MUTE -> "it does not report what it does: see to its `state` topic and its `confirm`";
      case WAKES_ON -> "it runs as soon as it has power: set it to stay off until it is told";
      case DEAD -> "it has no power: see to its plug, its fuse and its supply";
    };
  }

  /** What to do about each; empty where all are sound. */
  List<String> lines() {
    return lines;
  }

  /** Whether what was seen of a function says nothing of its configuration. */
  boolean spoil(TankFunction function) {
    return functions.contains(function);
  }

  /** Whether something that was told is named already by what is broken. */
  boolean explain(String incident) {
    return functions.stream()
        .anyMatch(each -> FOLLOWS.getOrDefault(each, Set.of()).contains(incident));
  }
}

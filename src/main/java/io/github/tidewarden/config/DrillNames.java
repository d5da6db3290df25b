package io.github.tidewarden.config;

import io.github.tidewarden.control.TankMemory;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.exchange.Exchange;
import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.interlock.InterlockSpec;
import io.github.tidewarden.interlock.PickUp;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.sensing.SensorSpec;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Set;
import java.util.TreeSet;
import java.util.stream.Collectors;
import java.util.stream.Stream;

/** What a drill can name of a tank. */
final class DrillNames {
  private final TankSpec tank;

  DrillNames(TankSpec tank) {
    this.tank = tank;
  }

  TankSpec tank() {
    return tank;
  }

  List<String> sensors() {
    return tank.sensors().stream().map(SensorSpec::name).toList();
  }

  List<String> devices() {
    return tank.actuators().stream().map(ActuatorSpec::name).toList();
  }

  /** Whole tank first, then its functions. */
  static List<String> holdable() {
    return Stream.concat(
            Stream.of("tank"), Arrays.stream(TankFunction.values()).map(TankFunction::word))
        .toList();
  }

  static List<String> phases() {
    return Arrays.stream(Exchange.Phase.values())
        .map(phase -> phase.name().toLowerCase(Locale.ROOT))
        .toList();
  }

  /** What trips, and does not only tell. */
  Set<String> trips() {
    Set<String> names = interlocks(false);
    names.addAll(faultsOfPortions());
    return names;
  }

  /** What can be latched. */
  Set<String> latches() {
    Set<String> names =
        tank.interlocks().stream()
            .filter(spec -> spec.latchWhen() != null || spec.latchAtCount() > 0)
            .map(InterlockSpec::name)
            .collect(Collectors.toCollection(TreeSet::new));
    names.addAll(faultsOfPortions());
    names.addAll(losses());
    names.addAll(unasked());
    if (tank.ozone() != null) {
      names.add(PickUp.NAME);
    }
    names.add(TankMemory.FAULT);
    return names;
  }

  /** What is told and is no trip. */
  Set<String> notices() {
    Set<String> names = interlocks(true);
    names.addAll(losses());
    names.addAll(unasked());
    if (tank.ozone() != null) {
      names.add(PickUp.NAME);
    }
    if (tank.exchange() != null) {
      names.addAll(
          List.of(
              Exchange.Latch.DRAIN_DRIFTS.word(),
              Exchange.Latch.FILL_DRIFTS.word(),
              Exchange.Latch.TOP_OFF_SEEPS.word(),
              "salinity-drifts",
              "new-water-taken",
              "drained-unseen",
              "filled-unseen",
              "topped-off"));
    }
    return names;
  }

  private Set<String> interlocks(boolean notices) {
    return tank.interlocks().stream()
        .filter(spec -> spec.notice() == notices)
        .map(InterlockSpec::name)
        .collect(Collectors.toCollection(TreeSet::new));
  }

  private List<String> faultsOfPortions() {
    return tank.exchange() == null
        ? List.of()
        : Arrays.stream(Exchange.Latch.values()).map(Exchange.Latch::word).toList();
  }

  private List<String> losses() {
    return Stream.concat(
            sensors().stream().map(name -> name + "-silent"),
            tank.confirms().keySet().stream().map(name -> name + "-unconfirmed"))
        .toList();
  }

  private List<String> unasked() {
    return tank.confirms().keySet().stream().map(name -> name + "-on-unasked").toList();
  }
}

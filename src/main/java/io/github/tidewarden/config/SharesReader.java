package io.github.tidewarden.config;

import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import org.jspecify.annotations.Nullable;

/** Reads {@code shares} of a tank: the names of the shared equipment that its exchange uses. */
final class SharesReader {
  /**
   * What a tank shares.
   *
   * @param units in the order of the list
   * @param inDoubt whether it could not be told what else
   */
  record Shares(List<Shared> units, boolean inDoubt) {

    /** The first that has a bin of new water; null for none. */
    @Nullable Shared withBin() {
      return SharesReader.withBin(units);
    }
  }

  private final Section tank;
  private final Map<String, Shared> shared;
  private final Set<String> sensors = new HashSet<>();
  private final List<Shared> used = new ArrayList<>();
  private boolean inDoubt;

  /**
   * Prepares.
   *
   * @param ofRoom the sensors that the tank has of its room
   */
  SharesReader(Section tank, Map<String, Shared> shared, List<Sensor> ofRoom) {
    this.tank = tank;
    this.shared = shared;
    ofRoom.forEach(sensor -> sensors.add(sensor.name()));
  }

  Shares read() {
    tank.optional("shares").ifPresent(this::read);
    return new Shares(used, inDoubt);
  }

  private void read(Value list) {
    List<Value> items = list.list();
    if (items == null) {
      inDoubt = true;
      return;
    }
    if (items.isEmpty()) {
      list.complain("`shares` names nothing", "leave `shares` out");
    }
    if (!tank.has("exchange")) {
      tank.complain(
          tank.keyPlace("shares"),
          "`shares` without `exchange`",
          "give the tank an `exchange`, or take `shares` out");
    }
    for (Value item : items) {
      String name = item.oneOf(shared.keySet());
      Shared unit = name == null ? null : shared.get(name);
      if (unit == null) {
        inDoubt = true;
      } else if (used.contains(unit)) {
        item.complain("`" + name + "` stands twice", "each once");
      } else {
        add(item, unit);
      }
    }
  }

  private void add(Value item, Shared unit) {
    for (Sensor sensor : unit.sensors()) {
      if (!sensors.add(sensor.name())) {
        item.complain(
            "`"
                + unit.name()
                + "` has a sensor `"
                + sensor.name()
                + "`, and so has the room or what else is shared",
            "another name for one of them");
      }
    }
    Shared other = withBin(used);
    if (unit.newWater() != null && other != null) {
      item.complain(
          "`" + unit.name() + "` has `new-water`, and so has `" + other.name() + "`",
          "one bin of new water for a tank");
      inDoubt = true;
    }
    used.add(unit);
  }

  private static @Nullable Shared withBin(List<Shared> used) {
    return used.stream().filter(unit -> unit.newWater() != null).findFirst().orElse(null);
  }
}

package io.github.tidewarden.rehearsal;

import com.fasterxml.jackson.databind.node.JsonNodeFactory;
import com.fasterxml.jackson.databind.node.ObjectNode;
import io.github.tidewarden.config.Drill;
import io.github.tidewarden.quantity.Figures;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.Map;

/** Does what a drill gives, when its time has come. */
final class DrillTurns {
  private final Drill drill;
  private final SiteRig rig;
  private final DrillSenses senses;
  private final DrillSite site;
  private int asked;

  DrillTurns(Drill drill, SiteRig rig, DrillSenses senses, DrillSite site) {
    this.drill = drill;
    this.rig = rig;
    this.senses = senses;
    this.site = site;
  }

  void take(Drill.Given given) {
    if (given instanceof Drill.SensorTurns sensor) {
      senses.turn(sensor);
    } else if (given instanceof Drill.DeviceTurns device) {
      turn(rig.tank(drill.tank()).device(device.device()), device.state());
    } else if (given instanceof Drill.ClockSteps steps) {
      site.clock(board -> board.step(Duration.ofNanos(steps.byNanos())));
    } else if (given instanceof Drill.ClockShown) {
      site.clock(SimulatedBoard::isShown);
    } else if (given instanceof Drill.LinkTurns link) {
      site.link(link.up());
    } else if (given instanceof Drill.KeeperAsks keeper) {
      site.asks(request(keeper));
    }
  }

  private void turn(SimulatedDevice device, Drill.DeviceState state) {
    site.rigNow();
    for (SimulatedDevice.Fault fault : SimulatedDevice.Fault.values()) {
      device.fault(fault, false);
    }
    long mono = site.mono();
    device.power(state != Drill.DeviceState.UNPOWERED, mono);
    switch (state) {
      case WELDED -> device.fault(SimulatedDevice.Fault.WELDED, true);
      case DEAF -> device.fault(SimulatedDevice.Fault.DEAF, true);
      case MUTE -> device.fault(SimulatedDevice.Fault.MUTE, true);
      case WAKES_ON -> {
        device.fault(SimulatedDevice.Fault.WAKES_ON, true);
        device.power(false, mono);
        device.power(true, mono);
      }
      case SOUND, UNPOWERED -> {
        // Nothing more is wrong with it.
      }
    }
    site.reports();
  }

  private byte[] request(Drill.KeeperAsks keeper) {
    ObjectNode request = JsonNodeFactory.instance.objectNode();
    keeper.request().entrySet().stream()
        .sorted(Map.Entry.comparingByKey())
        .forEach(field -> request.put(field.getKey(), field.getValue()));
    request.put("id", "drill-" + ++asked);
    request.put("sent", Figures.recordTime(site.wall()));
    return request.toString().getBytes(StandardCharsets.UTF_8);
  }
}

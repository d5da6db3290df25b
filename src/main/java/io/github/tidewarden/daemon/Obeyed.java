package io.github.tidewarden.daemon;

import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.gate.Command;
import io.github.tidewarden.interlock.ConfirmSpec;
import io.github.tidewarden.mqtt.Inbox;
import io.github.tidewarden.mqtt.Link;
import io.github.tidewarden.mqtt.WatchOnlyLink;
import io.github.tidewarden.rehearsal.StateReport;
import java.util.HashMap;
import java.util.HashSet;
import java.util.Map;

/**
 * What watch-only takes for the devices' own reports: that each has done at once what it would have
 * been told. The real ones obey another, and would be on unasked all night.
 */
final class Obeyed {
  private Obeyed() {}

  /** A link that commands nothing, and whose inbox hears that each command was obeyed. */
  static Link link(Link real, SiteSpec site, Inbox inbox) {
    Map<String, ConfirmSpec> bySetTopic = new HashMap<>();
    for (TankSpec tank : site.tanks()) {
      for (ActuatorSpec actuator : tank.actuators()) {
        ConfirmSpec confirm = tank.confirms().get(actuator.name());
        if (confirm != null) {
          bySetTopic.put(actuator.topic(), confirm);
        }
      }
    }
    HashSet<String> stateTopics = new HashSet<>();
    bySetTopic.values().forEach(confirm -> stateTopics.add(confirm.topic()));
    return new WatchOnlyLink(real, stateTopics, command -> reports(command, bySetTopic, inbox));
  }

  private static void reports(Command command, Map<String, ConfirmSpec> specs, Inbox inbox) {
    ConfirmSpec confirm = specs.get(command.topic());
    if (confirm != null) {
      inbox.arrived(confirm.topic(), StateReport.of(confirm, command.runs()), false, null, null);
    }
  }
}

package io.github.tidewarden.config;

import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.interlock.ConfirmSpec;
import io.github.tidewarden.interlock.TankFunction;
import java.util.Map;
import org.jspecify.annotations.Nullable;

/**
 * One actuator of a tank as declared.
 *
 * @param spec how it is commanded
 * @param confirm how it reports its state; null when it does not
 */
record Actuator(ActuatorSpec spec, @Nullable ConfirmSpec confirm) {

  /** What all actuators of a site are read with. */
  record Site(Map<String, DeviceKind> kinds, Topics topics) {}

  /**
   * Reads {@code kind}, {@code topic} and {@code state}.
   *
   * @return null after a complaint about the kind
   */
  static @Nullable Actuator read(
      Section section, String tank, String name, TankFunction function, Site site) {
    String owner = name + " of " + tank;
    String topic = site.topics().commanded(section, "topic", owner);
    String stateTopic = section.has("state") ? Topics.topic(section, "state") : "";
    DeviceKind kind =
        section
            .required("kind", "relay")
            .map(value -> value.oneOf(site.kinds().keySet()))
            .map(site.kinds()::get)
            .orElse(null);
    if (kind == null) {
      return null;
    }
    ActuatorSpec spec =
        new ActuatorSpec(
            name, function, topic, kind.sendOn(), kind.sendOff(), kind.dropOutSeconds());
    DeviceKind.Report report = kind.report();
    if (stateTopic.isEmpty()) {
      return new Actuator(spec, null);
    }
    if (report == null) {
      section.complain(
          section.place("state"),
          "`state` is given, but the kind has no `confirm`",
          "give the kind a `confirm` or take `state` out");
      return new Actuator(spec, null);
    }
    section
        .optional("state")
        .ifPresent(value -> site.topics().heard(value, stateTopic, report.pointer(), owner));
    return new Actuator(
        spec,
        new ConfirmSpec(
            stateTopic, report.pointer(), report.on(), report.off(), report.withinNanos()));
  }
}

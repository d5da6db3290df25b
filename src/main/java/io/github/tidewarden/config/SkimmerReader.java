package io.github.tidewarden.config;

import static io.github.tidewarden.quantity.UnitCode.SECONDS;

import io.github.tidewarden.control.SkimmerSpec;
import io.github.tidewarden.control.SkimmerWork;
import io.github.tidewarden.sensing.Measure;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import org.jspecify.annotations.Nullable;

/** Reads {@code skimmer} of a tank. */
final class SkimmerReader {
  private static final Limits HOURS = Limits.between(SECONDS, 3_600, 8_760 * 3_600.0);

  private final Section section;
  private final List<Sensor> sensors;
  private final boolean inDoubt;

  /**
   * Prepares.
   *
   * @param sensors of the tank, in which its own are found
   * @param inDoubt whether it could not be told what some sensor measures
   */
  SkimmerReader(Section section, List<Sensor> sensors, boolean inDoubt) {
    this.section = section;
    this.sensors = sensors;
    this.inDoubt = inDoubt;
  }

  SkimmerSpec read() {
    Map<SkimmerWork, Long> after = new EnumMap<>(SkimmerWork.class);
    for (SkimmerWork work : SkimmerWork.values()) {
      if (section.has(work.key())) {
        after.put(work, section.nanos(work.key(), HOURS, 0));
      } else {
        section.optional(work.key());
      }
    }
    return new SkimmerSpec(named("air", Measure.AIR_FLOW), named("cup", Measure.FULL), after);
  }

  private @Nullable String named(String key, Measure measure) {
    List<String> known =
        sensors.stream().filter(sensor -> sensor.measure() == measure).map(Sensor::name).toList();
    Value given = section.optional(key).orElse(null);
    if (given == null) {
      return null;
    }
    if (!known.isEmpty()) {
      return given.oneOf(known);
    }
    if (!inDoubt) {
      given.complain(
          "the tank has no sensor that measures `" + measure.word() + "`",
          "declare one, or take `" + key + "` out");
    }
    return null;
  }
}

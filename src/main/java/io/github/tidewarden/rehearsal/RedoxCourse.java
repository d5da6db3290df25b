package io.github.tidewarden.rehearsal;

import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.sensing.Payload;
import io.github.tidewarden.sensing.Reading;
import io.github.tidewarden.sensing.SensorSpec;
import java.time.Instant;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;

/** What the redox probes of each tank said, minute by minute. */
final class RedoxCourse {
  private static final int SECONDS = 60;

  private record Probe(String tank, SensorSpec spec) {}

  private final Map<String, List<Probe>> byTopic = new HashMap<>();
  private final Map<String, TreeMap<Long, Range>> tanks = new LinkedHashMap<>();

  RedoxCourse(SiteSpec site) {
    for (TankSpec tank : site.tanks()) {
      OzoneSpec ozone = tank.ozone();
      tanks.put(tank.name(), new TreeMap<>());
      for (SensorSpec sensor : tank.sensors()) {
        if (ozone != null && ozone.probes().contains(sensor.name())) {
          byTopic
              .computeIfAbsent(sensor.topic(), topic -> new ArrayList<>())
              .add(new Probe(tank.name(), sensor));
        }
      }
    }
  }

  void hears(Reading reading) {
    for (Probe probe : byTopic.getOrDefault(reading.topic(), List.of())) {
      Payload payload = Payload.read(probe.spec(), reading.payload());
      double value = payload.value();
      if (!reading.retained()
          && payload.usable()
          && value >= probe.spec().plausibleLow()
          && value <= probe.spec().plausibleHigh()) {
        long minute = reading.arrival().wall().getEpochSecond() / SECONDS;
        tanks
            .getOrDefault(probe.tank(), new TreeMap<>())
            .merge(minute, Range.NOTHING.with(value), (was, is) -> was.with(value));
      }
    }
  }

  /** Lowest and highest of any probe in each minute, by the minute's beginning. */
  Map<Instant, Range> of(String tank) {
    Map<Instant, Range> course = new TreeMap<>();
    tanks
        .getOrDefault(tank, new TreeMap<>())
        .forEach((minute, range) -> course.put(Instant.ofEpochSecond(minute * SECONDS), range));
    return course;
  }
}

package io.github.tidewarden.rehearsal;

import io.github.tidewarden.config.Drill;
import io.github.tidewarden.sensing.SensorSpec;
import java.time.Instant;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Objects;
import java.util.function.Consumer;
import org.jspecify.annotations.Nullable;

/**
 * The sensors of a drill: each topic speaks in its own rhythm, and at once when the drill changes
 * one of its sensors.
 */
final class DrillSenses {
  private record Turned(long sinceNanos, Drill.Sense sense) {}

  private final DrillSite site;
  private final TankRig tank;
  private final Instant start;
  private final VirtualTime time;
  private final Consumer<SiteRig.Message> ears;
  private final Map<String, SensorSpec> specs = new HashMap<>();
  private final Map<String, Turned> turned = new LinkedHashMap<>();
  private final Map<String, Long> every = new HashMap<>();
  private final Map<String, Long> rounds = new HashMap<>();

  DrillSenses(Drill drill, VirtualTime time, DrillSite site, Consumer<SiteRig.Message> ears) {
    this.site = site;
    tank = site.rig().tank(drill.tank());
    start = drill.start();
    this.time = time;
    this.ears = ears;
    tank.spec().sensors().forEach(spec -> specs.put(spec.name(), spec));
  }

  /** All topics begin to speak, after what is given for the start. */
  void begin() {
    for (String topic : site.rig().sensorTopics()) {
      time.at(0, () -> speaks(topic));
    }
  }

  /** A sensor does something else from now on, and its topic speaks. */
  void turn(Drill.SensorTurns to) {
    SensorSpec spec = Objects.requireNonNull(specs.get(to.sensor()));
    SimulatedSensor sensor = tank.sensor(to.sensor());
    turned.put(to.sensor(), new Turned(to.atNanos(), to.sense()));
    sensor.silent(to.sense() instanceof Drill.IsSilent);
    sensor.frozen(to.sense() instanceof Drill.IsFrozen);
    sensor.offset(to.sense() instanceof Drill.IsOff off ? off.by() : 0);
    sensor.reads(Double.NaN);
    every.put(spec.topic(), to.everyNanos());
    if (to.atNanos() > 0) {
      speaks(spec.topic());
    }
  }

  private void speaks(String topic) {
    long round = rounds.merge(topic, 1L, Long::sum);
    time.in(
        every.getOrDefault(topic, Drill.USUAL_EVERY_NANOS),
        () -> {
          if (Objects.requireNonNull(rounds.get(topic)) == round) {
            speaks(topic);
          }
        });
    SiteRig rig = site.rigNow();
    String instead = null;
    for (Map.Entry<String, Turned> each : turned.entrySet()) {
      if (Objects.requireNonNull(specs.get(each.getKey())).topic().equals(topic)) {
        String said = sets(each.getKey(), each.getValue());
        instead = said == null ? instead : said;
      }
    }
    String payload = instead;
    rig.reading(topic, start.plusNanos(time.nowNanos()))
        .map(message -> payload == null ? message : new SiteRig.Message(topic, payload))
        .ifPresent(ears);
  }

  /** Sets what a sensor reads now; gives what is said in place of the whole message, or null. */
  private @Nullable String sets(String sensor, Turned to) {
    if (to.sense() instanceof Drill.Reads reads) {
      tank.sensor(sensor).reads(reads.at(time.nowNanos() - to.sinceNanos()));
    }
    return to.sense() instanceof Drill.Says says ? says.payload() : null;
  }
}

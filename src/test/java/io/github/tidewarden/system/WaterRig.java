package io.github.tidewarden.system;

import static org.awaitility.Awaitility.await;

import com.fasterxml.jackson.databind.JsonNode;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.rehearsal.SimulatedDevice;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.net.URI;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.Comparator;
import java.util.Deque;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.ConcurrentLinkedDeque;
import java.util.concurrent.TimeUnit;
import java.util.function.Function;
import java.util.stream.Stream;

/**
 * A site of tanks of water at a broker: its files, its water, and the daemon in its process.
 *
 * <p>What happens has a name. A record of a tank has its kind's, such as {@code drained}; what a
 * device is told is {@code drain on}, {@code drain renewed} or {@code drain off}, with the device's
 * name in front; rest said to a device at rest is nothing.
 */
final class WaterRig implements AutoCloseable {
  static final String TANK = "lagoon";

  /**
   * Longest that the first portion is waited for: it begins 160 s after a start of the daemon, when
   * whatever ran before is at rest for certain.
   */
  static final Duration TO_FIRST_PORTION = Duration.ofSeconds(240);

  private final Path directory;
  private final Path config;
  private final Deque<AutoCloseable> open = new ConcurrentLinkedDeque<>();
  private final Map<String, Integer> happened = new HashMap<>();
  private final Map<String, Boolean> told = new HashMap<>();
  final WaterFile file;
  final WaterSite water;

  /** A site whose daemon is not started yet. */
  WaterRig(URI broker, WaterFile file) {
    this.file = file;
    try {
      directory = Files.createTempDirectory("tidewarden-water");
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
    config =
        file.broker(broker)
            .stateDir(directory.resolve("state"))
            .write(directory.resolve("site.yaml"));
    water = keep(new WaterSite(broker, file, this::told));
    keep(new AuditTail(auditDirectory(), this::written));
    await("the water is at the broker").atMost(Rig.PATIENCE).until(water::connected);
  }

  private <T extends AutoCloseable> T keep(T closeable) {
    open.push(closeable);
    return closeable;
  }

  /** The daemon, in a process of its own. */
  DaemonProcess start() {
    return keep(DaemonProcess.start(directory, "run", "--config", config.toString()));
  }

  Path auditDirectory() {
    return directory.resolve("state").resolve("audit");
  }

  // What happens.

  private void written(JsonNode record) {
    happens(record.path("tank").asText(), record.path("kind").asText());
  }

  private void told(String tank, String device, boolean runs) {
    boolean ran = Boolean.TRUE.equals(told.put(tank + " " + device, runs));
    if (runs || ran) {
      happens(tank, device + (!runs ? " off" : ran ? " renewed" : " on"));
    }
  }

  private synchronized void happens(String tank, String what) {
    happened.merge(tank + " " + what, 1, Integer::sum);
    notifyAll();
  }

  /** How often something has happened to a tank. */
  synchronized int count(String tank, String what) {
    return happened.getOrDefault(tank + " " + what, 0);
  }

  /** Waits until something happens to a tank for the n-th time; goes on within a millisecond. */
  synchronized void awaitEvent(String tank, String what, int nth, Duration atMost) {
    long deadline = System.nanoTime() + atMost.toNanos();
    while (count(tank, what) < nth) {
      long left = deadline - System.nanoTime();
      if (left <= 0) {
        throw new AssertionError(
            what + " of " + tank + ", number " + nth + ", does not happen; so far " + happened);
      }
      try {
        TimeUnit.NANOSECONDS.timedWait(this, left);
      } catch (InterruptedException e) {
        Thread.currentThread().interrupt();
        throw new IllegalStateException(e);
      }
    }
  }

  /** Waits until a pump truly rests; when that began, monotonic. */
  long awaitRest(String tank, Function<WaterTank, SimulatedDevice> pump) {
    await("a pump of " + tank + " rests")
        .atMost(Rig.PATIENCE)
        .pollInterval(Duration.ofMillis(20))
        .until(() -> !water.ask(tank, asked -> pump.apply(asked).on()));
    List<SimulatedDevice.Switch> switches = water.ask(tank, asked -> pump.apply(asked).switches());
    return switches.get(switches.size() - 1).monoNanos();
  }

  /** The names of what was latched in a tank, of each kind in the order of the audit. */
  List<String> latches(String tank) {
    return Stream.of(Kind.TRIP, Kind.LATCHED, Kind.SILENT)
        .flatMap(kind -> records(tank, kind).stream())
        .filter(record -> Boolean.TRUE.equals(record.fields().get("latched")))
        .map(record -> (String) record.fields().get("name"))
        .toList();
  }

  /** What stands in the audit of a tank and a kind. */
  List<AuditRecord> records(String tank, Kind kind) {
    return Rig.audit(auditDirectory(), kind).stream()
        .filter(record -> record.tank().equals(tank))
        .toList();
  }

  @Override
  public void close() {
    while (!open.isEmpty()) {
      try {
        open.pop().close();
      } catch (Exception e) {
        throw new IllegalStateException(e);
      }
    }
    try (Stream<Path> files = Files.walk(directory)) {
      for (Path each : files.sorted(Comparator.reverseOrder()).toList()) {
        Files.delete(each);
      }
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }
}

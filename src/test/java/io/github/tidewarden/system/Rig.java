package io.github.tidewarden.system;

import static org.awaitility.Awaitility.await;

import com.fasterxml.jackson.databind.JsonNode;
import io.github.tidewarden.audit.AuditLine;
import io.github.tidewarden.audit.AuditReader;
import io.github.tidewarden.audit.DirectoryFiles;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.daemon.Daemon;
import io.github.tidewarden.daemon.DaemonException;
import io.github.tidewarden.daemon.Exit;
import io.github.tidewarden.daemon.Watcher;
import io.github.tidewarden.gate.Command;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.net.URI;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.Deque;
import java.util.List;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;

/** A site at a broker: its files, its probes, its devices, and the daemon when it is started. */
final class Rig implements AutoCloseable {
  static final String TANK = "lagoon";
  static final String REDOX_A = "redox/a";
  static final String REDOX_B = "redox/b";
  static final String AIR = "air";
  static final String RETURN = "return";
  static final Duration PATIENCE = Duration.ofSeconds(90);

  private final SiteFile site;
  private final Path directory;
  private final Path config;
  private final Deque<AutoCloseable> open = new ArrayDeque<>();
  private final List<AuditRecord> records = new CopyOnWriteArrayList<>();
  final Probes probes;
  final Bystander seen;

  /**
   * A site whose daemon is not started yet.
   *
   * @param broker where probes and devices are
   * @param daemonsBroker where the daemon finds the broker
   * @param period between two readings
   */
  Rig(URI broker, URI daemonsBroker, SiteFile site, Duration period) {
    this.site = site;
    try {
      directory = Files.createTempDirectory("tidewarden-system");
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
    config =
        site.broker(daemonsBroker)
            .stateDir(directory.resolve("state"))
            .write(directory.resolve("site.yaml"));
    probes = keep(new Probes(broker, period));
    seen = keep(new Bystander(broker, site, probes));
  }

  /** With probes that speak once a second. */
  Rig(URI broker, SiteFile site) {
    this(broker, broker, site, Duration.ofSeconds(1));
    seen.awaitListening();
  }

  /** Closes it with the rig. */
  <T extends AutoCloseable> T keep(T closeable) {
    open.push(closeable);
    return closeable;
  }

  /** The daemon inside this process; what it records is heard too. */
  Daemon startInside() {
    try {
      return keep(new Inside(Daemon.start(SiteFile.read(config), new Listener()))).daemon();
    } catch (DaemonException e) {
      throw new IllegalStateException(e);
    }
  }

  private record Inside(Daemon daemon) implements AutoCloseable {
    @Override
    public void close() {
      daemon.stop("the test is over", Exit.OK);
    }
  }

  /** The daemon in a process of its own. */
  DaemonProcess startProcess() {
    return startProcess(config);
  }

  DaemonProcess startProcess(Path otherConfig) {
    return keep(DaemonProcess.start(directory, "run", "--config", otherConfig.toString()));
  }

  /** Another verb on this configuration, to its end. */
  DaemonProcess verb(String verb, String... options) {
    List<String> arguments = new ArrayList<>(List.of(verb, "--config", config.toString()));
    arguments.addAll(List.of(options));
    DaemonProcess child = keep(DaemonProcess.start(directory, arguments.toArray(String[]::new)));
    child.awaitExit();
    return child;
  }

  Path directory() {
    return directory;
  }

  Path config() {
    return config;
  }

  SiteFile site() {
    return site;
  }

  String topic(String tank, String below) {
    return site.site() + "/" + tank + "/" + below;
  }

  /** A reading of the lagoon, now and again every period; when it was said, monotonic. */
  long say(String below, String value) {
    return probes.say(topic(TANK, below), value);
  }

  long silence(String below) {
    return probes.silence(topic(TANK, below));
  }

  /** Both probes of a tank. */
  long sayRedox(String tank, int millivolts) {
    long first = probes.say(topic(tank, REDOX_A), Integer.toString(millivolts));
    probes.say(topic(tank, REDOX_B), Integer.toString(millivolts));
    return first;
  }

  /** All of a tank's guards are well, and redox is at a value; when that was first said. */
  long allIsWell(String tank, int millivolts) {
    probes.say(topic(tank, AIR), "8");
    probes.say(topic(tank, RETURN), "1");
    return sayRedox(tank, millivolts);
  }

  /** Waits until the lagoon's generator runs. */
  long awaitOn(long sinceNanos) {
    return seen.awaitSwitch(TANK, true, sinceNanos);
  }

  long awaitOff(long sinceNanos) {
    return seen.awaitSwitch(TANK, false, sinceNanos);
  }

  /** Waits until the daemon tells of a tank that a signal is good. */
  void awaitGood(String tank, long sinceNanos, String... signals) {
    await("good signals")
        .atMost(PATIENCE)
        .pollInterval(Duration.ofMillis(20))
        .until(
            () -> {
              JsonNode told = seen.state(tank, sinceNanos).path("signals");
              return Stream.of(signals)
                  .allMatch(s -> told.path(s).path("quality").asText().equals("good"));
            });
  }

  /** Waits until a record is made by the daemon inside. */
  AuditRecord awaitRecord(Kind kind, String name) {
    return awaitRecord(kind, "name", name);
  }

  AuditRecord awaitRecord(Kind kind, String field, String value) {
    await(kind + " " + value)
        .atMost(PATIENCE)
        .pollInterval(Duration.ofMillis(20))
        .until(() -> records(kind).stream().anyMatch(r -> value.equals(r.fields().get(field))));
    return records(kind).stream()
        .filter(r -> value.equals(r.fields().get(field)))
        .findFirst()
        .orElseThrow();
  }

  /** What the daemon inside has recorded of a kind. */
  List<AuditRecord> records(Kind kind) {
    return records.stream().filter(record -> record.kind() == kind).toList();
  }

  /** What stands in the audit of a kind; also while a daemon writes it. */
  List<AuditRecord> audit(Kind kind) {
    return audit(directory.resolve("state").resolve("audit"), kind);
  }

  /** The same of the audit in a directory. */
  static List<AuditRecord> audit(Path directory, Kind kind) {
    List<AuditRecord> read = new ArrayList<>();
    try {
      AuditReader.read(
          new DirectoryFiles(directory),
          new AuditReader.Visitor() {
            @Override
            public void record(AuditReader.Place place, AuditLine line, boolean sound) {
              if (line.record().kind() == kind) {
                read.add(line.record());
              }
            }

            @Override
            public void bad(AuditReader.Place place, String reason) {}

            @Override
            public void note(AuditReader.Place place, String text) {}
          });
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
    return read;
  }

  /** Lets time pass in which something must not happen. */
  static void letPass(Duration time) {
    try {
      TimeUnit.MILLISECONDS.sleep(time.toMillis());
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }

  static Duration between(long fromNanos, long toNanos) {
    return Duration.ofNanos(toNanos - fromNanos);
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
      for (Path file : files.sorted(Comparator.reverseOrder()).toList()) {
        Files.delete(file);
      }
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  private final class Listener implements Watcher {
    @Override
    public void record(AuditRecord record) {
      records.add(record);
    }

    @Override
    public void command(Command command) {}
  }
}

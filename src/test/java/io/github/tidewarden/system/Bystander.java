package io.github.tidewarden.system;

import static org.awaitility.Awaitility.await;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.node.MissingNode;
import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.rehearsal.SimulatedDevice;
import java.io.BufferedReader;
import java.io.IOException;
import java.net.URI;
import java.time.Duration;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.OptionalLong;
import java.util.concurrent.Executors;
import java.util.concurrent.ScheduledExecutorService;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/**
 * Hears everything that is said about a site through a {@code mosquitto_sub}, with the monotonic
 * time at which it came, and plays the tanks' generators: each obeys its set-topic, drops out by
 * itself, and may report its state.
 */
final class Bystander implements AutoCloseable {
  private static final ObjectMapper JSON = new ObjectMapper();
  private static final Duration PATIENCE = Duration.ofSeconds(90);

  /**
   * A message as it came.
   *
   * @param retained whether it was an old one that the broker had kept
   * @param nanos when, monotonic
   */
  record Heard(String topic, String payload, boolean retained, long nanos) {
    boolean runs() {
      return payload.startsWith("on ");
    }
  }

  private final URI broker;
  private final SiteFile site;
  private final Probes reports;
  private final List<Heard> heard = new ArrayList<>();
  private final Map<String, SimulatedDevice> devices = new HashMap<>();
  private final Map<String, Boolean> reported = new HashMap<>();
  private final ScheduledExecutorService clock =
      Executors.newSingleThreadScheduledExecutor(
          work -> {
            Thread made = new Thread(work, "devices");
            made.setDaemon(true);
            return made;
          });
  private volatile Process child;
  private volatile boolean closed;

  Bystander(URI broker, SiteFile site, Probes reports) {
    this.broker = broker;
    this.site = site;
    this.reports = reports;
    for (String tank : site.tanks()) {
      ActuatorSpec spec =
          new ActuatorSpec(
              "generator",
              TankFunction.OZONE,
              site.site() + "/" + tank + "/ozone/set",
              "on {seconds}",
              "off",
              SiteFile.LEASE_SECONDS);
      devices.put(spec.topic(), new SimulatedDevice(spec, System.nanoTime()));
      reports.open(site.site() + "/" + tank + "/ozone/state");
    }
    child = listen();
    Thread reader = new Thread(this::readOn, "bystander");
    reader.setDaemon(true);
    reader.start();
  }

  private Process listen() {
    return Children.start(
        "mosquitto_sub",
        broker,
        "-q",
        "1",
        "-F",
        "%r %t %p",
        "-t",
        site.site() + "/+/ozone/set",
        "-t",
        "bystander/" + site.site(),
        "-t",
        "tidewarden/" + site.site() + "/#");
  }

  /** A child that has ended, since its broker did, is replaced. */
  private void readOn() {
    while (!closed) {
      try (BufferedReader lines = child.inputReader()) {
        for (String line = lines.readLine(); line != null; line = lines.readLine()) {
          take(line);
        }
      } catch (IOException gone) {
        // Its end is noticed below.
      }
      if (!closed) {
        child.destroyForcibly();
        pause();
        child = listen();
      }
    }
  }

  private static void pause() {
    try {
      TimeUnit.MILLISECONDS.sleep(50);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }

  private synchronized void take(String line) {
    long now = System.nanoTime();
    String[] parts = line.split(" ", 3);
    if (parts.length < 3) {
      return;
    }
    heard.add(new Heard(parts[1], parts[2], parts[0].equals("1"), now));
    SimulatedDevice device = devices.get(parts[1]);
    if (device != null) {
      device.hear(parts[2], now);
      report(device);
    }
  }

  @SuppressWarnings("FutureReturnValueIgnored") // what it would throw, the test would see missing
  private void report(SimulatedDevice device) {
    device.advanceTo(System.nanoTime());
    String topic = device.spec().topic().replace("/set", "/state");
    if (!Boolean.valueOf(device.on()).equals(reported.put(topic, device.on()))) {
      reports.say(topic, device.on() ? "on" : "off");
    }
    OptionalLong end = device.leaseEndNanos();
    if (end.isPresent()) {
      clock.schedule(
          () -> {
            synchronized (this) {
              report(device);
            }
          },
          end.getAsLong() - System.nanoTime() + 1,
          TimeUnit.NANOSECONDS);
    }
  }

  /** Waits until messages really come through to it. */
  Bystander awaitListening() {
    String topic = "bystander/" + site.site();
    String mark = Long.toString(System.nanoTime());
    await("the bystander hears")
        .atMost(PATIENCE)
        .pollInterval(Duration.ofMillis(50))
        .until(
            () -> {
              reports.once(topic, mark);
              return on(topic).stream().anyMatch(one -> one.payload().equals(mark));
            });
    return this;
  }

  private String setTopic(String tank) {
    return site.site() + "/" + tank + "/ozone/set";
  }

  /** Everything heard on a topic so far. */
  synchronized List<Heard> on(String topic) {
    return heard.stream().filter(one -> one.topic().equals(topic)).toList();
  }

  /** Commands to a tank's generator since a time, oldest first. */
  List<Heard> commandsSince(String tank, long nanos) {
    return on(setTopic(tank)).stream().filter(one -> one.nanos() - nanos >= 0).toList();
  }

  /** Whether a tank's generator truly runs. */
  synchronized boolean runs(String tank) {
    return device(tank).on();
  }

  /** How long a tank's generator has truly run, ns. */
  synchronized long onNanos(String tank) {
    return device(tank).onNanos();
  }

  /** True changes of a tank's generator since a time, oldest first. */
  synchronized List<SimulatedDevice.Switch> switchesSince(String tank, long nanos) {
    return device(tank).switches().stream().filter(one -> one.monoNanos() - nanos >= 0).toList();
  }

  private SimulatedDevice device(String tank) {
    SimulatedDevice device = devices.get(setTopic(tank));
    device.advanceTo(System.nanoTime());
    return device;
  }

  /** Waits until a generator truly runs, or rests; when that began, monotonic. */
  long awaitSwitch(String tank, boolean on, long sinceNanos) {
    await(tank + (on ? " runs" : " rests"))
        .atMost(PATIENCE)
        .pollInterval(Duration.ofMillis(10))
        .until(
            () ->
                runs(tank) == on
                    && switchesSince(tank, sinceNanos).stream().anyMatch(one -> one.on() == on));
    return switchesSince(tank, sinceNanos).stream()
        .filter(one -> one.on() == on)
        .findFirst()
        .orElseThrow()
        .monoNanos();
  }

  /** The newest message on one of the daemon's own topics; empty when there is none. */
  String newest(String below) {
    List<Heard> all = on("tidewarden/" + site.site() + "/" + below);
    return all.isEmpty() ? "" : all.get(all.size() - 1).payload();
  }

  /** What the daemon last told of a tank since a time; a missing node when it has not. */
  JsonNode state(String tank, long sinceNanos) {
    List<Heard> all = on("tidewarden/" + site.site() + "/" + tank + "/state");
    @Nullable Heard last = all.isEmpty() ? null : all.get(all.size() - 1);
    if (last == null || last.retained() || last.nanos() - sinceNanos < 0) {
      return MissingNode.getInstance();
    }
    return json(last.payload());
  }

  static JsonNode json(String text) {
    try {
      return JSON.readTree(text);
    } catch (JsonProcessingException e) {
      throw new IllegalStateException(text, e);
    }
  }

  /** What the broker keeps on a topic; empty for nothing. */
  String retained(String topic) {
    Process once =
        Children.start(
            "mosquitto_sub",
            broker,
            "--retained-only",
            "-C",
            "1",
            "-W",
            "2",
            "-F",
            "%p",
            "-t",
            topic);
    try (BufferedReader lines = once.inputReader()) {
      String line = lines.readLine();
      return line == null ? "" : line;
    } catch (IOException e) {
      throw new IllegalStateException(e);
    } finally {
      once.destroyForcibly();
    }
  }

  @Override
  public void close() {
    closed = true;
    child.destroyForcibly();
    clock.shutdownNow();
  }
}

package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.audit.Lines;
import io.github.tidewarden.gate.Command;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.sensing.Reading;
import java.nio.charset.StandardCharsets;
import java.time.Instant;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.SplittableRandom;
import java.util.TreeMap;
import java.util.concurrent.TimeUnit;

/**
 * The core between a disk, a broker and two generators, with an {@link Oracle} for each tank that
 * watches every step. Every record goes through the audit's line format and back, and what recovery
 * makes of the lines is held against the memory that lives, whenever nothing waits for the disk.
 */
final class Lab {
  private final SplittableRandom random;
  private final Site site;
  private final SiteSpec spec;
  final Map<String, Oracle> oracles = new TreeMap<>();

  /** Tanks whose generator does not report. */
  final Set<String> deviceMute = new HashSet<>();

  /** Whether a command takes its time to arrive. */
  boolean messagesAreSlow;

  /** What stands in the log, as read back from its lines. */
  final List<AuditRecord> log = new ArrayList<>();

  private final ArrayDeque<Effect.Write> hanging = new ArrayDeque<>();
  private final ArrayDeque<Event> toCome = new ArrayDeque<>();
  private SiteMemory folded;
  private int foldedRecords;
  private int synced;
  private SiteState state;
  Instant wall;
  boolean trusted = true;
  long mono = TimeUnit.HOURS.toNanos(1);
  long real;
  private int boots = 1;
  private Bench.Disk disk = Bench.Disk.WORKS;
  boolean linkUp;
  private long arrivals;
  private boolean interrupted;

  /** Steps taken. */
  int steps;

  /** A digest of all commands and records. */
  long digest;

  Lab(SiteSpec spec, Instant wall, SplittableRandom random) {
    this.spec = spec;
    this.wall = wall;
    this.random = random;
    site = new Site(spec);
    folded = SiteMemory.BLANK.knowing(spec.tanks());
  }

  TankMemory memory(String tank) {
    return state.tanks().get(tank).memory();
  }

  Moment now() {
    return new Moment(wall, mono, trusted);
  }

  // Time.

  void passes(long seconds) {
    long left = TimeUnit.SECONDS.toNanos(seconds) + random.nextInt(1_000_000_000);
    while (left > 0) {
      boolean busy = oracles.values().stream().anyMatch(oracle -> oracle.generator().isBusy(real));
      long some = busy ? Math.min(left, 700_000_000L) : left;
      oracles.values().forEach(oracle -> oracle.passes(real, real + some));
      real += some;
      mono += some;
      wall = wall.plusNanos(some);
      left -= some;
      delivers();
    }
  }

  private void delivers() {
    for (Oracle oracle : oracles.values()) {
      if (oracle.generator().hears(real) && linkUp && !deviceMute.contains(oracle.tank)) {
        reports(oracle.tank, oracle.generator().isOn(real));
      }
    }
  }

  // Lives of the daemon.

  void starts() {
    folded = SiteMemory.BLANK.knowing(spec.tanks());
    foldedRecords = 0;
    fold();
    List<AuditRecord> survived = List.copyOf(log);
    oracles.values().forEach(oracle -> oracle.starts(survived, mono));
    linkUp = false;
    Site.Result result = site.boot(folded, "boot-" + boots, "", true, Map.of(), now());
    state = result.state();
    carryOut(result.effects());
    comesIn();
  }

  void bootsTheMachine() {
    boots++;
    mono = TimeUnit.SECONDS.toNanos(30);
  }

  /** The daemon is gone, and with it perhaps what was not known to be on disk. */
  void dies(boolean loses) {
    int kept = loses ? synced + random.nextInt(log.size() - synced + 1) : log.size();
    log.subList(kept, log.size()).clear();
    hanging.clear();
    toCome.clear();
  }

  // Broker and disk.

  void link(boolean up) {
    if (!up && random.nextInt(2) == 0) {
      oracles.values().forEach(oracle -> oracle.generator().losesMessages());
    }
    linkUp = up;
    for (Oracle oracle : oracles.values()) {
      oracle.link(up);
      if (up) {
        oracle.doubtsAll(mono);
      }
    }
    interrupts(up ? new Event.LinkUp() : new Event.LinkDown("flap"));
  }

  void stalls(long seconds) {
    oracles.values().forEach(oracle -> oracle.doubtsAll(mono));
    interrupts(new Event.Stalled(TimeUnit.SECONDS.toNanos(seconds)));
  }

  void loses(String tank, String topic, String sensor) {
    oracles.get(tank).loses(sensor);
    event(new Event.Lost(topic));
  }

  void disk(Bench.Disk next) {
    disk = next;
    while (disk == Bench.Disk.WORKS && !hanging.isEmpty()) {
      Effect.Write write = hanging.poll();
      inForce(write.record());
      toCome.add(new Event.Synced(write.ticket()));
      synced = log.size();
    }
    comesIn();
  }

  void hear(String topic, String payload, boolean retained) {
    byte[] bytes = payload.getBytes(StandardCharsets.UTF_8);
    event(new Event.Heard(new Reading(++arrivals, topic, bytes, retained, now())));
  }

  void reports(String tank, boolean on) {
    hear("lab/" + tank + "/ozone/state", "{\"on\":" + on + "}", false);
  }

  private void inForce(AuditRecord record) {
    oracles.values().forEach(oracle -> oracle.durable(record));
  }

  // Steps.

  /** An event after which nothing may run. */
  private void interrupts(Event event) {
    interrupted = true;
    event(event);
    interrupted = false;
  }

  void event(Event event) {
    toCome.add(event);
    comesIn();
  }

  private void comesIn() {
    while (!toCome.isEmpty()) {
      Event event = toCome.poll();
      steps++;
      Site.Result result = site.step(state, event, now());
      state = result.state();
      carryOut(result.effects());
      judge(event);
      if (toCome.isEmpty() && hanging.isEmpty() && foldedRecords < log.size()) {
        fold();
        assertThat(Checkpoint.of(folded))
            .as("what recovery makes of the records")
            .isEqualTo(Checkpoint.of(state.remembered()));
      }
    }
  }

  private void judge(Event event) {
    for (Oracle oracle : oracles.values()) {
      if (isAbout(event, oracle.tank)) {
        oracle.afterStep(now(), interrupted || event instanceof Event.Undelivered);
      }
    }
  }

  /** Whether the tank takes a step on the event; of an answer of the disk this is not known. */
  private static boolean isAbout(Event event, String tank) {
    if (event instanceof Event.Heard heard) {
      return isAbout(heard.reading().topic(), tank);
    }
    if (event instanceof Event.Lost lost) {
      return isAbout(lost.topic(), tank);
    }
    if (event instanceof Event.Undelivered undelivered) {
      return undelivered.tank().equals(tank);
    }
    return !(event instanceof Event.Synced
        || event instanceof Event.Unwritten
        || event instanceof Event.Asked);
  }

  private static boolean isAbout(String topic, String tank) {
    return topic.startsWith("lab/" + tank + "/") || topic.startsWith("lab/gallery/");
  }

  private void fold() {
    while (foldedRecords < log.size()) {
      folded = folded.apply(log.get(foldedRecords++));
    }
  }

  private void carryOut(List<Effect> effects) {
    boolean wrote = false;
    for (Effect effect : effects) {
      if (effect instanceof Effect.Send send) {
        assertThat(wrote).as("7: a command after a record").isFalse();
        Command command = send.command();
        long delay = messagesAreSlow ? random.nextLong(1_500_000_000L) : 0;
        oracles.get(command.tank()).commanded(command, now(), real, delay);
        digest = 31 * digest + command.payload().hashCode() + mono;
      } else if (effect instanceof Effect.Write write) {
        wrote = true;
        writes(write);
      }
    }
  }

  private void writes(Effect.Write write) {
    Lines.Line line = Lines.of(log.size() + 1L, write.record());
    digest = 31 * digest + line.digest();
    if (!write.permits()) {
      log.add(line.record());
      inForce(line.record());
      if (line.record().kind() == Kind.RUN) {
        oracles.get(line.record().tank()).began(line.record());
      }
      if (disk == Bench.Disk.WORKS && hanging.isEmpty() && random.nextInt(4) == 0) {
        synced = log.size();
      }
    } else if (disk == Bench.Disk.FULL) {
      toCome.add(new Event.Unwritten(write.ticket(), "no space left"));
    } else if (disk == Bench.Disk.HANGS || !hanging.isEmpty()) {
      log.add(line.record());
      hanging.add(write);
    } else {
      log.add(line.record());
      synced = log.size();
      inForce(line.record());
      toCome.add(new Event.Synced(write.ticket()));
    }
  }
}

package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.audit.Lines;
import io.github.tidewarden.gate.Command;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.sensing.Reading;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.SplittableRandom;
import java.util.TreeMap;
import java.util.concurrent.TimeUnit;

/**
 * One random story of two tanks: readings good and bad, silences, a link that flaps, a clock that
 * steps, a disk that fills up or hangs, crashes with and without loss. An {@link Oracle} for each
 * tank watches every step; every record goes through the audit's line format and back, and what
 * recovery makes of the lines is held against the memory that lives.
 */
@SuppressWarnings({"EnumOrdinal", "StringSplitter"}) // a choice by a seed; texts without surprises
final class RandomNight {
  private static final Duration PER_NIGHT = Duration.ofMinutes(20);
  private static final Duration PER_24H = Duration.ofMinutes(25);
  private static final Duration SHORTEST_OFF = Duration.ofSeconds(60);
  private static final List<String> TANKS = List.of("lagoon", "reef");
  private static final String ROOM = "lab/gallery/ozone";
  private static final String[] JUNK = {
    "x", "", "NaN", "-5", "1e9", "{\"mv\":null}", "null", "49.9", "[]", "{\"mv\":\"nan\"}"
  };

  /** How redox and air behave for a while. */
  private static final class Water {
    double redox = 320;
    double air = 5;
    boolean mute;
    boolean junk;
    boolean deviceMute;
  }

  private final SplittableRandom random;
  private final boolean clockIsHonest;
  private final boolean messagesAreSlow;
  private final Site site;
  private final SiteSpec spec;
  private final Map<String, Oracle> oracles = new TreeMap<>();
  private final Map<String, Water> waters = new TreeMap<>();

  /** What stands in the log, as read back from its lines. */
  private final List<AuditRecord> log = new ArrayList<>();

  private final ArrayDeque<Effect.Write> hanging = new ArrayDeque<>();
  private final ArrayDeque<Event> toCome = new ArrayDeque<>();
  private SiteMemory folded;
  private int foldedRecords;
  private int synced;
  private SiteState state;
  private final Instant began;
  private Instant wall;
  private boolean trusted = true;
  private long mono = TimeUnit.HOURS.toNanos(1);
  private long real;
  private int boots = 1;
  private Bench.Disk disk = Bench.Disk.WORKS;
  private boolean linkUp;
  private double roomOzone = 3;
  private long arrivals;
  private long requests;
  private boolean interrupted;

  /** Steps taken, and a digest of all commands and records. */
  int steps;

  long digest;

  RandomNight(long seed) {
    random = new SplittableRandom(seed);
    clockIsHonest = random.nextInt(3) != 0;
    messagesAreSlow = random.nextInt(4) == 0;
    began = Bench.WINDOW_OPENS.minusSeconds(random.nextInt(1200));
    wall = began;
    TankSpec[] tanks =
        TANKS.stream()
            .map(
                name ->
                    Specs.with(
                        Specs.lagoon(name, "lab/" + name),
                        Specs.ozone(PER_NIGHT, SHORTEST_OFF, Specs.window("01:30", "03:00"))))
            .toArray(TankSpec[]::new);
    spec = Specs.site(PER_24H, tanks);
    site = new Site(spec);
    folded = SiteMemory.BLANK.knowing(spec.tanks());
    for (String tank : TANKS) {
      waters.put(tank, new Water());
      oracles.put(tank, new Oracle(tank, PER_NIGHT, PER_24H, SHORTEST_OFF, clockIsHonest));
    }
    starts();
    link(true);
  }

  int runs() {
    return oracles.values().stream().mapToInt(oracle -> oracle.runs).sum();
  }

  List<AuditRecord> log() {
    return log;
  }

  /** Goes on until so many steps have been taken. */
  void takes(int most) {
    while (steps < most) {
      happens(random.nextInt(1000));
      if (!trusted && random.nextInt(15) == 0) {
        clockChanges();
      }
      everySensorSpeaks();
      event(new Event.Tick());
      for (Oracle oracle : oracles.values()) {
        oracle.judgeTotals(state.tanks().get(oracle.tank).memory(), real);
      }
    }
  }

  // What happens.

  private void happens(int what) {
    if (what < 790) {
      passes(1 + random.nextInt(9));
    } else if (what < 840) {
      waterChanges(waters.get(TANKS.get(random.nextInt(2))));
    } else if (what < 900) {
      waters.values().forEach(RandomNight::calms);
    } else if (what < 906) {
      roomOzone = random.nextInt(4) == 0 ? 90 + random.nextInt(20) : 3;
    } else if (what < 914) {
      linkFlaps();
    } else if (what < 919) {
      standsStill();
    } else if (what < 923) {
      event(new Event.Lost(topic(TANKS.get(random.nextInt(2)), "redox-a")), "redox-a");
    } else if (what < 926) {
      undelivered(TANKS.get(random.nextInt(2)));
    } else if (what < 934) {
      clockChanges();
    } else if (what < 948) {
      diskChanges();
    } else if (what < 955) {
      crashes();
    } else if (what < 994) {
      keeperActs();
    } else if (what < 997) {
      foreignReport(TANKS.get(random.nextInt(2)));
    } else {
      aDayPasses();
    }
  }

  private void waterChanges(Water water) {
    switch (random.nextInt(8)) {
      case 0 -> water.redox = 395 + random.nextInt(10);
      case 1 -> water.redox = 418 + random.nextInt(10);
      case 2 -> water.redox = 335 + random.nextInt(35);
      case 3 -> water.air = random.nextInt(6);
      case 4 -> water.mute = random.nextInt(3) == 0;
      case 5 -> water.junk = random.nextInt(3) == 0;
      case 6 -> water.deviceMute = random.nextInt(3) == 0;
      default -> calms(water);
    }
  }

  private static void calms(Water water) {
    water.redox = 320;
    water.air = 5;
    water.mute = false;
    water.junk = false;
    water.deviceMute = false;
  }

  private void linkFlaps() {
    link(!linkUp);
    passes(random.nextInt(5));
    if (!linkUp && random.nextInt(4) != 0) {
      link(true);
    }
  }

  private void link(boolean up) {
    if (!up && random.nextInt(2) == 0) {
      oracles.values().forEach(Oracle::losesMessages);
    }
    linkUp = up;
    for (Oracle oracle : oracles.values()) {
      oracle.link(up);
      if (up) {
        oracle.doubtsAll(mono);
      }
    }
    interrupted = true;
    event(up ? new Event.LinkUp() : new Event.LinkDown("flap"));
  }

  private void standsStill() {
    passes(5 + random.nextInt(60));
    oracles.values().forEach(oracle -> oracle.doubtsAll(mono));
    interrupted = true;
    event(new Event.Stalled(TimeUnit.SECONDS.toNanos(5)));
  }

  private void undelivered(String tank) {
    event(new Event.Undelivered(tank, "full"));
  }

  private void clockChanges() {
    if (trusted) {
      long by =
          random.nextInt(3) == 0 ? random.nextInt(200_000) - 100_000 : random.nextInt(4000) - 2000;
      wall = wall.plusSeconds(by);
      trusted = false;
      event(new Event.ClockChanged("stepped"));
      passes(random.nextInt(20));
    }
    if (random.nextInt(4) != 0) {
      trusted = true;
      if (clockIsHonest) {
        wall = began.plusNanos(real);
      }
      event(new Event.ClockChanged("trusted"));
    }
  }

  private void diskChanges() {
    Bench.Disk next = Bench.Disk.values()[random.nextInt(3)];
    if (random.nextInt(3) != 0) {
      next = Bench.Disk.WORKS;
    }
    disk = next;
    while (disk == Bench.Disk.WORKS && !hanging.isEmpty()) {
      Effect.Write write = hanging.poll();
      inForce(write.record());
      toCome.add(new Event.Synced(write.ticket()));
      synced = log.size();
    }
    comesIn();
  }

  private void crashes() {
    passes(random.nextInt(3) == 0 ? 20 + random.nextInt(300) : random.nextInt(3));
    if (random.nextInt(3) == 0) {
      boots++;
      mono = TimeUnit.SECONDS.toNanos(30);
      trusted = trusted && random.nextBoolean();
    }
    int kept = random.nextBoolean() ? log.size() : synced + random.nextInt(log.size() - synced + 1);
    log.subList(kept, log.size()).clear();
    hanging.clear();
    toCome.clear();
    starts();
    link(true);
  }

  private void starts() {
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

  private void keeperActs() {
    String tank = TANKS.get(random.nextInt(2));
    List<String> latched = List.copyOf(state.tanks().get(tank).memory().latches().keySet());
    String name = latched.isEmpty() ? "nothing" : latched.get(random.nextInt(latched.size()));
    if (!latched.isEmpty() && random.nextInt(3) == 0) {
      calms(waters.get(tank));
      roomOzone = 3;
    }
    event(
        new Event.Asked(
            KeeperActTest.request(
                ++requests, "reset", tank, name, "", "rosa", "id-" + requests, wall)));
  }

  /**
   * A report that is not true, or one from before. Where messages are slow none that says "off",
   * for that is taken for the confirmation of a rest that has not arrived yet.
   */
  private void foreignReport(String tank) {
    reports(tank, messagesAreSlow || random.nextBoolean());
  }

  private void aDayPasses() {
    if (random.nextInt(3) == 0) {
      long to = Duration.ofHours(24).toSeconds() - random.nextInt(7000);
      passes(to);
      oracles.values().forEach(oracle -> oracle.doubtsAll(mono));
      interrupted = true;
      event(new Event.Stalled(TimeUnit.SECONDS.toNanos(to)));
    }
  }

  private void everySensorSpeaks() {
    for (String tank : TANKS) {
      Water water = waters.get(tank);
      if (!water.mute) {
        speaks(tank, "redox-a", water.redox, water.junk);
        speaks(tank, "redox-b", water.redox + 3, false);
        speaks(tank, "skimmer-air", water.air, false);
      }
    }
    speaks("", "room-ozone", roomOzone, false);
  }

  private void speaks(String tank, String sensor, double value, boolean junk) {
    boolean isJunk = junk && random.nextInt(3) == 0;
    boolean retained = random.nextInt(40) == 0;
    String payload =
        isJunk
            ? JUNK[random.nextInt(JUNK.length)]
            : sensor.equals("redox-b") ? "{\"mv\":" + value + "}" : Double.toString(value);
    for (String heardBy : tank.isEmpty() ? TANKS : List.of(tank)) {
      oracles.get(heardBy).hears(sensor, isJunk ? null : value, retained, mono);
    }
    hear(tank.isEmpty() ? ROOM : topic(tank, sensor), payload, retained);
  }

  private static String topic(String tank, String sensor) {
    return "lab/"
        + tank
        + switch (sensor) {
          case "redox-a" -> "/redox/a";
          case "redox-b" -> "/redox/b";
          default -> "/air";
        };
  }

  private void hear(String topic, String payload, boolean retained) {
    byte[] bytes = payload.getBytes(StandardCharsets.UTF_8);
    event(new Event.Heard(new Reading(++arrivals, topic, bytes, retained, now())));
  }

  private void reports(String tank, boolean on) {
    hear("lab/" + tank + "/ozone/state", "{\"on\":" + on + "}", false);
  }

  // Time, and what is in force.

  private Moment now() {
    return new Moment(wall, mono, trusted);
  }

  private void passes(long seconds) {
    long nanos = TimeUnit.SECONDS.toNanos(seconds) + random.nextInt(1_000_000_000);
    for (long left = nanos; left > 0; ) {
      boolean busy = oracles.values().stream().anyMatch(oracle -> oracle.isBusy(real));
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
      if (oracle.delivers(real) && linkUp && !waters.get(oracle.tank).deviceMute) {
        reports(oracle.tank, oracle.isOn(real));
      }
    }
  }

  private void inForce(AuditRecord record) {
    oracles.values().forEach(oracle -> oracle.durable(record));
  }

  // Steps.

  private void event(Event event, String... lostSensor) {
    if (event instanceof Event.Lost lost) {
      oracles.get(lost.topic().split("/")[1]).loses(lostSensor[0]);
    }
    toCome.add(event);
    comesIn();
    interrupted = false;
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
      String about = about(event);
      if (about.isEmpty() || about.equals(oracle.tank)) {
        boolean hit = interrupted || event instanceof Event.Undelivered;
        oracle.afterStep(wall, trusted, mono, hit);
      }
    }
  }

  /** The tank that an event is about; empty for all of them. */
  private static String about(Event event) {
    String topic = "";
    if (event instanceof Event.Heard heard) {
      topic = heard.reading().topic();
    } else if (event instanceof Event.Lost lost) {
      topic = lost.topic();
    } else if (event instanceof Event.Undelivered undelivered) {
      return undelivered.tank();
    } else if (event instanceof Event.Synced || event instanceof Event.Unwritten) {
      return "one of them";
    }
    return topic.isEmpty() || topic.equals(ROOM) ? "" : topic.split("/")[1];
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
        oracles.get(command.tank()).commanded(command, wall, trusted, mono, real, delay);
        digest = 31 * digest + (command + "@" + mono).hashCode();
      } else if (effect instanceof Effect.Write write) {
        wrote = true;
        writes(write);
      }
    }
  }

  private void writes(Effect.Write write) {
    AuditRecord record = Lines.readBack(log.size() + 1L, write.record());
    digest = 31 * digest + write.record().toString().hashCode();
    if (!write.permits()) {
      log.add(record);
      inForce(record);
      if (record.kind() == Kind.RUN) {
        oracles.get(record.tank()).began(record);
      }
      if (disk == Bench.Disk.WORKS && hanging.isEmpty() && random.nextInt(4) == 0) {
        synced = log.size();
      }
    } else if (disk == Bench.Disk.FULL) {
      toCome.add(new Event.Unwritten(write.ticket(), "no space left"));
    } else if (disk == Bench.Disk.HANGS || !hanging.isEmpty()) {
      log.add(record);
      hanging.add(write);
    } else {
      log.add(record);
      synced = log.size();
      inForce(record);
      toCome.add(new Event.Synced(write.ticket()));
    }
  }
}

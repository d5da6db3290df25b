package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.gate.Command;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.sensing.Reading;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.concurrent.TimeUnit;

/**
 * A bench on which the whole core runs with time in the test's hand: sensors that say the same
 * every second, generators that obey (or not), a disk that syncs (or not), and a diary of all that
 * came out. After every step it holds the memory against what recovery would make of the records.
 */
final class Bench {
  static final Instant WINDOW_OPENS = Instant.parse("2026-01-15T01:30:00Z");
  static final Instant WINDOW_CLOSES = Instant.parse("2026-01-15T03:00:00Z");

  /** What the disk does with records that permit something. */
  enum Disk {
    WORKS,
    FULL,
    /** It takes its time: until {@link #syncs()}. */
    HANGS
  }

  /** One generator: when it runs, by real time. */
  static final class Generator {
    boolean welded;
    long onUntil;
    long onNanos;
    final List<long[]> spans = new ArrayList<>();

    boolean on(long real) {
      return welded || onUntil > real;
    }

    private void passes(long from, long to) {
      long end = welded ? to : Math.min(to, onUntil);
      if (end > from) {
        onNanos += end - from;
        spans.add(new long[] {from, end});
      }
    }
  }

  final List<AuditRecord> records = new ArrayList<>();
  final List<Command> commands = new ArrayList<>();
  final List<Effect.Tell> told = new ArrayList<>();
  final List<Effect.Answer> answers = new ArrayList<>();

  /** What each topic says once a second. */
  final Map<String, String> world = new LinkedHashMap<>();

  /** Topics that say nothing. */
  final Set<String> mute = new TreeSet<>();

  final Map<String, Generator> generators = new TreeMap<>();
  Disk disk = Disk.WORKS;
  boolean trusted = true;
  Site site;
  SiteState state;
  Instant wall;
  long mono = TimeUnit.HOURS.toNanos(1);

  /** When the core wants to be asked again at the latest, monotonic. */
  long wakeNanos;

  /** Time since the bench began, whatever the clocks say, ns. */
  long real;

  private final ArrayDeque<Event> toCome = new ArrayDeque<>();
  private final List<AuditRecord> unsynced = new ArrayList<>();
  private final ArrayDeque<Effect.Write> hanging = new ArrayDeque<>();
  private SiteMemory folded;
  private int foldedRecords;
  private boolean linkUp;
  private long arrivals;
  private int answered;
  private int boots = 1;

  Bench(SiteSpec spec, Instant start) {
    wall = start;
    site = new Site(spec);
    for (TankSpec tank : spec.tanks()) {
      generators.put(tank.name(), new Generator());
      says(tank.sensors().get(0).topic(), "320");
      says(tank.sensors().get(1).topic(), "{\"mv\":323}");
      says(tank.sensors().get(2).topic(), "5.0");
    }
    says("lab/gallery/ozone", "3");
    folded = SiteMemory.BLANK.knowing(spec.tanks());
    start(SiteMemory.BLANK);
  }

  /** A bench with one tank, connected, an hour before its window opens. */
  static Bench lagoon() {
    Bench bench = new Bench(Specs.site(Specs.lagoon()), WINDOW_OPENS.minusSeconds(3600));
    bench.connect();
    return bench;
  }

  /** The generator of the only tank. */
  Generator generator() {
    return generators.values().iterator().next();
  }

  String boot() {
    return "boot-" + boots;
  }

  Moment now() {
    return new Moment(wall, mono, trusted);
  }

  TankMemory memory() {
    return memory("lagoon");
  }

  TankMemory memory(String tank) {
    return state.remembered().tank(tank);
  }

  // Time.

  void passes(Duration time) {
    generators.values().forEach(g -> g.passes(real, real + time.toNanos()));
    real += time.toNanos();
    wall = wall.plus(time);
    mono += time.toNanos();
  }

  void passesUntil(Instant instant) {
    passes(Duration.between(wall, instant));
  }

  /** The wall clock jumps, and is not trusted after that. */
  void stepsClock(Duration by) {
    wall = wall.plus(by);
    trusted = false;
    event(new Event.ClockChanged("stepped by " + by));
  }

  void trustsClock() {
    trusted = true;
    event(new Event.ClockChanged("trusted"));
  }

  // Lives of the daemon.

  private void start(SiteMemory memory) {
    Site.Result result = site.boot(memory, boot(), "", true, Map.of(), now());
    state = result.state();
    linkUp = false;
    carryOut(result.effects());
    comesIn();
  }

  /** The daemon is killed, and starts again from its records after a while of the same boot. */
  void restarts(Duration after) {
    passes(after);
    dies(false);
  }

  /** As {@link #restarts}, and what was not yet known to be on disk is lost. */
  void restartsWithLoss(Duration after) {
    passes(after);
    dies(true);
  }

  /** The machine boots; its monotonic clock begins anew. */
  void reboots(Duration after) {
    reboots(after, wall.plus(after));
  }

  /** As {@link #reboots(Duration)}, and the wall clock says what it likes. */
  void reboots(Duration after, Instant clockSays) {
    passes(after);
    wall = clockSays;
    mono = TimeUnit.MINUTES.toNanos(1);
    boots++;
    dies(false);
  }

  private void dies(boolean loses) {
    if (loses && !unsynced.isEmpty()) {
      int first = records.indexOf(unsynced.get(0));
      records.subList(first, records.size()).clear();
    }
    unsynced.clear();
    hanging.clear();
    toCome.clear();
    fold();
    start(folded);
  }

  // Events.

  /** One event and what follows from it at once. */
  void event(Event event) {
    toCome.add(event);
    comesIn();
  }

  private void comesIn() {
    while (!toCome.isEmpty()) {
      Event event = toCome.poll();
      if (event instanceof Event.LinkUp || event instanceof Event.LinkDown) {
        linkUp = event instanceof Event.LinkUp;
      }
      Site.Result result = site.step(state, event, now());
      state = result.state();
      wakeNanos = result.wakeNanos();
      carryOut(result.effects());
    }
    if (unsynced.isEmpty() && foldedRecords < records.size()) {
      fold();
      assertThat(Checkpoint.of(folded))
          .as("what recovery makes of the records")
          .isEqualTo(Checkpoint.of(state.remembered()));
    }
  }

  private void fold() {
    while (foldedRecords < records.size()) {
      folded = folded.apply(records.get(foldedRecords++));
    }
  }

  private void carryOut(List<Effect> effects) {
    boolean wrote = false;
    for (Effect effect : effects) {
      if (effect instanceof Effect.Send send) {
        assertThat(wrote).as("a command after a record").isFalse();
        sends(send.command());
      } else if (effect instanceof Effect.Write write) {
        wrote = true;
        writes(write);
      } else if (effect instanceof Effect.Tell tell) {
        told.add(tell);
      } else if (effect instanceof Effect.Answer answer) {
        answers.add(answer);
      }
    }
  }

  private void sends(Command command) {
    commands.add(command);
    if (linkUp) {
      generators.get(command.tank()).onUntil =
          real + TimeUnit.SECONDS.toNanos(command.leaseSeconds());
    }
  }

  private void writes(Effect.Write write) {
    if (!write.permits()) {
      records.add(write.record());
    } else if (disk == Disk.FULL) {
      toCome.add(new Event.Unwritten(write.ticket(), "no space left"));
    } else {
      records.add(write.record());
      if (disk == Disk.HANGS) {
        unsynced.add(write.record());
        hanging.add(write);
      } else {
        toCome.add(new Event.Synced(write.ticket()));
      }
    }
  }

  /** What the disk held back is on it now. */
  void syncs() {
    disk = Disk.WORKS;
    unsynced.clear();
    hanging.forEach(write -> toCome.add(new Event.Synced(write.ticket())));
    hanging.clear();
    comesIn();
  }

  /** What the disk held back cannot be written. */
  void failsToWrite() {
    disk = Disk.FULL;
    records.removeAll(unsynced);
    unsynced.clear();
    hanging.forEach(write -> toCome.add(new Event.Unwritten(write.ticket(), "no space left")));
    hanging.clear();
    comesIn();
  }

  void connect() {
    event(new Event.LinkUp());
    passes(Duration.ofSeconds(3));
  }

  void hear(String topic, String payload) {
    event(new Event.Heard(reading(topic, payload, false)));
  }

  void hearRetained(String topic, String payload) {
    event(new Event.Heard(reading(topic, payload, true)));
  }

  Reading reading(String topic, String payload, boolean retained) {
    return new Reading(
        ++arrivals, topic, payload.getBytes(StandardCharsets.UTF_8), retained, now());
  }

  Bench says(String topic, String payload) {
    world.put(topic, payload);
    return this;
  }

  Bench redox(double a, double b) {
    says("lab/lagoon/redox/a", Double.toString(a));
    return says("lab/lagoon/redox/b", "{\"mv\":" + b + "}");
  }

  /** All sensors once a second, and the devices' answers, for some seconds. */
  void live(int seconds) {
    for (int i = 0; i < seconds; i++) {
      devicesAnswer();
      sensorsSpeak();
      passes(Duration.ofSeconds(1));
      event(new Event.Tick());
    }
  }

  /** One topic speaks ten times a second; the core is asked only when it wants to be. */
  void onlyHears(String topic, Duration time) {
    for (long end = mono + time.toNanos(); mono < end; ) {
      hear(topic, world.get(topic));
      long next = mono + TimeUnit.MILLISECONDS.toNanos(100);
      if (wakeNanos < next) {
        passes(Duration.ofNanos(wakeNanos - mono));
        event(new Event.Tick());
      }
      passes(Duration.ofNanos(next - mono));
    }
  }

  void liveUntil(Instant instant) {
    live(Math.toIntExact(Duration.between(wall, instant).toSeconds()));
  }

  /** Lives for two seconds from the opening of the window, so that a wanted run has begun. */
  void windowOpens() {
    passesUntil(WINDOW_OPENS.minusSeconds(3));
    live(5);
  }

  void steady(int seconds, double redoxA, double redoxB) {
    redox(redoxA, redoxB);
    live(seconds);
  }

  /** Every sensor that is not mute. */
  void sensorsSpeak() {
    world.keySet().stream()
        .filter(topic -> !mute.contains(topic))
        .forEach(topic -> hear(topic, world.get(topic)));
  }

  /** One answer to every command since the last time. */
  void devicesAnswer() {
    while (answered < commands.size()) {
      Command command = commands.get(answered++);
      String topic = command.topic().replace("/set", "/state");
      boolean on = command.runs() || generators.get(command.tank()).welded;
      if (linkUp && !mute.contains(topic)) {
        hear(topic, "{\"on\":" + on + "}");
      }
    }
  }

  // What came of it.

  boolean runs() {
    return runs("lagoon");
  }

  boolean runs(String tank) {
    return state.tanks().get(tank).lease() != null;
  }

  List<AuditRecord> records(Kind kind) {
    return records.stream().filter(record -> record.kind() == kind).toList();
  }

  AuditRecord last(Kind kind) {
    return records(kind).stream().reduce((first, second) -> second).orElseThrow();
  }

  List<Object> field(Kind kind, String name) {
    return records(kind).stream().map(record -> record.fields().get(name)).toList();
  }

  /** What a topic below the site's says last, as far as it was told. */
  Map<String, Object> told(String topic) {
    return told.stream()
        .filter(tell -> tell.topic().equals(topic))
        .reduce((first, second) -> second)
        .map(Effect.Tell::content)
        .orElseThrow();
  }
}

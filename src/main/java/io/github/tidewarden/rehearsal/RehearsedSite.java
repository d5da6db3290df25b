package io.github.tidewarden.rehearsal;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.BinMemory;
import io.github.tidewarden.control.Effect;
import io.github.tidewarden.control.Event;
import io.github.tidewarden.control.Request;
import io.github.tidewarden.control.SiteMemory;
import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.gate.Command;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.ClockSource;
import io.github.tidewarden.sensing.Reading;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.OptionalLong;
import java.util.SplittableRandom;
import java.util.concurrent.TimeUnit;
import java.util.function.Consumer;
import java.util.function.Function;
import java.util.function.Predicate;
import org.jspecify.annotations.Nullable;

/**
 * A simulated site and its daemon, joined by a simulated broker, in virtual time; the same seed
 * gives the same night to the last byte.
 */
final class RehearsedSite {

  /** The world's own monotonic clock at the start, which no boot of a board touches. */
  private static final long WORLD_START = TimeUnit.MINUTES.toNanos(5);

  /** After how long a message that went nowhere is given up by the real link. */
  private static final long UNACKNOWLEDGED_NANOS = TimeUnit.SECONDS.toNanos(2);

  /** After how long a device has said what it made of a command. */
  private static final long ANSWERED_NANOS = TimeUnit.SECONDS.toNanos(10);

  /** A wall clock that is off by no more is right, see {@code ClockWatch.MOST_DRIFT}. */
  static final Duration RIGHT_WITHIN = Duration.ofSeconds(2);

  private final VirtualTime time = new VirtualTime();
  private final Pace pace;
  private long commandedNanos = -ANSWERED_NANOS;
  private final SiteRig rig;
  private final SimulatedBoard board;
  private final SimulatedBroker broker;
  private final RehearsedDaemon daemon;
  private final Judge judge;
  private final Consumer<String> running;
  private long arrivals;
  private long requests;

  /**
   * How often the sensors speak.
   *
   * @param period from one reading of every sensor to the next
   * @param quiet the same while nothing can happen, and how often the daemon is then asked
   * @param lazy whether a sensor that need not speak so often speaks three times within its limit
   * @param busy whether something can happen at a wall time
   */
  record Pace(Duration period, Duration quiet, boolean lazy, Predicate<Instant> busy) {
    Duration at(Instant wall) {
      return busy.test(wall) ? period : quiet;
    }
  }

  /**
   * A site at rest, its daemon just started.
   *
   * @param spec its configuration
   * @param models the figures of each tank
   * @param seed of all that is drawn
   * @param start the wall time of the start
   * @param pace how often the sensors speak
   * @param judge watches over what must never happen
   * @param audience hears each record
   * @param running hears the tank of each run that is commanded
   */
  RehearsedSite(
      SiteSpec spec,
      Function<TankSpec, TankModel> models,
      long seed,
      Instant start,
      Pace pace,
      Judge judge,
      Consumer<AuditRecord> audience,
      Consumer<String> running) {
    this.pace = pace;
    this.running = running;
    this.judge = judge;
    SplittableRandom random = new SplittableRandom(seed);
    rig = new SiteRig(spec.tanks(), models, random.nextLong(), WORLD_START);
    board = new SimulatedBoard(time, start, ClockSource.SYNCHRONISED);
    broker = new SimulatedBroker(time, random.split(), new Ends());
    daemon =
        new RehearsedDaemon(
            spec, time, board, random.split(), this::longestSleepNanos, new World(audience));
    daemon.start();
    broker.connect();
    time.at(0, this::readings);
  }

  /** The daemon's loop comes round once a second; where nothing runs, or just did, it need not. */
  private long longestSleepNanos() {
    boolean justDid = time.nowNanos() - commandedNanos < ANSWERED_NANOS;
    if (justDid || rig.nextDropOutNanos().isPresent()) {
      return TimeUnit.SECONDS.toNanos(1);
    }
    return pace.at(board.trueWall()).toNanos();
  }

  /** The true time, on the world's own clocks; trusted if the board's wall clock is right. */
  Moment now() {
    return new Moment(
        board.trueWall(), worldNanos(), board.wrongBy().abs().compareTo(RIGHT_WITHIN) <= 0);
  }

  private long worldNanos() {
    return WORLD_START + time.nowNanos();
  }

  /** The simulated world as it is now. */
  SiteRig rig() {
    rig.advanceTo(worldNanos());
    return rig;
  }

  VirtualTime time() {
    return time;
  }

  SimulatedBoard board() {
    return board;
  }

  SimulatedBroker broker() {
    return broker;
  }

  RehearsedDaemon daemon() {
    return daemon;
  }

  /** What is remembered. */
  SiteMemory memory() {
    return daemon.memory();
  }

  /** Goes on to this true wall time. */
  void until(Instant instant) {
    time.until(time.nowNanos() + Duration.between(board.trueWall(), instant).toNanos());
  }

  /** A keeper asks for something; the number under which it is answered. */
  long asks(String json) {
    long number = ++requests;
    daemon.event(new Event.Asked(new Request(number, json.getBytes(StandardCharsets.UTF_8))));
    return number;
  }

  /** What a keeper was answered; null for nothing yet. */
  Effect.@Nullable Answer answer(long number) {
    return daemon.answer(number);
  }

  // The daemon's life.

  /** The process ends; what it had connected is gone with it. */
  void kill() {
    daemon.kill();
  }

  /** The board loses its power, and with it the daemon. */
  void losePower() {
    daemon.losePower();
  }

  /** The same, unless it has lost it already in that life of the daemon. */
  void losePower(int life) {
    if (daemon.life() == life) {
      losePower();
    }
  }

  /** The process starts again. */
  void starts() {
    if (!daemon.alive()) {
      String altered = altered();
      daemon.start();
      judge.remembers(daemon.memory(), altered, now());
      broker.connect();
    }
  }

  /** The first line of the audit that is not what was written there; empty for none. */
  String altered() {
    try {
      return JudgedChain.altered(daemon.disk());
    } catch (IOException e) {
      return ""; // what cannot be read cannot be judged
    }
  }

  /** Whether the daemon lives, hears the broker and knows what time it is. */
  boolean awake() {
    return daemon.alive() && broker.isUp() && daemon.now().trusted();
  }

  /** Whether a keeper has confirmed the new water of a tank's bin, and it has mixed by now. */
  boolean hasNewWater(TankSpec tank) {
    ExchangeSpec exchange = tank.exchange();
    if (exchange == null) {
      return true;
    }
    BinMemory bin = memory().bin(exchange.bin().name());
    BinMemory.Batch batch = bin.batch();
    return batch != null
        && (bin.mixed()
            || batch.mixed(board.bootId(), daemon.now()).toNanos() >= exchange.bin().mixNanos());
  }

  /** A device loses its own power, or has it again. */
  void power(String tank, String device, boolean given) {
    rig().tank(tank).power(device, given);
    reports();
  }

  /** Somebody else speaks to a device. */
  void foreign(String topic, String payload) {
    rig().command(topic, payload, worldNanos());
    reports();
  }

  /** A bit of a dead daemon's audit turns round. */
  void flipsABit(SplittableRandom random) {
    SimulatedDisk disk = daemon.disk();
    List<String> names;
    try {
      names = disk.list();
    } catch (IOException e) {
      throw new IllegalStateException("a sound disk is listed", e);
    }
    if (!names.isEmpty()) {
      String name = names.get(random.nextInt(names.size()));
      disk.flip(name, random.nextLong(8L * disk.bytes(name).length));
    }
  }

  // The world.

  private void readings() {
    Duration next = pace.at(board.trueWall());
    time.in(next.toNanos(), this::readings);
    long least = pace.lazy() ? next.toNanos() : 0;
    for (SiteRig.Message message : rig().readings(board.trueWall(), worldNanos(), least)) {
      broker.toDaemon(message);
    }
    reports();
  }

  /** Devices tell what they do; asked again when one drops out by itself. */
  void reports() {
    rig().takeReports().forEach(broker::toDaemon);
    OptionalLong next = rig.nextDropOutNanos();
    if (next.isPresent()) {
      time.at(next.getAsLong() - WORLD_START, () -> rig().takeReports().forEach(broker::toDaemon));
    }
  }

  private final class Ends implements SimulatedBroker.Ends {
    @Override
    public void daemonHears(SiteRig.Message message, boolean retained) {
      if (!daemon.alive()) {
        return;
      }
      judge.hears(message, retained, now());
      daemon.event(
          new Event.Heard(
              new Reading(
                  ++arrivals,
                  message.topic(),
                  message.payload().getBytes(StandardCharsets.UTF_8),
                  retained,
                  new Moment(board.wall(), board.monoNanos(), daemon.now().trusted()))));
    }

    @Override
    public void deviceHears(String topic, String payload) {
      rig.command(topic, payload, worldNanos());
      reports();
      judge.looks(rig, now());
    }

    @Override
    public void linkUp() {
      daemon.event(new Event.LinkUp());
    }

    @Override
    public void linkDown(String why) {
      judge.unheard();
      daemon.event(new Event.LinkDown(why));
    }
  }

  private final class World implements RehearsedDaemon.World {
    private final Consumer<AuditRecord> audience;

    World(Consumer<AuditRecord> audience) {
      this.audience = audience;
    }

    @Override
    public void commanded(Command command, boolean afterRecord) {
      commandedNanos = time.nowNanos();
      judge.commanded(command, afterRecord, now());
      if (command.runs()) {
        running.accept(command.tank());
      }
      if (!broker.toDevice(command) && command.runs()) {
        time.in(
            UNACKNOWLEDGED_NANOS,
            () -> daemon.event(new Event.Undelivered(command.tank(), "not acknowledged")));
      }
    }

    @Override
    public void takes(long number, Event event) {
      judge.takes(number, event, now());
    }

    @Override
    public void written(AuditRecord record) {
      audience.accept(record);
      judge.written(record);
    }

    @Override
    public void durable(AuditRecord record) {
      judge.durable(record, now());
    }

    @Override
    public void told(Effect.Tell tell) {
      // Nobody listens to it in a rehearsal.
    }

    @Override
    public void stepped() {
      judge.stepped(now());
    }

    @Override
    public void started() {
      judge.restarted(now());
    }

    @Override
    public void ended() {
      broker.forget();
    }
  }
}

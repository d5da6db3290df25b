package io.github.tidewarden.rehearsal;

import io.github.tidewarden.config.Drill;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Effect;
import io.github.tidewarden.control.Event;
import io.github.tidewarden.control.Request;
import io.github.tidewarden.control.SiteMemory;
import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.gate.Command;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.ClockSource;
import io.github.tidewarden.sensing.Reading;
import java.nio.charset.StandardCharsets;
import java.time.Instant;
import java.util.HashSet;
import java.util.OptionalLong;
import java.util.Set;
import java.util.SplittableRandom;
import java.util.concurrent.TimeUnit;
import java.util.function.Consumer;
import org.jspecify.annotations.Nullable;

/**
 * The daemon at a simulated site in virtual time, which a drill plays with. Everything that the
 * drill does not name is as on a typical tank. Messages and the disk take their time, drawn by the
 * seed.
 */
final class DrillSite implements RehearsedDaemon.World {

  /** Who looks on. */
  interface Onlooker {
    /** A record was written. */
    void written(long nanos, AuditRecord record);

    /** A record is on the disk, so that what it permits takes effect now. */
    void synced();

    /** Something of the daemon's own was published. */
    void told(long nanos, Effect.Tell tell);

    /** A device was told something. */
    void commanded(Command command);

    /** Something has happened. */
    void looks(long nanos);
  }

  private static final long LEAST_MESSAGE_NANOS = TimeUnit.MILLISECONDS.toNanos(1);
  private static final long MOST_MESSAGE_NANOS = TimeUnit.MILLISECONDS.toNanos(20);
  private static final long CORE_SLEEPS_NANOS = TimeUnit.SECONDS.toNanos(1);

  private final VirtualTime time = new VirtualTime();
  private final SplittableRandom random;
  private final SimulatedBoard board;
  private final RehearsedDaemon daemon;
  private final SiteRig rig;
  private final DrillSenses senses;
  private final DrillTurns turns;
  private final Onlooker onlooker;
  private final Set<Long> unheard = new HashSet<>();
  private boolean linkUp = true;
  private long toDaemonNanos;
  private long toDevicesNanos;
  private long arrivals;
  private long requests;

  /**
   * A site at rest, its daemon about to start.
   *
   * @param spec its configuration
   * @param source what vouches for its clock
   * @param drill what is played
   */
  DrillSite(SiteSpec spec, ClockSource source, Drill drill, Onlooker onlooker) {
    this.onlooker = onlooker;
    random = new SplittableRandom(drill.seed());
    board = new SimulatedBoard(time, drill.start(), source);
    board.timeService(false);
    if (drill.clockTrusted()) {
      board.isShown();
    }
    rig = new SiteRig(spec.tanks(), TankModel::typical, random.nextLong(), board.monoNanos());
    daemon = new RehearsedDaemon(spec, time, board, random.split(), () -> CORE_SLEEPS_NANOS, this);
    senses = new DrillSenses(drill, time, this, this::speaks);
    turns = new DrillTurns(drill, rig, senses, this);
    for (Drill.Given given : drill.given()) {
      time.at(
          given.atNanos(),
          () -> {
            turns.take(given);
            onlooker.looks(time.nowNanos());
          });
    }
  }

  /** Lives through it up to this time since the start; once only. */
  void live(long endNanos) {
    daemon.start();
    daemon.event(new Event.LinkUp());
    senses.begin();
    time.until(endNanos);
  }

  /** What is remembered. */
  SiteMemory memory() {
    return daemon.memory();
  }

  /** The simulated world as it was when something happened last. */
  SiteRig rig() {
    return rig;
  }

  // What a drill does to it.

  /** The simulated world, now. */
  SiteRig rigNow() {
    rig.advanceTo(board.monoNanos());
    return rig;
  }

  /** Monotonic time, ns. */
  long mono() {
    return board.monoNanos();
  }

  /** The wall clock jumps, or is shown to be right; the daemon sees it at once. */
  void clock(Consumer<SimulatedBoard> change) {
    change.accept(board);
    daemon.event(new Event.Tick());
  }

  /** The broker is lost, or reached again. */
  void link(boolean up) {
    if (up == linkUp) {
      return;
    }
    linkUp = up;
    daemon.event(up ? new Event.LinkUp() : new Event.LinkDown("the drill has cut the link"));
  }

  /** A keeper asks for something; nobody hears it without a broker. */
  void asks(byte[] request) {
    long number = ++requests;
    if (linkUp) {
      daemon.event(new Event.Asked(new Request(number, request)));
    } else {
      unheard.add(number);
    }
  }

  /** What a keeper was answered; null for nothing yet. */
  Effect.@Nullable Answer answer(long request) {
    return unheard.contains(request)
        ? new Effect.Answer(request, false, "nobody hears it without a broker")
        : daemon.answer(request);
  }

  /** The wall clock as the keeper's own device shows it: the daemon's. */
  Instant wall() {
    return board.wall();
  }

  // The world.

  /** Reports of devices that are due, and of those that will drop out. */
  void reports() {
    rigNow().takeReports().forEach(this::arrives);
    OptionalLong next = rig.nextDropOutNanos();
    if (next.isPresent()) {
      time.in(
          next.getAsLong() - board.monoNanos(),
          () -> {
            rigNow().takeReports().forEach(this::arrives);
            onlooker.looks(time.nowNanos());
          });
    }
  }

  private void speaks(SiteRig.Message message) {
    arrives(message);
    reports();
  }

  /** A message is on its way to the daemon; none passes another on one connection. */
  private void arrives(SiteRig.Message message) {
    toDaemonNanos = Math.max(toDaemonNanos, time.nowNanos() + messageNanos());
    time.at(toDaemonNanos, () -> hears(message));
  }

  private void hears(SiteRig.Message message) {
    if (linkUp) {
      Moment arrival = new Moment(board.wall(), board.monoNanos(), daemon.now().trusted());
      byte[] payload = message.payload().getBytes(StandardCharsets.UTF_8);
      daemon.event(
          new Event.Heard(new Reading(++arrivals, message.topic(), payload, false, arrival)));
    }
  }

  private long messageNanos() {
    return random.nextLong(LEAST_MESSAGE_NANOS, MOST_MESSAGE_NANOS);
  }

  // The daemon.

  @Override
  public void commanded(Command command, boolean afterRecord) {
    onlooker.commanded(command);
    if (!linkUp) {
      return;
    }
    toDevicesNanos = Math.max(toDevicesNanos, time.nowNanos() + messageNanos());
    time.at(
        toDevicesNanos,
        () -> {
          rig.command(command.topic(), command.payload(), board.monoNanos());
          reports();
          onlooker.looks(time.nowNanos());
        });
  }

  @Override
  public void takes(long number, Event event) {
    // A drill tells what was so, not of which event.
  }

  @Override
  public void written(AuditRecord record) {
    onlooker.written(time.nowNanos(), record);
  }

  @Override
  public void durable(AuditRecord record) {
    onlooker.synced();
  }

  @Override
  public void told(Effect.Tell tell) {
    onlooker.told(time.nowNanos(), tell);
  }

  @Override
  public void stepped() {
    onlooker.looks(time.nowNanos());
  }

  @Override
  public void started() {
    // Once, at the beginning.
  }

  @Override
  public void ended() {
    // It never is, in a drill.
  }
}

package io.github.tidewarden.rehearsal;

import io.github.tidewarden.config.Drill;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Effect;
import io.github.tidewarden.control.Event;
import io.github.tidewarden.control.Request;
import io.github.tidewarden.control.Site;
import io.github.tidewarden.control.SiteMemory;
import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.SiteState;
import io.github.tidewarden.gate.Command;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.ClockSource;
import io.github.tidewarden.sensing.Reading;
import java.nio.charset.StandardCharsets;
import java.time.Instant;
import java.util.ArrayDeque;
import java.util.Map;
import java.util.OptionalLong;
import java.util.SplittableRandom;
import java.util.concurrent.TimeUnit;
import java.util.function.Consumer;

/**
 * The daemon's own core at a simulated site in virtual time, which a drill plays with. Everything
 * that the drill does not name is as on a typical tank. Messages and the disk take their time,
 * drawn by the seed.
 */
final class DrillSite {

  /** Who looks on. */
  interface Onlooker {
    /** A record was written. */
    void written(long nanos, AuditRecord record);

    /** A record that permits something is on the disk, so that it takes effect now. */
    void synced();

    /** Something of the daemon's own was published. */
    void told(long nanos, Effect.Tell tell);

    /** A device was told something. */
    void commanded(Command command);

    /** A keeper's request, by its number, was answered. */
    void answered(long request, boolean done, String what);

    /** Something has happened. */
    void looks(long nanos);
  }

  private static final long LEAST_MESSAGE_NANOS = TimeUnit.MILLISECONDS.toNanos(1);
  private static final long MOST_MESSAGE_NANOS = TimeUnit.MILLISECONDS.toNanos(20);
  private static final long LEAST_SYNC_NANOS = TimeUnit.MILLISECONDS.toNanos(3);
  private static final long MOST_SYNC_NANOS = TimeUnit.MILLISECONDS.toNanos(60);

  private final VirtualTime time = new VirtualTime();
  private final SplittableRandom random;
  private final DrillClocks clocks;
  private final Site site;
  private final SiteRig rig;
  private final Site.Result booted;
  private final DrillSenses senses;
  private final DrillTurns turns;
  private final Onlooker onlooker;
  private final ArrayDeque<Event> toCome = new ArrayDeque<>();
  private SiteState state;
  private Moment now;
  private boolean linkUp = true;
  private long tickAt = -1;
  private long toDaemonNanos;
  private long toDevicesNanos;
  private long arrivals;
  private long requests;

  /**
   * A site at rest, its daemon just started.
   *
   * @param spec its configuration
   * @param source what vouches for its clock
   * @param drill what is played
   */
  DrillSite(SiteSpec spec, ClockSource source, Drill drill, Onlooker onlooker) {
    this.onlooker = onlooker;
    random = new SplittableRandom(drill.seed());
    rig =
        new SiteRig(spec.tanks(), TankModel::typical, random.nextLong(), DrillClocks.MONO_AT_START);
    clocks = new DrillClocks(source, drill.start(), drill.clockTrusted());
    now = clocks.now();
    site = new Site(spec);
    booted = site.boot(SiteMemory.BLANK.knowing(spec.tanks()), "boot-1", "", true, Map.of(), now);
    state = booted.state();
    senses = new DrillSenses(rig, drill, time, this::speaks);
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
    carryOut(booted);
    event(new Event.LinkUp());
    senses.begin();
    time.until(endNanos);
  }

  /** What is remembered. */
  SiteMemory memory() {
    return state.remembered();
  }

  /** The simulated world as it was when something happened last. */
  SiteRig rig() {
    return rig;
  }

  // What a drill does to it.

  /** The simulated world, now. */
  SiteRig rigNow() {
    rig.advanceTo(mono());
    return rig;
  }

  /** Monotonic time, ns. */
  long mono() {
    return DrillClocks.MONO_AT_START + time.nowNanos();
  }

  /** The wall clock jumps, or is shown to be right; the daemon sees it at once. */
  void clock(Consumer<DrillClocks> change) {
    change.accept(clocks);
    event(new Event.Tick());
  }

  /** The broker is lost, or reached again. */
  void link(boolean up) {
    if (up == linkUp) {
      return;
    }
    linkUp = up;
    event(up ? new Event.LinkUp() : new Event.LinkDown("the drill has cut the link"));
  }

  /** A keeper asks for something; nobody hears it without a broker. */
  void asks(byte[] request) {
    long number = ++requests;
    if (linkUp) {
      event(new Event.Asked(new Request(number, request)));
    } else {
      onlooker.answered(number, false, "nobody hears it without a broker");
    }
  }

  /** The wall clock as the keeper's own device shows it: the daemon's. */
  Instant wall() {
    return clocks.wall(time.nowNanos());
  }

  // The world.

  /** Reports of devices that are due, and of those that will drop out. */
  void reports() {
    rigNow().takeReports().forEach(this::arrives);
    OptionalLong next = rig.nextDropOutNanos();
    if (next.isPresent()) {
      time.at(
          next.getAsLong() - DrillClocks.MONO_AT_START,
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
      observe();
      event(
          new Event.Heard(
              new Reading(
                  ++arrivals,
                  message.topic(),
                  message.payload().getBytes(StandardCharsets.UTF_8),
                  false,
                  now)));
    }
  }

  private long messageNanos() {
    return random.nextLong(LEAST_MESSAGE_NANOS, MOST_MESSAGE_NANOS);
  }

  // The daemon.

  /** Reads the clocks, as the control loop does in each cycle. */
  private void observe() {
    String changed = clocks.observe(time.nowNanos());
    now = clocks.now();
    if (!changed.isEmpty()) {
      toCome.add(new Event.ClockChanged(changed));
    }
  }

  private void event(Event first) {
    observe();
    toCome.add(first);
    while (!toCome.isEmpty()) {
      Site.Result result = site.step(state, toCome.remove(), now);
      state = result.state();
      carryOut(result);
    }
    onlooker.looks(time.nowNanos());
  }

  private void tick(long asked) {
    if (asked == tickAt) {
      event(new Event.Tick());
    }
  }

  private void carryOut(Site.Result result) {
    long wake = result.wakeNanos() - DrillClocks.MONO_AT_START;
    if (wake != tickAt) {
      tickAt = wake;
      time.at(wake, () -> tick(wake));
    }
    for (Effect effect : result.effects()) {
      if (effect instanceof Effect.Send send) {
        sends(send.command());
      } else if (effect instanceof Effect.Write write) {
        writes(write);
      } else if (effect instanceof Effect.Tell tell) {
        onlooker.told(time.nowNanos(), tell);
      } else if (effect instanceof Effect.Answer answer) {
        onlooker.answered(answer.request(), answer.done(), answer.what());
      }
    }
  }

  private void sends(Command command) {
    onlooker.commanded(command);
    if (!linkUp) {
      return;
    }
    String topic = command.topic();
    String payload = command.payload();
    toDevicesNanos = Math.max(toDevicesNanos, time.nowNanos() + messageNanos());
    time.at(
        toDevicesNanos,
        () -> {
          rig.command(topic, payload, mono());
          reports();
          onlooker.looks(time.nowNanos());
        });
  }

  private void writes(Effect.Write write) {
    onlooker.written(time.nowNanos(), write.record());
    if (write.permits()) {
      time.in(
          random.nextLong(LEAST_SYNC_NANOS, MOST_SYNC_NANOS),
          () -> {
            onlooker.synced();
            event(new Event.Synced(write.ticket()));
          });
    }
  }
}

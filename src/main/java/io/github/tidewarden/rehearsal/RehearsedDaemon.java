package io.github.tidewarden.rehearsal;

import io.github.tidewarden.audit.AuditListener;
import io.github.tidewarden.audit.AuditQueue;
import io.github.tidewarden.audit.Head;
import io.github.tidewarden.audit.Segments;
import io.github.tidewarden.audit.SitePast;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Effect;
import io.github.tidewarden.control.Event;
import io.github.tidewarden.control.Site;
import io.github.tidewarden.control.SiteMemory;
import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.SiteState;
import io.github.tidewarden.gate.Command;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.ClockEvent;
import io.github.tidewarden.schedule.ClockWatch;
import io.github.tidewarden.schedule.Nights;
import java.io.IOException;
import java.util.ArrayDeque;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.SplittableRandom;
import java.util.concurrent.TimeUnit;
import java.util.function.LongSupplier;
import org.jspecify.annotations.Nullable;

/**
 * The daemon in a rehearsal: its real core, its real audit and its real watch over the clocks, on a
 * simulated board and disk, in virtual time. It lives, stands still, dies and starts again as the
 * real one does; what joins threads there is one event after another here.
 */
final class RehearsedDaemon {

  /** What comes out of it. */
  interface World {
    /**
     * A command is sent.
     *
     * @param afterRecord whether a record was written before it in the same step
     */
    void commanded(Command command, boolean afterRecord);

    /** It takes its next event, counted from 1 on through all its lives. */
    void takes(long number, Event event);

    /** A record is written; it is not on the disk yet. */
    void written(AuditRecord record);

    /** A record is on the disk. */
    void durable(AuditRecord record);

    /** Something of its own is published. */
    void told(Effect.Tell tell);

    /** A step is done. */
    void stepped();

    /** It starts, or starts again; what it had heard is gone. */
    void started();

    /** It is dead. */
    void ended();
  }

  /** A cycle that comes this late means that the program stood still, as in the real loop. */
  private static final long STANDSTILL_NANOS = TimeUnit.SECONDS.toNanos(3);

  /** The core asks to be woken after this at the latest. */
  private static final long CORE_SLEEPS_NANOS = TimeUnit.SECONDS.toNanos(1);

  private static final long LEAST_SYNC_NANOS = TimeUnit.MILLISECONDS.toNanos(3);
  private static final long MOST_SYNC_NANOS = TimeUnit.MILLISECONDS.toNanos(60);

  /** Segments that are kept; a start reads the newest, and of others only how they begin. */
  private static final int SEGMENTS_KEPT = 8;

  private final Site site;
  private final SiteSpec spec;
  private final VirtualTime time;
  private final SimulatedBoard board;
  private final SplittableRandom random;
  private final World world;

  /** After how long it may be asked again at the latest, ns; while nothing can happen longer. */
  private final LongSupplier longestSleepNanos;

  private final ArrayDeque<Event> toCome = new ArrayDeque<>();
  private final Map<Long, Effect.Answer> answers = new LinkedHashMap<>();
  private SimulatedDisk disk = new SimulatedDisk();

  /** Whether records wait that the disk does not take; the mark of the real one. */
  private boolean behind;

  /** One number for each life, so that what was on its way to an earlier one is not heard. */
  private int life;

  private boolean alive;
  private boolean standing;
  private boolean handling;
  private @Nullable SiteState state;
  private @Nullable ClockWatch clock;
  private @Nullable AuditQueue<SiteMemory> queue;
  private @Nullable Moment now;

  /** What was handed to the audit and is not answered, by the number under which it was. */
  private final Map<Long, Effect.Write> writes = new LinkedHashMap<>();

  private long lastWrite;
  private boolean syncAsked;
  private long syncExtraNanos;
  private boolean diskFails;
  private long tickAt;
  private long lastCycleNanos;
  private long events;

  RehearsedDaemon(
      SiteSpec spec,
      VirtualTime time,
      SimulatedBoard board,
      SplittableRandom random,
      LongSupplier longestSleepNanos,
      World world) {
    this.spec = spec;
    this.time = time;
    this.board = board;
    this.random = random;
    this.longestSleepNanos = longestSleepNanos;
    this.world = world;
    site = new Site(spec.asSimulated());
  }

  // Life and death.

  /** Starts: reads the disk back, and takes its first step. */
  void start() {
    life++;
    alive = true;
    standing = false;
    toCome.clear();
    writes.clear();
    syncAsked = false;
    if (diskFails) {
      disk.failFromNowOn();
    }
    world.started();
    SitePast past = SitePast.of(disk, spec.tanks(), behind);
    queue = new AuditQueue<>(past.log(), AuditQueue.MOST_WAITING, new Answers(life));
    ClockWatch.Observation first = ClockWatch.start(board.source(), board.sample());
    clock = first.watch();
    now = first.now();
    lastCycleNanos = first.now().monoNanos();
    Site.Result booted =
        site.boot(
            past.memory(), board.bootId(), past.mended(), past.readable(), Map.of(), first.now());
    state = booted.state();
    carryOut(booted);
    world.stepped();
    ClockEvent event = first.event();
    if (event != null) {
      event(changed(event));
    }
  }

  /** The process is killed: what it has written is still known to the system. */
  void kill() {
    disk = disk.afterKill();
    ends();
  }

  /** The power goes: of what was not synced any part may be gone. */
  void losePower() {
    disk = disk.afterPowerCut(random);
    ends();
  }

  private void ends() {
    alive = false;
    answers.clear();
    life++;
    world.ended();
  }

  boolean alive() {
    return alive;
  }

  /** Which of its lives it is; it has another number when it is dead. */
  int life() {
    return life;
  }

  /** The program stands still, or goes on with what has come meanwhile. */
  void standStill(boolean still) {
    standing = still;
    if (!still && alive) {
      tick(life, tickAt);
    }
  }

  /** The disk as it is now; another one after each death. */
  SimulatedDisk disk() {
    return disk;
  }

  /** Every call of the disk fails, through all deaths, or none does any more. */
  void diskFails(boolean fails) {
    diskFails = fails;
    if (fails) {
      disk.failFromNowOn();
    } else {
      disk.heal();
    }
  }

  /** Every sync takes this much longer. */
  void slowDisk(long extraNanos) {
    syncExtraNanos = extraNanos;
  }

  /** How many events the core has taken so far. */
  long events() {
    return events;
  }

  /** What is remembered; not while it is dead. */
  SiteMemory memory() {
    return Objects.requireNonNull(state).remembered();
  }

  /** What a keeper was answered in this life; null for nothing yet. */
  Effect.@Nullable Answer answer(long number) {
    return answers.get(number);
  }

  /** The time at which it is now, as it knows it. */
  Moment now() {
    return Objects.requireNonNull(now);
  }

  // What it takes.

  /** Something happened; a daemon that is dead or stands still does not hear of it now. */
  void event(Event first) {
    if (!alive) {
      return;
    }
    toCome.add(first);
    if (handling || standing) {
      return;
    }
    handling = true;
    try {
      observe();
      while (!toCome.isEmpty()) {
        step(toCome.remove());
      }
    } finally {
      handling = false;
    }
  }

  /** As one cycle of the real loop begins: the clocks first, then a standstill. */
  private void observe() {
    ClockWatch.Observation observed = Objects.requireNonNull(clock).observe(board.sample());
    clock = observed.watch();
    now = observed.now();
    long late = time.nowNanos() - tickAt;
    long gap = observed.now().since(lastCycleNanos);
    lastCycleNanos = observed.now().monoNanos();
    ClockEvent event = observed.event();
    if (event != null) {
      toCome.addFirst(changed(event));
    }
    if (late > STANDSTILL_NANOS - CORE_SLEEPS_NANOS) {
      toCome.addFirst(new Event.Stalled(gap));
    }
  }

  private static Event changed(ClockEvent event) {
    return new Event.ClockChanged(
        event.kind() == ClockEvent.Kind.GAINED
            ? "the wall clock is trusted"
            : "the wall clock was stepped by " + event.stepMillis() + " ms and is not trusted");
  }

  private void step(Event event) {
    events++;
    world.takes(events, event);
    Site.Result result = site.step(Objects.requireNonNull(state), event, now());
    state = result.state();
    carryOut(result);
    world.stepped();
  }

  private void tick(int asking, long asked) {
    if (asking == life && asked == tickAt && alive && !standing) {
      event(new Event.Tick());
    }
  }

  private void carryOut(Site.Result result) {
    long sleep = Math.max(0, result.wakeNanos() - board.monoNanos());
    if (sleep >= CORE_SLEEPS_NANOS) {
      sleep = longestSleepNanos.getAsLong();
    }
    long wake = time.nowNanos() + sleep;
    if (wake != tickAt || wake <= time.nowNanos()) {
      int asking = life;
      tickAt = wake;
      time.at(wake, () -> tick(asking, wake));
    }
    boolean wrote = false;
    for (Effect effect : result.effects()) {
      if (effect instanceof Effect.Send send) {
        world.commanded(send.command(), wrote);
      } else if (effect instanceof Effect.Write write) {
        wrote = true;
        writes(write);
      } else if (effect instanceof Effect.Tell tell) {
        world.told(tell);
      } else if (effect instanceof Effect.Answer answer) {
        answers.put(answer.request(), answer);
      }
    }
  }

  // Its audit.

  private void writes(Effect.Write write) {
    world.written(write.record());
    writes.put(++lastWrite, write);
    Objects.requireNonNull(queue)
        .add(
            new AuditQueue.Entry(
                lastWrite,
                write.record(),
                Nights.nightOf(write.record().at(), spec.zone()),
                write.permits()),
            board.monoNanos());
    askToSync(random.nextLong(LEAST_SYNC_NANOS, MOST_SYNC_NANOS) + syncExtraNanos);
  }

  private void askToSync(long inNanos) {
    if (!syncAsked) {
      syncAsked = true;
      int asking = life;
      time.in(inNanos, () -> sync(asking));
    }
  }

  private void sync(int asking) {
    if (asking != life || !alive) {
      return;
    }
    syncAsked = false;
    AuditQueue<SiteMemory> waiting = Objects.requireNonNull(queue);
    try {
      waiting.work(board.monoNanos());
    } catch (SimulatedDisk.PowerLost lost) {
      losePower();
      return;
    }
    behind = waiting.trouble() != null || (behind && hasMore(waiting));
    if (waiting.trouble() == null) {
      prune();
    }
    if (hasMore(waiting)) {
      askToSync(Math.max(1, waiting.nanosUntilWork(board.monoNanos())));
    }
  }

  private boolean hasMore(AuditQueue<SiteMemory> waiting) {
    return waiting.nanosUntilWork(board.monoNanos()) != Long.MAX_VALUE;
  }

  private void prune() {
    try {
      List<String> names = Segments.names(disk);
      names.stream().limit(Math.max(0, names.size() - SEGMENTS_KEPT)).forEach(disk::delete);
    } catch (IOException e) {
      // What cannot be listed now is taken away after the next record.
    }
  }

  /** From the audit of one life into the same life of the daemon. */
  private final class Answers implements AuditListener {
    private final int of;

    Answers(int of) {
      this.of = of;
    }

    @Override
    public void synced(long number) {
      Effect.Write write = of == life ? writes.remove(number) : null;
      if (write != null) {
        world.durable(write.record());
        if (write.permits()) {
          event(new Event.Synced(write.ticket()));
        }
      }
    }

    @Override
    public void failed(long number, String why) {
      Effect.Write write = of == life ? writes.remove(number) : null;
      if (write != null && write.permits()) {
        event(new Event.Unwritten(write.ticket(), why));
      }
    }

    @Override
    public void head(Head head) {
      // Nobody listens to it in a rehearsal.
    }
  }
}

package io.github.tidewarden.rehearsal;

import io.github.tidewarden.audit.AuditLog;
import io.github.tidewarden.audit.AuditRecovery;
import io.github.tidewarden.audit.DirectoryFiles;
import io.github.tidewarden.audit.Fold;
import io.github.tidewarden.audit.Trace;
import io.github.tidewarden.audit.TraceEntry;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Checkpoint;
import io.github.tidewarden.control.Effect;
import io.github.tidewarden.control.Event;
import io.github.tidewarden.control.Request;
import io.github.tidewarden.control.Site;
import io.github.tidewarden.control.SiteMemory;
import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.SiteState;
import io.github.tidewarden.gate.Command;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.Nights;
import io.github.tidewarden.sensing.Reading;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayDeque;
import java.util.Map;
import java.util.OptionalLong;
import java.util.Set;
import java.util.SplittableRandom;
import java.util.TreeSet;
import java.util.concurrent.TimeUnit;

/**
 * The core at a simulated site in virtual time, with audit and trace in a state directory as the
 * daemon writes them.
 */
final class RecordedNight implements AutoCloseable {
  static final String DIGEST = "0".repeat(64);

  private static final long MONO_AT_START = TimeUnit.MINUTES.toNanos(5);
  private static final long PERIOD_NANOS = TimeUnit.SECONDS.toNanos(5);
  private static final Fold<SiteMemory> FOLD =
      new Fold<>() {
        @Override
        public SiteMemory apply(SiteMemory state, AuditRecord record) {
          return state.apply(record);
        }

        @Override
        public Map<String, Object> checkpoint(SiteMemory state) {
          return Checkpoint.of(state);
        }
      };

  /** Topics that say nothing. */
  final Set<String> mute = new TreeSet<>();

  private final Path stateDir;
  private final SiteSpec spec;
  private final Instant start;
  private final VirtualTime time = new VirtualTime();
  private final SplittableRandom random;
  private final SiteRig rig;
  private final Site site;
  private final ArrayDeque<Event> toCome = new ArrayDeque<>();
  private AuditLog<SiteMemory> log;
  private Trace trace;
  private SiteState state;
  private boolean handling;
  private int life;
  private long tickAt = -1;
  private long toDevicesNanos;
  private long arrivals;
  private long laid;

  RecordedNight(Path stateDir, SiteSpec spec, Instant start, long seed) {
    this.stateDir = stateDir;
    this.spec = spec;
    this.start = start;
    random = new SplittableRandom(seed);
    rig = new SiteRig(spec.tanks(), TankModel::typical, seed, MONO_AT_START);
    site = new Site(spec);
    DirectoryFiles files = new DirectoryFiles(stateDir.resolve("audit"));
    SiteMemory blank = SiteMemory.BLANK.knowing(spec.tanks());
    log = new AuditLog<>(files, AuditRecovery.recover(files), blank, FOLD);
    boot(blank);
    time.at(0, this::readings);
  }

  private void boot(SiteMemory memory) {
    life++;
    trace = new Trace(stateDir.resolve("trace"), "test", DIGEST, spec.name(), spec.zone());
    trace.start();
    Map<String, Object> fields = Map.of("config-digest", DIGEST);
    TraceEntry.Booted boot = new TraceEntry.Booted(memory, "boot-1", "", true, fields, now());
    trace.booted(boot);
    Site.Result booted =
        site.boot(memory, boot.boot(), boot.recovery(), boot.readable(), fields, now());
    state = booted.state();
    carryOut(booted);
    event(new Event.LinkUp());
  }

  private Moment now() {
    return new Moment(start.plusNanos(time.nowNanos()), MONO_AT_START + time.nowNanos(), true);
  }

  void until(Instant instant) {
    time.until(Duration.between(start, instant).toNanos());
  }

  /** The daemon is killed and starts again a second later. */
  void isKilled() throws IOException {
    life++;
    toCome.clear();
    log.sync();
    log.endSegment();
    trace.close(Duration.ofSeconds(20));
    time.until(time.nowNanos() + TimeUnit.SECONDS.toNanos(1));
    DirectoryFiles files = new DirectoryFiles(stateDir.resolve("audit"));
    SiteMemory memory = state.remembered();
    log = new AuditLog<>(files, AuditRecovery.recover(files), memory, FOLD);
    boot(memory);
  }

  /** A keeper asks for something; {@code sent} and {@code id} are put in. */
  void asks(String json) {
    String whole =
        "{\"sent\":\"" + now().wall() + "\",\"id\":\"" + ++arrivals + "\"," + json.substring(1);
    event(new Event.Asked(new Request(arrivals, whole.getBytes(StandardCharsets.UTF_8))));
  }

  private void readings() {
    time.in(PERIOD_NANOS, this::readings);
    rig.advanceTo(now().monoNanos());
    rig.readings(now().wall()).forEach(this::arrives);
    reports();
  }

  private void reports() {
    rig.takeReports().forEach(this::arrives);
    OptionalLong next = rig.nextDropOutNanos();
    if (next.isPresent()) {
      time.at(
          next.getAsLong() - MONO_AT_START,
          () -> {
            rig.advanceTo(now().monoNanos());
            rig.takeReports().forEach(this::arrives);
          });
    }
  }

  private void arrives(SiteRig.Message message) {
    if (mute.contains(message.topic())) {
      return;
    }
    time.in(
        random.nextLong(1_000_000, 20_000_000),
        () ->
            event(
                new Event.Heard(
                    new Reading(
                        ++arrivals,
                        message.topic(),
                        message.payload().getBytes(StandardCharsets.UTF_8),
                        false,
                        now()))));
  }

  private void event(Event first) {
    toCome.add(first);
    if (handling) {
      return;
    }
    handling = true;
    while (!toCome.isEmpty()) {
      Event event = toCome.remove();
      lays(event);
      Site.Result result = site.step(state, event, now());
      state = result.state();
      carryOut(result);
    }
    handling = false;
  }

  private void lays(Event event) {
    trace.happens(state, event, now());
    if (++laid % 2_000 == 0) { // virtual time is faster than any disk
      try {
        trace.awaitTaken();
      } catch (InterruptedException e) {
        throw new IllegalStateException(e);
      }
    }
  }

  private void carryOut(Site.Result result) {
    long wake = result.wakeNanos() - MONO_AT_START;
    int mine = life;
    tickAt = wake;
    time.at(
        wake,
        () -> {
          if (wake == tickAt && mine == life) {
            event(new Event.Tick());
          }
        });
    for (Effect effect : result.effects()) {
      if (effect instanceof Effect.Send send) {
        sends(send.command());
      } else if (effect instanceof Effect.Write write) {
        writes(write);
      }
    }
  }

  private void sends(Command command) {
    toDevicesNanos =
        Math.max(toDevicesNanos, time.nowNanos() + random.nextLong(1_000_000, 20_000_000));
    time.at(
        toDevicesNanos,
        () -> {
          rig.command(command.topic(), command.payload(), now().monoNanos());
          reports();
        });
  }

  private void writes(Effect.Write write) {
    int mine = life;
    try {
      log.append(write.record(), Nights.nightOf(write.record().at(), spec.zone()));
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
    if (write.permits()) {
      time.in(
          random.nextLong(3_000_000, 60_000_000),
          () -> {
            if (mine == life) {
              event(new Event.Synced(write.ticket()));
            }
          });
    }
  }

  @Override
  public void close() throws IOException {
    log.sync();
    log.close();
    trace.close(Duration.ofSeconds(20));
  }
}

package io.github.tidewarden.rehearsal;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Effect;
import io.github.tidewarden.control.Event;
import io.github.tidewarden.control.Request;
import io.github.tidewarden.control.Site;
import io.github.tidewarden.control.SiteMemory;
import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.SiteState;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.gate.Command;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.sensing.Reading;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayDeque;
import java.util.HashMap;
import java.util.Map;
import java.util.OptionalLong;
import java.util.SplittableRandom;
import java.util.concurrent.TimeUnit;
import java.util.function.Consumer;
import java.util.function.Function;
import org.jspecify.annotations.Nullable;

/**
 * The daemon's own core at a simulated site, in virtual time. Messages take some milliseconds each
 * way and a record some more until it is on the disk, drawn by the seed; the same seed gives the
 * same night to the last byte.
 */
final class RehearsedSite {

  /** The monotonic clock at the start: it never begins at 0 in a machine that has just booted. */
  private static final long MONO_AT_START = TimeUnit.MINUTES.toNanos(5);

  private static final long LEAST_MESSAGE_NANOS = TimeUnit.MILLISECONDS.toNanos(1);
  private static final long MOST_MESSAGE_NANOS = TimeUnit.MILLISECONDS.toNanos(20);
  private static final long LEAST_SYNC_NANOS = TimeUnit.MILLISECONDS.toNanos(3);
  private static final long MOST_SYNC_NANOS = TimeUnit.MILLISECONDS.toNanos(60);

  private final VirtualTime time = new VirtualTime();
  private final SplittableRandom random;
  private final Instant start;
  private final long periodNanos;
  private final Site site;
  private final SiteRig rig;
  private final Judge judge;
  private final Consumer<AuditRecord> audience;
  private final ArrayDeque<Event> toCome = new ArrayDeque<>();
  private final Map<Long, Effect.Answer> answers = new HashMap<>();
  private SiteState state;
  private boolean handling;
  private long tickAt = -1;
  private long toDaemonNanos;
  private long toDevicesNanos;
  private long arrivals;
  private long requests;
  private long events;

  /**
   * A site at rest, its daemon just started.
   *
   * @param spec its configuration
   * @param models the figures of each tank
   * @param seed of all that is drawn
   * @param start the wall time of the start
   * @param period from one reading of every sensor to the next
   * @param judge watches over what must never happen
   * @param audience hears each record
   */
  RehearsedSite(
      SiteSpec spec,
      Function<TankSpec, TankModel> models,
      long seed,
      Instant start,
      Duration period,
      Judge judge,
      Consumer<AuditRecord> audience) {
    this.start = start;
    this.judge = judge;
    this.audience = audience;
    periodNanos = period.toNanos();
    random = new SplittableRandom(seed);
    rig = new SiteRig(spec.tanks(), models, random.nextLong(), MONO_AT_START);
    site = new Site(spec);
    Site.Result booted =
        site.boot(SiteMemory.BLANK.knowing(spec.tanks()), "boot-1", "", true, Map.of(), now());
    state = booted.state();
    carryOut(booted);
    event(new Event.LinkUp());
    time.at(0, this::readings);
  }

  Moment now() {
    return new Moment(start.plusNanos(time.nowNanos()), MONO_AT_START + time.nowNanos(), true);
  }

  /** The simulated world as it is now. */
  SiteRig rig() {
    rig.advanceTo(MONO_AT_START + time.nowNanos());
    return rig;
  }

  /** How many events the core has taken so far. */
  long events() {
    return events;
  }

  /** What is remembered. */
  SiteMemory memory() {
    return state.remembered();
  }

  /** Goes on to this wall time. */
  void until(Instant instant) {
    time.until(Duration.between(start, instant).toNanos());
  }

  /** A keeper asks for something; the number under which it is answered. */
  long asks(String json) {
    long number = ++requests;
    event(new Event.Asked(new Request(number, json.getBytes(StandardCharsets.UTF_8))));
    return number;
  }

  /** What a keeper was answered; null for nothing yet. */
  Effect.@Nullable Answer answer(long number) {
    return answers.get(number);
  }

  // The world.

  private void readings() {
    time.in(periodNanos, this::readings);
    for (SiteRig.Message message : rig().readings(now().wall())) {
      arrives(message);
    }
    reports();
  }

  private void reports() {
    rig().takeReports().forEach(this::arrives);
    OptionalLong next = rig.nextDropOutNanos();
    if (next.isPresent()) {
      time.at(next.getAsLong() - MONO_AT_START, () -> rig().takeReports().forEach(this::arrives));
    }
  }

  /** A message is on its way to the daemon; none passes another on one connection. */
  private void arrives(SiteRig.Message message) {
    toDaemonNanos = Math.max(toDaemonNanos, time.nowNanos() + messageNanos());
    time.at(toDaemonNanos, () -> hears(message));
  }

  private void hears(SiteRig.Message message) {
    judge.hears(message, now());
    event(
        new Event.Heard(
            new Reading(
                ++arrivals,
                message.topic(),
                message.payload().getBytes(StandardCharsets.UTF_8),
                false,
                now())));
  }

  private long messageNanos() {
    return random.nextLong(LEAST_MESSAGE_NANOS, MOST_MESSAGE_NANOS);
  }

  // The daemon.

  private void event(Event first) {
    toCome.add(first);
    if (handling) {
      return;
    }
    handling = true;
    while (!toCome.isEmpty()) {
      events++;
      Site.Result result = site.step(state, toCome.remove(), now());
      state = result.state();
      carryOut(result);
    }
    handling = false;
  }

  private void tick(long asked) {
    if (asked == tickAt) {
      event(new Event.Tick());
    }
  }

  private void carryOut(Site.Result result) {
    long wake = result.wakeNanos() - MONO_AT_START;
    tickAt = wake;
    time.at(wake, () -> tick(wake));
    boolean wrote = false;
    for (Effect effect : result.effects()) {
      if (effect instanceof Effect.Send send) {
        judge.commanded(send.command(), wrote, now());
        sends(send.command());
      } else if (effect instanceof Effect.Write write) {
        wrote = true;
        writes(write);
      } else if (effect instanceof Effect.Answer answer) {
        answers.put(answer.request(), answer);
      }
    }
  }

  private void sends(Command command) {
    String topic = command.topic();
    String payload = command.payload();
    toDevicesNanos = Math.max(toDevicesNanos, time.nowNanos() + messageNanos());
    time.at(
        toDevicesNanos,
        () -> {
          rig.command(topic, payload, MONO_AT_START + time.nowNanos());
          reports();
        });
  }

  private void writes(Effect.Write write) {
    audience.accept(write.record());
    judge.written(write.record());
    if (write.permits()) {
      time.in(
          random.nextLong(LEAST_SYNC_NANOS, MOST_SYNC_NANOS),
          () -> {
            judge.durable(write.record());
            event(new Event.Synced(write.ticket()));
          });
    }
  }
}

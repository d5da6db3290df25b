package io.github.tidewarden.rehearsal;

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
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.OptionalLong;
import java.util.concurrent.TimeUnit;

/**
 * All that the core of a simulated site is given from one in the afternoon on, kept in memory so
 * that it can be given once more to a core alone. Every sensor speaks every 5 s, the devices obey,
 * and the keeper confirms the new water at the start.
 */
final class RecordedEvents {
  private static final Instant START = Instant.parse("2026-01-14T13:00:00Z");
  private static final long MONO_AT_START = TimeUnit.MINUTES.toNanos(5);
  private static final long PERIOD_NANOS = TimeUnit.SECONDS.toNanos(5);
  private static final long SYNC_NANOS = TimeUnit.MILLISECONDS.toNanos(5);
  private static final long SEED = 7;

  private final SiteSpec spec;
  private final VirtualTime time = new VirtualTime();
  private final SiteRig rig;
  private final Site site;
  private final SiteState first;
  private final List<Event> events = new ArrayList<>();
  private final List<Moment> moments = new ArrayList<>();
  private final ArrayDeque<Event> toCome = new ArrayDeque<>();
  private SiteState state;
  private long tickAt = -1;
  private long tankSteps;
  private boolean handling;

  /** The first hours, or minutes, of a site. */
  RecordedEvents(SiteSpec spec, Duration span) {
    this.spec = spec;
    rig = new SiteRig(spec.tanks(), TankModel::typical, SEED, MONO_AT_START);
    site = new Site(spec);
    SiteMemory blank = SiteMemory.BLANK.knowing(spec.tanks());
    first = site.boot(blank, "boot-1", "", true, Map.of(), now()).state();
    state = first;
    event(new Event.LinkUp());
    time.at(0, this::readings);
    time.at(PERIOD_NANOS + 1, this::confirms);
    time.until(span.toNanos());
  }

  /** How many events there are. */
  int count() {
    return events.size();
  }

  /** How many steps of a tank they were. */
  long tankSteps() {
    return tankSteps;
  }

  /** Gives all of it to a core that begins anew. */
  void again() {
    Site anew = new Site(spec);
    SiteState known = first;
    for (int i = 0; i < events.size(); i++) {
      known = anew.step(known, events.get(i), moments.get(i)).state();
    }
  }

  private Moment now() {
    return new Moment(START.plusNanos(time.nowNanos()), MONO_AT_START + time.nowNanos(), true);
  }

  private void confirms() {
    long number = 0;
    for (TankSpec tank : spec.tanks()) {
      String act =
          "{\"act\":\"batch\",\"tank\":\"%s\",\"by\":\"Ines\",\"id\":\"%d\",\"sent\":\"%s\",\"salinity\":\"35 PSU\",\"temperature\":\"25 Cel\",\"mixed-for\":\"4 h\"}"
              .formatted(tank.name(), ++number, now().wall());
      event(new Event.Asked(new Request(number, act.getBytes(StandardCharsets.UTF_8))));
    }
  }

  /** One sensor after another, so that no reading comes with another one. */
  private void readings() {
    time.in(PERIOD_NANOS, this::readings);
    rig.advanceTo(now().monoNanos());
    List<SiteRig.Message> messages = rig.readings(now().wall());
    for (int i = 0; i < messages.size(); i++) {
      SiteRig.Message message = messages.get(i);
      time.in(i * PERIOD_NANOS / messages.size(), () -> hears(message));
    }
    reports();
  }

  private void reports() {
    rig.takeReports().forEach(this::hears);
    OptionalLong next = rig.nextDropOutNanos();
    if (next.isPresent()) {
      time.at(
          next.getAsLong() - MONO_AT_START,
          () -> {
            rig.advanceTo(now().monoNanos());
            rig.takeReports().forEach(this::hears);
          });
    }
  }

  private void hears(SiteRig.Message message) {
    byte[] payload = message.payload().getBytes(StandardCharsets.UTF_8);
    event(new Event.Heard(new Reading(events.size() + 1L, message.topic(), payload, false, now())));
  }

  private void event(Event next) {
    toCome.add(next);
    if (handling) {
      return;
    }
    handling = true;
    while (!toCome.isEmpty()) {
      Event event = toCome.remove();
      events.add(event);
      moments.add(now());
      Site.Result result = site.step(state, event, now());
      tankSteps += changed(state, result.state());
      state = result.state();
      carryOut(result);
    }
    handling = false;
  }

  private long changed(SiteState before, SiteState after) {
    return spec.tanks().stream()
        .filter(tank -> isAnother(before.tanks().get(tank.name()), after.tanks().get(tank.name())))
        .count();
  }

  @SuppressWarnings("ReferenceEquality") // a tank that took no step has the very same state
  private static boolean isAnother(Object before, Object after) {
    return before != after;
  }

  private void carryOut(Site.Result result) {
    long wake = result.wakeNanos() - MONO_AT_START;
    tickAt = wake;
    time.at(
        wake,
        () -> {
          if (wake == tickAt) {
            event(new Event.Tick());
          }
        });
    for (Effect effect : result.effects()) {
      if (effect instanceof Effect.Send send) {
        Command command = send.command();
        rig.command(command.topic(), command.payload(), now().monoNanos());
        reports();
      } else if (effect instanceof Effect.Write write && write.permits()) {
        time.in(SYNC_NANOS, () -> event(new Event.Synced(write.ticket())));
      }
    }
  }
}

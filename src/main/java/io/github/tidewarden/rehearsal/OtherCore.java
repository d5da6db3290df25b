package io.github.tidewarden.rehearsal;

import io.github.tidewarden.audit.TraceEntry;
import io.github.tidewarden.control.Effect;
import io.github.tidewarden.control.Event;
import io.github.tidewarden.control.Site;
import io.github.tidewarden.control.SiteMemory;
import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.SiteState;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.gate.Command;
import io.github.tidewarden.interlock.ConfirmSpec;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.sensing.Reading;
import java.util.Arrays;
import java.util.Collections;
import java.util.HashMap;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.PriorityQueue;
import java.util.Set;
import java.util.TreeSet;
import java.util.concurrent.TimeUnit;
import java.util.function.Supplier;
import org.jspecify.annotations.Nullable;

/**
 * The core under another configuration, given a night that was recorded under the first. What
 * sensors and keepers said is as recorded. What answered the first core's doings cannot answer this
 * one's, and is made up:
 *
 * <ul>
 *   <li>a device's own report is as recorded while both cores command the same of it; else a device
 *       that obeys after {@value #REPORT_MILLIS} ms reports;
 *   <li>a record is on the disk after as long as it last took then, or fails if it last failed;
 *   <li>what was not delivered then is not delivered now, if there is anything to deliver.
 * </ul>
 *
 * A tank of which both configurations say the same, and that shares nothing with one of which they
 * do not, decides the same, and is told as it was.
 */
final class OtherCore {
  static final int REPORT_MILLIS = 200;

  /** Over so long without an input the program stood still, and so does this one. */
  private static final long STANDSTILL_NANOS = TimeUnit.SECONDS.toNanos(3);

  private static final long SYNC_NANOS = TimeUnit.MILLISECONDS.toNanos(20);
  private static final long LEAST_SLEEP_NANOS = TimeUnit.MILLISECONDS.toNanos(1);

  private record Due(long nanos, long number, Supplier<@Nullable Event> event)
      implements Comparable<Due> {
    @Override
    public int compareTo(Due other) {
      int first = Long.compare(nanos, other.nanos);
      return first != 0 ? first : Long.compare(number, other.number);
    }
  }

  /** One device that reports. */
  private static final class Reporter {
    final String setTopic;
    final ConfirmSpec spec;
    byte @Nullable [] recorded;
    byte @Nullable [] heard;

    Reporter(String setTopic, ConfirmSpec spec) {
      this.setTopic = setTopic;
      this.spec = spec;
    }
  }

  private final Site site;
  private final Set<String> alike;
  private final Tale tale;
  private final Tale first;
  private final Map<String, Reporter> byStateTopic = new HashMap<>();
  private final Map<String, Reporter> bySetTopic = new HashMap<>();
  private final PriorityQueue<Due> due = new PriorityQueue<>();
  private final Map<Long, Long> firstAsked = new HashMap<>();
  private @Nullable SiteState state;
  private Moment now = new Moment(java.time.Instant.EPOCH, 0, false);
  private long wakeNanos;
  private long arrivals;
  private long dues;
  private long syncNanos = SYNC_NANOS;
  private @Nullable String diskFails;

  /**
   * A core that is not started yet.
   *
   * @param recorded the first configuration
   * @param spec the other one
   * @param tale is told what it decides
   * @param first what the first core decides, told before this one hears of the same input
   */
  OtherCore(SiteSpec recorded, SiteSpec spec, Tale tale, Tale first) {
    site = new Site(spec);
    alike = alike(recorded, spec);
    this.tale = tale;
    this.first = first;
    for (TankSpec tank : spec.tanks()) {
      for (ActuatorSpec actuator : tank.actuators()) {
        ConfirmSpec confirm = tank.confirms().get(actuator.name());
        if (confirm != null) {
          Reporter reporter = new Reporter(actuator.topic(), confirm);
          byStateTopic.put(confirm.topic(), reporter);
          bySetTopic.put(actuator.topic(), reporter);
        }
      }
    }
  }

  /** Tanks that decide the same under both; with them "", the site itself, if all of them do. */
  static Set<String> alike(SiteSpec recorded, SiteSpec other) {
    if (!recorded.zone().equals(other.zone())
        || !recorded.hardLimits().equals(other.hardLimits())) {
      return Set.of();
    }
    Set<TankSpec> alike = new HashSet<>(recorded.tanks());
    alike.retainAll(other.tanks());
    Set<TankSpec> others = new HashSet<>(recorded.tanks());
    others.addAll(other.tanks());
    others.removeAll(alike);
    Set<String> names = new TreeSet<>(others.isEmpty() ? Set.of("") : Set.of());
    Set<String> shared = new HashSet<>();
    while (!others.isEmpty()) {
      others.forEach(tank -> shared.addAll(shares(tank)));
      others.clear();
      alike.stream()
          .filter(tank -> !Collections.disjoint(shares(tank), shared))
          .forEach(others::add);
      alike.removeAll(others);
    }
    alike.forEach(tank -> names.add(tank.name()));
    return names;
  }

  private static List<String> shares(TankSpec tank) {
    ExchangeSpec exchange = tank.exchange();
    return exchange == null ? List.of() : exchange.shares();
  }

  /** Starts, or starts again with what it remembers itself, as far as that could be read back. */
  void boots(TraceEntry.Booted boot, boolean linkUp) {
    SiteState before = state;
    if (before != null) {
      tale.ends(now);
    }
    SiteMemory memory = before == null ? boot.memory() : before.remembered();
    due.clear();
    firstAsked.clear();
    now = boot.now();
    took(site.boot(memory, boot.boot(), boot.recovery(), boot.readable(), boot.start(), now));
    if (linkUp) {
      step(new Event.LinkUp());
    }
  }

  /** The night is over. */
  void ends() {
    tale.ends(now);
    tale.takes(first, alike);
  }

  /** What the first core did with an input: when it asked the disk, when the disk answered. */
  void watches(Event event, List<Effect> effects, Moment moment) {
    if (event instanceof Event.Synced synced) {
      Long asked = firstAsked.remove(synced.ticket());
      if (asked != null) {
        syncNanos = moment.since(asked);
        diskFails = null;
      }
    } else if (event instanceof Event.Unwritten unwritten) {
      firstAsked.remove(unwritten.ticket());
      diskFails = unwritten.why();
    }
    for (Effect effect : effects) {
      if (effect instanceof Effect.Write write && write.permits()) {
        firstAsked.put(write.ticket(), moment.monoNanos());
      }
    }
  }

  /** A recorded input, after the first core has taken it. */
  void takes(Event event, Moment moment) {
    if (state == null) {
      return;
    }
    livesUntil(moment);
    now = moment;
    if (event instanceof Event.Heard heard) {
      hears(heard.reading());
    } else if (event instanceof Event.Undelivered undelivered) {
      if (tale.runsAny(undelivered.tank())) {
        step(event);
      }
    } else if (!(event instanceof Event.Synced
        || event instanceof Event.Unwritten
        || event instanceof Event.Tick)) {
      step(event);
    }
  }

  private void hears(Reading reading) {
    Reporter reporter = byStateTopic.get(reading.topic());
    if (reporter != null) {
      reporter.recorded = reading.payload();
      if (tale.runs(reporter.setTopic) != first.runs(reporter.setTopic)) {
        return;
      }
      reporter.heard = reading.payload();
    }
    step(heard(reading.topic(), reading.payload(), reading.retained(), reading.arrival()));
  }

  private Event.Heard heard(String topic, byte[] payload, boolean retained, Moment arrival) {
    return new Event.Heard(new Reading(++arrivals, topic, payload, retained, arrival));
  }

  /** Until just before a moment: what is due, and what the core itself wants to be asked. */
  private void livesUntil(Moment until) {
    boolean still = until.since(now.monoNanos()) > STANDSTILL_NANOS;
    while (true) {
      Due next = due.peek();
      boolean ticks = !still && (next == null || wakeNanos - next.nanos() < 0);
      if (!ticks && next == null) {
        return;
      }
      long at = ticks || next == null ? wakeNanos : next.nanos();
      if (until.since(at) <= 0) {
        return;
      }
      passesTo(ticks ? Math.max(at, now.monoNanos() + LEAST_SLEEP_NANOS) : at);
      Event event = ticks || next == null ? new Event.Tick() : due.remove().event().get();
      if (event != null) {
        step(event);
      }
    }
  }

  private void passesTo(long monoNanos) {
    long passed = Math.max(0, monoNanos - now.monoNanos());
    now = new Moment(now.wall().plusNanos(passed), now.monoNanos() + passed, now.trusted());
    tale.passes(now);
  }

  private void step(Event event) {
    SiteState before = state;
    if (before != null) {
      took(site.step(before, event, now));
    }
  }

  private void took(Site.Result result) {
    state = result.state();
    wakeNanos = result.wakeNanos();
    for (Effect effect : result.effects()) {
      if (effect instanceof Effect.Send send) {
        commands(send.command());
      } else if (effect instanceof Effect.Write write && write.permits()) {
        writes(write);
      }
    }
    tale.decided(result.effects(), now);
  }

  private void writes(Effect.Write write) {
    in(
        syncNanos,
        () -> {
          String why = diskFails;
          if (why != null) {
            return new Event.Unwritten(write.ticket(), why);
          }
          tale.recorded(write.record());
          return new Event.Synced(write.ticket());
        });
  }

  private void commands(Command command) {
    Reporter reporter = bySetTopic.get(command.topic());
    if (reporter == null) {
      return;
    }
    long soon = TimeUnit.MILLISECONDS.toNanos(REPORT_MILLIS);
    in(soon, () -> reports(reporter));
    if (command.runs()) { // it may drop out by itself
      in(TimeUnit.SECONDS.toNanos(command.leaseSeconds()) + soon, () -> reports(reporter));
    }
  }

  private @Nullable Event reports(Reporter reporter) {
    boolean on = tale.runs(reporter.setTopic);
    byte[] says =
        on == first.runs(reporter.setTopic) ? reporter.recorded : StateReport.of(reporter.spec, on);
    if (says == null || Arrays.equals(says, reporter.heard)) {
      return null;
    }
    reporter.heard = says;
    return heard(reporter.spec.topic(), says, false, now);
  }

  private void in(long nanos, Supplier<@Nullable Event> event) {
    due.add(new Due(now.monoNanos() + nanos, dues++, event));
  }
}

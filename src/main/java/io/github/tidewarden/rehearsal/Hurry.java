package io.github.tidewarden.rehearsal;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.interlock.Condition;
import io.github.tidewarden.interlock.InterlockSpec;
import io.github.tidewarden.interlock.Verdict;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.Interval;
import io.github.tidewarden.schedule.Nights;
import io.github.tidewarden.sensing.SensorSpec;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.jspecify.annotations.Nullable;

/**
 * What a daemon can be spared in a rehearsal, for it decides the same without: while no window is
 * near, nothing is wrong and no keeper is there, one reading of each sensor within a third of its
 * stale limit is enough, and each by which an interlock says something else. The sensors speak as
 * often as ever, so that all that is drawn by seed stays the same; and it is one pace for all
 * tanks, for a reading of one is also a moment at which the others are looked at.
 */
final class Hurry {

  /** So long the daemon need not be asked while all of that holds. */
  static final long SLEEP_NANOS = TimeUnit.SECONDS.toNanos(20);

  /** An interlock of one tank. */
  private record Guard(String tank, InterlockSpec spec) {}

  /** What one tank hears on one topic, and the interlocks that look at it. */
  private final class Ear {
    private final String tank;
    private final JudgedSignals signals;
    private final Set<InterlockSpec> interlocks = new LinkedHashSet<>();

    /** What they said of the last reading that was heard. */
    private List<Verdict> said = List.of();

    Ear(String tank, JudgedSignals signals) {
      this.tank = tank;
      this.signals = signals;
    }

    List<Verdict> says(SiteRig.Message message, long nanos) {
      signals.hears(message, false, nanos);
      List<Verdict> says = new ArrayList<>();
      for (InterlockSpec interlock : interlocks) {
        Guard guard = new Guard(tank, interlock);
        Verdict cause = signals.verdict(interlock.cause(), nanos, 0);
        says.add(cause);
        adds(says, interlock.clear(), nanos);
        adds(says, interlock.latchWhen(), nanos);
        if (cause == Verdict.TRUE) {
          wrong.add(guard);
        } else {
          wrong.remove(guard);
        }
      }
      return says;
    }

    private void adds(List<Verdict> says, @Nullable Condition condition, long nanos) {
      if (condition != null) {
        says.add(signals.verdict(condition, nanos, 0));
      }
    }
  }

  /** One topic, and who listens to it. */
  private static final class Topic {
    final List<Ear> ears = new ArrayList<>();
    long staleNanos = Long.MAX_VALUE;
    long heardNanos = Long.MIN_VALUE / 2;
  }

  private final SiteSpec spec;
  private final long periodNanos;
  private final Map<String, Topic> topics = new HashMap<>();

  /** The interlocks whose cause stood when they were looked at last. */
  private final Set<Guard> wrong = new HashSet<>();

  /** Tanks with a portion under way, which may last longer than its window. */
  private final Set<String> portions = new HashSet<>();

  /** When something may be given, in this night and the one before. */
  private final List<Interval> near = new ArrayList<>();

  private @Nullable Interval night;
  private boolean attended;

  /**
   * For a site.
   *
   * @param period from one reading of every sensor to the next
   */
  Hurry(SiteSpec spec, Duration period) {
    this.spec = spec;
    periodNanos = period.toNanos();
    for (TankSpec tank : spec.tanks()) {
      JudgedSignals signals = new JudgedSignals(tank.sensors());
      Map<String, Ear> ears = new LinkedHashMap<>();
      for (SensorSpec sensor : tank.sensors()) {
        Topic topic = topics.computeIfAbsent(sensor.topic(), name -> new Topic());
        topic.staleNanos = Math.min(topic.staleNanos, sensor.staleNanos());
        Ear ear = ears.computeIfAbsent(sensor.topic(), name -> new Ear(tank.name(), signals));
        tank.interlocks().stream()
            .filter(interlock -> looksAt(interlock, sensor.name()))
            .forEach(ear.interlocks::add);
      }
      ears.forEach((name, ear) -> Objects.requireNonNull(topics.get(name)).ears.add(ear));
    }
  }

  private static boolean looksAt(InterlockSpec interlock, String sensor) {
    return Stream.of(interlock.cause(), interlock.clear(), interlock.latchWhen())
        .filter(Objects::nonNull)
        .anyMatch(condition -> condition.watched().contains(sensor));
  }

  /** A keeper is there, and may ask for something; or has gone. */
  void attends(boolean there) {
    attended = there;
  }

  /** A record is written: what it says of a portion is remembered. */
  void told(AuditRecord record) {
    if (record.kind() == Kind.PORTION) {
      portions.add(record.tank());
    } else if (record.kind() == Kind.FILLED) {
      portions.remove(record.tank());
    }
  }

  /** Whether nothing can happen now. */
  boolean isQuiet(Instant wall) {
    return wrong.isEmpty() && !isNear(wall);
  }

  /** Whether anything can be given or asked for now. */
  private boolean isNear(Instant wall) {
    turnsTo(wall);
    return attended || !portions.isEmpty() || near.stream().anyMatch(span -> span.contains(wall));
  }

  /** Whether the daemon hears a message now. */
  boolean hears(SiteRig.Message message, Moment now) {
    Topic topic = topics.get(message.topic());
    if (topic == null) {
      return true; // what a device reports of itself
    }
    long nanos = now.monoNanos();
    if (isNear(now.wall())) {
      wrong.clear();
      topic.ears.forEach(ear -> ear.said = List.of()); // looked at anew when all is quiet
      topic.heardNanos = nanos;
      return true;
    }
    boolean heard = nanos + periodNanos - topic.heardNanos > topic.staleNanos / 3;
    List<List<Verdict>> says = new ArrayList<>();
    for (Ear ear : topic.ears) {
      List<Verdict> own = ear.says(message, nanos);
      heard |= !own.equals(ear.said);
      says.add(own);
    }
    if (!heard && wrong.isEmpty()) {
      return false;
    }
    topic.heardNanos = nanos;
    for (int i = 0; i < says.size(); i++) {
      topic.ears.get(i).said = says.get(i);
    }
    return true;
  }

  /** The windows of another night; one of the night before may go on over noon. */
  private void turnsTo(Instant wall) {
    if (night != null && night.contains(wall)) {
      return;
    }
    LocalDate name = Nights.nightOf(wall, spec.zone());
    night = Nights.interval(name, spec.zone());
    near.clear();
    near.addAll(Busy.of(spec, name.minusDays(1)));
    near.addAll(Busy.of(spec, name));
  }
}

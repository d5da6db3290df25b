package io.github.tidewarden.rehearsal;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Effect;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.gate.Command;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Moment;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/** What one core decided in a night: its records, and of each tank what it comes to. */
final class Tale {

  /** A stretch of time; {@code to} is not before {@code from}. */
  record Span(Instant from, Instant to) {}

  /** Something at a time, in the keeper's words. */
  record Mark(Instant at, String what, boolean latched) {}

  /** What a night comes to for one tank. */
  static final class OfTank {
    final List<Span> ozone = new ArrayList<>();
    final List<Span> portions = new ArrayList<>();
    final List<Mark> trips = new ArrayList<>();
    int runs;
    int latches;
    long outMillilitres;
    long inMillilitres;
    private @Nullable Instant portionFrom;

    /** How long ozone was commanded on. */
    Duration ozoneTime() {
      return ozone.stream()
          .map(span -> Duration.between(span.from(), span.to()))
          .reduce(Duration.ZERO, Duration::plus);
    }

    private void hears(AuditRecord record) {
      switch (record.kind()) {
        case RUN -> runs++;
        case TRIP, SILENT, FAULT -> trips.add(new Mark(record.at(), record.why(), latched(record)));
        case PORTION -> portionFrom = record.at();
        case FILLED -> {
          Instant from = portionFrom == null ? record.at() : portionFrom;
          portions.add(new Span(from.isAfter(record.at()) ? record.at() : from, record.at()));
          portionFrom = null;
          outMillilitres += count(record, "out-ml");
          inMillilitres += count(record, "in-ml");
        }
        default -> {
          // Told in words only.
        }
      }
      if (record.kind() == Kind.LATCHED || latched(record)) {
        latches++;
      }
    }

    private static boolean latched(AuditRecord record) {
      return Boolean.TRUE.equals(record.fields().get("latched")) && record.kind() != Kind.LATCHED;
    }

    private static long count(AuditRecord record, String field) {
      return record.fields().get(field) instanceof Long number ? number : 0;
    }
  }

  private static final class Lease {
    final Instant from;
    long endNanos;

    Lease(Instant from) {
      this.from = from;
    }
  }

  final List<AuditRecord> records = new ArrayList<>();
  private final Map<String, OfTank> tanks = new LinkedHashMap<>();
  private final Map<String, TankFunction> functions = new HashMap<>();
  private final Map<String, Lease> leases = new HashMap<>();
  private final Map<String, String> leased = new HashMap<>();

  Tale(SiteSpec site) {
    for (TankSpec tank : site.tanks()) {
      tanks.put(tank.name(), new OfTank());
      tank.actuators().forEach(one -> functions.put(one.topic(), one.function()));
    }
  }

  Map<String, OfTank> tanks() {
    return tanks;
  }

  /** Whether a device was commanded on and its lease runs. */
  boolean runs(String setTopic) {
    return leases.containsKey(setTopic);
  }

  /** Whether any device of a tank was commanded on. */
  boolean runsAny(String tank) {
    return leased.containsValue(tank);
  }

  /** Time goes on: what was not renewed is over. */
  void passes(Moment now) {
    leases.entrySet().removeIf(entry -> isOver(entry.getKey(), entry.getValue(), now));
  }

  private boolean isOver(String topic, Lease lease, Moment now) {
    if (now.since(lease.endNanos) < 0) {
      return false;
    }
    ends(topic, lease, now.wall().minusNanos(now.since(lease.endNanos)));
    return true;
  }

  private void ends(String topic, Lease lease, Instant at) {
    OfTank tank = tanks.get(leased.remove(topic));
    if (tank != null && functions.get(topic) == TankFunction.OZONE) {
      tank.ozone.add(new Span(lease.from, at.isBefore(lease.from) ? lease.from : at));
    }
  }

  /** What a step gave. */
  void decided(List<Effect> effects, Moment now) {
    passes(now);
    for (Effect effect : effects) {
      if (effect instanceof Effect.Send send) {
        commanded(send.command(), now);
      } else if (effect instanceof Effect.Write write && !write.permits()) {
        recorded(write.record());
      }
    }
  }

  /** A record that is on the disk; one that permits is told when it is. */
  void recorded(AuditRecord record) {
    records.add(record);
    OfTank tank = tanks.get(record.tank());
    if (tank != null) {
      tank.hears(record);
    }
  }

  private void commanded(Command command, Moment now) {
    String topic = command.topic();
    if (command.runs()) {
      Lease lease = leases.computeIfAbsent(topic, unused -> new Lease(now.wall()));
      lease.endNanos = now.monoNanos() + TimeUnit.SECONDS.toNanos(command.leaseSeconds());
      leased.put(topic, command.tank());
    } else {
      Lease lease = leases.remove(topic);
      if (lease != null) {
        ends(topic, lease, now.wall());
      }
    }
  }

  /** Of these tanks, and of the site if "" is among them, it is as another one tells. */
  void takes(Tale other, Set<String> names) {
    records.removeIf(record -> names.contains(record.tank()));
    other.records.stream().filter(record -> names.contains(record.tank())).forEach(records::add);
    other.tanks.forEach(
        (name, tank) -> {
          if (names.contains(name)) {
            tanks.put(name, tank);
          }
        });
  }

  /** The daemon is gone, and its devices drop out. */
  void ends(Moment now) {
    leases.forEach((topic, lease) -> ends(topic, lease, now.wall()));
    leases.clear();
  }
}

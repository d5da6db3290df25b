package io.github.tidewarden.rehearsal;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Event;
import io.github.tidewarden.control.SiteMemory;
import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.gate.Command;
import io.github.tidewarden.quantity.Moment;
import java.time.Instant;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Objects;
import org.jspecify.annotations.Nullable;

/**
 * Watches over what must never happen (the invariants of README and SAFETY, by their numbers in
 * DEVELOPERS.md), on what was commanded and on what devices and water truly did. It shares nothing
 * with the gate but the configuration: windows, ages, totals and limits are its own.
 */
final class Judge {

  /** By no invariant, but by what a daemon is for. */
  static final int LIVENESS = 0;

  /** Most findings of one invariant and tank that are kept; one is one too many. */
  private static final int MOST = 3;

  /**
   * An invariant that was broken.
   *
   * @param invariant its number
   * @param tank whose
   * @param at when, wall time
   * @param event the number of the event that the core took last, and which it was
   * @param what happened
   */
  record Broken(int invariant, String tank, Instant at, String event, String what) {}

  private final Map<String, TankJudge> tanks = new LinkedHashMap<>();
  private final List<Broken> broken = new ArrayList<>();
  private long number;
  private @Nullable Event event;

  Judge(SiteSpec spec) {
    for (TankSpec tank : spec.tanks()) {
      tanks.put(
          tank.name(),
          new TankJudge(
              tank,
              spec.zone(),
              spec.hardLimits(),
              (invariant, at, what) -> breaks(invariant, tank.name(), at, what)));
    }
  }

  private void breaks(int invariant, String tank, Instant at, String what) {
    long known =
        broken.stream()
            .filter(one -> one.invariant() == invariant && one.tank().equals(tank))
            .count();
    if (known < MOST) {
      broken.add(new Broken(invariant, tank, at, number + " (" + told(event) + ")", what));
    }
  }

  private static String told(@Nullable Event event) {
    return event == null
        ? "the start"
        : event instanceof Event.Heard heard
            ? "heard " + heard.reading().topic()
            : event.getClass().getSimpleName().toLowerCase(Locale.ROOT);
  }

  /** The core takes an event; a report that waited out a standstill is known only now. */
  void takes(long count, Event next, Moment now) {
    number = count;
    event = next;
    if (next instanceof Event.Heard heard && !heard.reading().retained()) {
      tanks.values().forEach(tank -> tank.takes(heard.reading(), now));
    }
  }

  /** A message gets to the daemon now. */
  void hears(SiteRig.Message message, boolean retained, Moment now) {
    tanks.values().forEach(tank -> tank.hears(message, retained, now));
  }

  /** The daemon starts, or starts again. */
  void restarted(Moment now) {
    tanks.values().forEach(tank -> tank.restarted(now));
  }

  /** The daemon has done a step. */
  void stepped(Moment now) {
    tanks.values().forEach(tank -> tank.stepped(now));
  }

  /** What devices and water of a tank truly do. */
  JudgedTruth truth(String tank) {
    return Objects.requireNonNull(tanks.get(tank)).truth();
  }

  /** The link is gone. */
  void unheard() {
    tanks.values().forEach(TankJudge::unheard);
  }

  /**
   * What a daemon that starts again remembers.
   *
   * @param altered the first line of its audit that is not what was written; empty for none
   */
  void remembers(SiteMemory memory, String altered, Moment now) {
    tanks.forEach((name, tank) -> tank.remembers(memory.tank(name), altered, now));
  }

  /** Something else that must be and is not. */
  void breaks(int invariant, String tank, Moment now, String what) {
    breaks(invariant, tank, now.wall(), what);
  }

  /** A record is written; it is not on the disk yet. */
  void written(AuditRecord record) {
    TankJudge tank = tanks.get(record.tank());
    if (tank != null) {
      tank.written(record);
    }
  }

  /** A record is on the disk. */
  void durable(AuditRecord record, Moment now) {
    TankJudge tank = tanks.get(record.tank());
    if (tank != null) {
      tank.durable(record, now);
    }
  }

  /**
   * A command is given.
   *
   * @param afterRecord whether a record was written before it in the same step
   */
  void commanded(Command command, boolean afterRecord, Moment now) {
    TankJudge tank = tanks.get(command.tank());
    if (afterRecord) {
      breaks(7, command.tank(), now.wall(), "a command waits behind a record: " + command);
    }
    if (tank == null) {
      breaks(12, command.tank(), now.wall(), "a command for no tank");
    } else {
      tank.commanded(command, now);
    }
  }

  /** Looks at what devices and water truly do. */
  void looks(SiteRig rig, Moment now) {
    tanks.values().forEach(tank -> tank.looks(rig, now));
  }

  /**
   * Looks whether a tank is given what nothing forbids.
   *
   * @param well whether nothing of what the judge does not know is in its way
   */
  void looks(String tank, boolean well, Moment now) {
    Objects.requireNonNull(tanks.get(tank)).looks(well, now);
  }

  /**
   * Whether a tank's daemon counted all that it may give as spent at some time since, for it could
   * not read its audit.
   */
  boolean countedAll(String tank, Moment since) {
    return Objects.requireNonNull(tanks.get(tank)).countedAll(since.monoNanos());
  }

  /** A night is over. */
  void ends() {
    tanks.values().forEach(TankJudge::ends);
  }

  /** How often what had been forbidden was given again. */
  int returns() {
    return tanks.values().stream().mapToInt(TankJudge::returns).sum();
  }

  /** What was broken so far, in order; the first three of each kind. */
  List<Broken> broken() {
    return List.copyOf(broken);
  }
}

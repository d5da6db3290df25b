package io.github.tidewarden.rehearsal;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.TankMemory;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.gate.Command;
import io.github.tidewarden.gate.HardLimits;
import io.github.tidewarden.interlock.InterlockSpec;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.interlock.Verdict;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.WindowSpec;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalDateTime;
import java.time.ZoneId;
import java.time.ZonedDateTime;
import java.time.zone.ZoneOffsetTransition;
import java.util.ArrayDeque;
import java.util.Arrays;
import java.util.HashMap;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Optional;
import java.util.Set;
import java.util.stream.Collectors;
import org.jspecify.annotations.Nullable;

/** The judge of one tank; see {@link Judge}. */
final class TankJudge {
  /** How latches of lost signals and of devices are named. */
  private static final List<String> HOLD_UP = List.of("-silent", "-unconfirmed", "-on-unasked");

  /** Hears what was broken. */
  interface Finding {
    void found(int invariant, Instant at, String what);
  }

  private static final long SECOND = 1_000_000_000L;
  private static final Set<String> EVERYTHING =
      Arrays.stream(TankFunction.values()).map(TankFunction::word).collect(Collectors.toSet());
  private static final Duration DAY = Duration.ofHours(24);

  /** A run that is over, or goes on: on the monotonic clock. */
  private record Span(long from, long to, LocalDate night) {}

  /** What one actuator was told last. */
  private record Told(
      LocalDate night, long firstNanos, long nanos, int seconds, int expirySeconds) {
    /** From here on it is at rest by itself. */
    long bound() {
      return nanos + (seconds + expirySeconds) * SECOND;
    }
  }

  private final TankSpec spec;
  private final ZoneId zone;
  private final HardLimits hard;
  private final Finding finding;
  private final JudgedSignals signals;
  private final Map<String, ActuatorSpec> actuators;
  private final Map<String, Told> told = new HashMap<>();

  /** Until when each device may run by the last run that was sent: rest may not have got there. */
  private final Map<String, Long> bounds = new HashMap<>();

  private final Map<String, Set<String>> latches = new HashMap<>();
  private final Map<String, Set<String>> durableLatches = new HashMap<>();
  private final ArrayDeque<Span> ozone = new ArrayDeque<>();
  private boolean reserved;
  private boolean portion;
  private boolean drained;

  /** Whether nobody has looked at the water yet since the portion began. */
  private boolean begun;

  /** Whether water and devices do what no command made them do. */
  private boolean excused;

  private int wrongs;

  /** What out and in were apart before the portion: over many nights noise adds up. */
  private double apartBefore;

  TankJudge(TankSpec spec, ZoneId zone, HardLimits hard, Finding finding) {
    this.spec = spec;
    this.zone = zone;
    this.hard = hard;
    this.finding = finding;
    signals = new JudgedSignals(spec.sensors());
    actuators =
        spec.actuators().stream().collect(Collectors.toMap(ActuatorSpec::name, each -> each));
  }

  // What the daemon knows.

  void hears(SiteRig.Message message, boolean retained, Moment now) {
    signals.hears(message, retained, now.monoNanos());
  }

  /** The daemon starts again: what was not on the disk is gone, and nothing was heard yet. */
  void restarted(Moment now) {
    signals.forget();
    reserved = false;
    OzoneSpec rule = spec.ozone();
    Told last = rule == null ? null : told.get(rule.generator());
    if (last != null) {
      closes(last, last.bound(), now);
    }
    told.clear();
    latches.clear();
    latches.putAll(durableLatches);
  }

  /** Something is truly wrong with its devices or its water, or is no more. */
  void excuses(boolean wrong) {
    wrongs += wrong ? 1 : -1;
    excused = true;
  }

  /**
   * A daemon that starts again has every latch that was on the disk, or one that stands for all
   * since the disk cannot be read.
   */
  void remembers(TankMemory memory, Moment now) {
    if (memory.latches().containsKey(TankMemory.UNREADABLE)) {
      durableLatches.clear();
      durableLatches.put(TankMemory.UNREADABLE, EVERYTHING);
      latches.clear();
      latches.putAll(durableLatches);
    }
    for (String latch : durableLatches.keySet()) {
      check(8, memory.latches().containsKey(latch), now, latch + " is forgotten");
    }
  }

  void written(AuditRecord record) {
    latched(record, latches);
    switch (record.kind()) {
      case REST -> reserved = false;
      case DRAINED -> drained = true;
      case FILLED -> portion = false;
      default -> {
        // Nothing that permits or forbids.
      }
    }
  }

  private static void latched(AuditRecord record, Map<String, Set<String>> into) {
    String name = String.valueOf(record.fields().get("name"));
    switch (record.kind()) {
      case TRIP, LATCHED, SILENT, FAULT -> {
        if (Boolean.TRUE.equals(record.fields().get("latched"))) {
          Set<String> stops = into.computeIfAbsent(name, any -> new HashSet<>());
          if (record.fields().get("stops") instanceof List<?> list) {
            list.forEach(each -> stops.add(String.valueOf(each)));
          }
        }
      }
      case ACT -> {
        if ("reset".equals(record.fields().get("act"))) {
          into.remove(name);
        }
      }
      default -> {
        // It latches and releases nothing.
      }
    }
  }

  void durable(AuditRecord record) {
    latched(record, durableLatches);
    switch (record.kind()) {
      case RESERVED -> reserved = true;
      case PORTION -> {
        portion = true;
        begun = true;
        drained = false;
        excused = wrongs > 0;
      }
      case ACT -> {
        latched(record, latches);
        if ("reset".equals(record.fields().get("act")) && isOfAPortion(record)) {
          portion = false;
        }
      }
      default -> {
        // Nothing that waits for the disk.
      }
    }
  }

  /**
   * A reset gives a portion up, but one of an interlock of the tank, of a lost signal or of a
   * device, which only held it up.
   */
  private boolean isOfAPortion(AuditRecord reset) {
    String name = String.valueOf(reset.fields().get("name"));
    return HOLD_UP.stream().noneMatch(name::endsWith)
        && spec.interlocks().stream().noneMatch(interlock -> interlock.name().equals(name));
  }

  // What it commands.

  void commanded(Command command, Moment now) {
    ActuatorSpec actuator = actuators.get(command.actuator());
    if (actuator == null || !actuator.topic().equals(command.topic())) {
      breaks(12, now, command + " is for none of its actuators");
      return;
    }
    if (!command.runs()) {
      Told last = told.remove(command.actuator());
      if (last != null && isGenerator(command)) {
        closes(last, Math.min(now.monoNanos(), last.bound()), now);
      }
      return;
    }
    int longest = Math.min(actuator.dropOutSeconds(), hard.longestDropOutSeconds());
    check(4, command.leaseSeconds() <= longest, now, command + " for longer than its drop-out");
    Told last = told.get(command.actuator());
    boolean goesOn = last != null && now.monoNanos() - last.bound() < 0;
    if (last != null && !goesOn && isGenerator(command)) {
      closes(last, last.bound(), now);
    }
    Told live =
        new Told(
            night(actuator, now),
            last != null && goesOn ? last.firstNanos() : now.monoNanos(),
            now.monoNanos(),
            command.leaseSeconds(),
            command.expirySeconds());
    told.put(command.actuator(), live);
    bounds.put(command.actuator(), live.bound());
    if (actuator.function() != TankFunction.TOP_OFF) { // to run is to hold it
      latches.forEach(
          (name, stops) ->
              check(
                  5,
                  !stops.contains(actuator.function().word()),
                  now,
                  command + " while " + name + " is latched"));
      forbidden(actuator.function(), 0, now)
          .ifPresent(why -> breaks(5, now, command + " while " + why));
    }
    if (isGenerator(command)) {
      ozone(command, now);
    } else if (actuator.function() == TankFunction.EXCHANGE) {
      pump(command, now);
    }
  }

  private boolean isGenerator(Command command) {
    return spec.ozone() != null && command.actuator().equals(spec.ozone().generator());
  }

  private void ozone(Command command, Moment now) {
    OzoneSpec rule = Objects.requireNonNull(spec.ozone());
    LocalDate night = openNight(rule.windows(), now);
    check(1, now.trusted() && night != null, now, command + " outside its windows");
    check(10, reserved, now, command + " without a reservation on the disk");
    for (String probe : rule.probes()) {
      check(2, isGood(probe, now), now, command + " while " + probe + " is not good");
      check(
          2,
          signals.value(probe) < rule.ceilingMillivolts(),
          now,
          command + " with " + probe + " at or over the ceiling");
    }
    if (night != null) {
      totals(rule, night, now);
    }
  }

  private void totals(OzoneSpec rule, LocalDate night, Moment now) {
    Told live = Objects.requireNonNull(told.get(rule.generator()));
    long run = now.monoNanos() - live.firstNanos();
    long inNight = run;
    long in24h = run;
    for (Span span : ozone) {
      inNight += span.night().equals(night) ? span.to() - span.from() : 0;
      long from = Math.max(span.from(), now.monoNanos() - DAY.toNanos());
      in24h += Math.max(0, span.to() - from);
    }
    check(3, inNight <= rule.mostPerNightNanos(), now, "the night's allowance is passed");
    check(3, in24h <= hard.ozonePer24hNanos(), now, "the hard limit of 24 h is passed");
  }

  /** In which night it was commanded: that of its window, or that of the clock. */
  private LocalDate night(ActuatorSpec actuator, Moment now) {
    OzoneSpec rule = spec.ozone();
    LocalDate open =
        rule != null && actuator.name().equals(rule.generator())
            ? openNight(rule.windows(), now)
            : null;
    return open == null ? nightOf(now) : open;
  }

  private void closes(Told run, long to, Moment now) {
    ozone.add(new Span(run.firstNanos(), to, run.night()));
    while (!ozone.isEmpty() && now.monoNanos() - ozone.getFirst().to() > 2 * DAY.toNanos()) {
      ozone.removeFirst();
    }
  }

  private void pump(Command command, Moment now) {
    ExchangeSpec rule = Objects.requireNonNull(spec.exchange());
    boolean drains = command.actuator().equals(rule.drain().name());
    boolean paired = rule.kind() == ExchangeSpec.Kind.PAIRED;
    String other = drains ? rule.fill().name() : rule.drain().name();
    check(10, portion, now, command + " without a portion on the disk");
    check(6, paired || !isOn(other, now), now, command + " while " + other + " may run");
    check(6, paired || drains != drained, now, command + " in the other half of its portion");
    spec.actuators().stream()
        .filter(each -> each.function() == TankFunction.TOP_OFF)
        .forEach(
            hold -> check(6, isOn(hold.name(), now), now, command + " while top-off is not held"));
    check(
        1,
        !drains || (now.trusted() && openNight(rule.windows(), now) != null),
        now,
        command + " outside its windows");
    ExchangeSpec.Level level = rule.level();
    if (level != null) {
      double value = signals.value(level.sensor());
      check(2, isGood(level.sensor(), now), now, command + " while the level is not good");
      check(
          5,
          value > level.lowMillimetres() && value < level.highMillimetres(),
          now,
          command + " with the level out of its range");
    }
  }

  private boolean isOn(String actuator, Moment now) {
    Told last = told.get(actuator);
    return last != null && now.monoNanos() - (last.nanos() + last.seconds() * SECOND) < 0;
  }

  private boolean isGood(String sensor, Moment now) {
    return signals.isGood(sensor, now.monoNanos(), 0);
  }

  // What it leaves on.

  /**
   * A step of the daemon is done. What it was on before and is to be at rest now has been told so
   * in that step: an OFF waits for nothing. Where only time forbids it, a second is left to it.
   */
  void stepped(Moment now) {
    for (Map.Entry<String, Told> entry : told.entrySet()) {
      ActuatorSpec actuator = actuators.get(entry.getKey());
      Told last = entry.getValue();
      boolean on = now.monoNanos() - (last.nanos() + last.seconds() * SECOND) < 0;
      if (!on || actuator == null || actuator.function() == TankFunction.TOP_OFF) {
        continue;
      }
      forbidden(actuator.function(), SECOND, now)
          .ifPresent(why -> breaks(7, now, actuator.name() + " is left on while " + why));
      if (actuator.function() == TankFunction.OZONE) {
        leftOn(Objects.requireNonNull(spec.ozone()), now);
      }
    }
  }

  private void leftOn(OzoneSpec rule, Moment now) {
    check(
        1,
        now.trusted() && openNight(rule.windows(), now) != null,
        now,
        "ozone is left on outside its windows");
    for (String probe : rule.probes()) {
      check(
          2,
          signals.isGood(probe, now.monoNanos(), SECOND)
              && signals.value(probe) < rule.ceilingMillivolts(),
          now,
          "ozone is left on with " + probe + " at " + signals.value(probe));
    }
  }

  /** Which cause of an interlock stands, or cannot be told, that stops a function. */
  private Optional<String> forbidden(TankFunction function, long slackNanos, Moment now) {
    for (InterlockSpec interlock : spec.interlocks()) {
      if (interlock.stops().contains(function)) {
        Verdict verdict = signals.verdict(interlock.cause(), now.monoNanos(), slackNanos);
        if (verdict != Verdict.FALSE) {
          return Optional.of(interlock.name() + " is " + verdict);
        }
      }
    }
    return Optional.empty();
  }

  // What truly happens.

  void looks(SiteRig rig, Moment now) {
    TankRig tank = rig.tank(spec.name());
    for (ActuatorSpec actuator : spec.actuators()) {
      Long bound = bounds.get(actuator.name());
      boolean mayBeOn = bound != null && now.monoNanos() - bound <= SECOND;
      check(
          4,
          excused || !tank.device(actuator.name()).on() || mayBeOn,
          now,
          actuator.name() + " is on past every lease");
    }
    ExchangeSpec rule = spec.exchange();
    if (rule != null) {
      SimulatedTank water = tank.tank();
      double apart = water.outLitres() - water.inLitres();
      if (!portion || begun || excused) {
        begun = false;
        apartBefore = apart;
      }
      double ofPortion = Math.abs(apart - apartBefore);
      check(
          6,
          excused || ofPortion <= rule.imbalanceLitres(),
          now,
          "out and in are " + ofPortion + " L apart");
    }
  }

  // Windows, in its own words.

  /**
   * The night of the window that is open now; null for none. A window opens at its local time, at
   * the earlier offset where that comes twice and at the end of the gap where it does not come, and
   * closes after its nominal length or at its local end, whichever is first.
   */
  private @Nullable LocalDate openNight(List<WindowSpec> windows, Moment now) {
    LocalDate today = now.wall().atZone(zone).toLocalDate();
    for (WindowSpec window : windows) {
      for (LocalDate day : List.of(today.minusDays(1), today)) {
        LocalDate night = window.from().getHour() < 12 ? day.minusDays(1) : day;
        if (!window.days().contains(night.getDayOfWeek())) {
          continue;
        }
        LocalDate last = window.to().isAfter(window.from()) ? day : day.plusDays(1);
        Instant from = instant(day.atTime(window.from()));
        Duration nominal = Duration.between(day.atTime(window.from()), last.atTime(window.to()));
        Instant local = instant(last.atTime(window.to()));
        Instant whole = from.plus(nominal);
        Instant to = local.isAfter(from) && local.isBefore(whole) ? local : whole;
        if (!now.wall().isBefore(from) && now.wall().isBefore(to)) {
          return night;
        }
      }
    }
    return null;
  }

  private Instant instant(LocalDateTime local) {
    ZoneOffsetTransition change = zone.getRules().getTransition(local);
    if (change != null && change.isGap()) {
      return change.getInstant();
    }
    return ZonedDateTime.ofLocal(local, zone, null).withEarlierOffsetAtOverlap().toInstant();
  }

  private LocalDate nightOf(Moment now) {
    return now.wall().atZone(zone).minusHours(12).toLocalDate();
  }

  private void check(int invariant, boolean holds, Moment now, String what) {
    if (!holds) {
      breaks(invariant, now, what);
    }
  }

  private void breaks(int invariant, Moment now, String what) {
    finding.found(invariant, now.wall(), what);
  }
}

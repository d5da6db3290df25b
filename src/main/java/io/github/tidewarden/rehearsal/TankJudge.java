package io.github.tidewarden.rehearsal;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.TankMemory;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.gate.Command;
import io.github.tidewarden.gate.HardLimits;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.WindowSpec;
import io.github.tidewarden.sensing.Reading;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;
import java.util.List;
import java.util.Map;
import java.util.Objects;
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
  private static final long DAY = Duration.ofDays(1).toNanos();

  /** After a signal that was lost, and for a reservation, readings and looks. */
  private static final long OZONE_RETURNS = Duration.ofMinutes(7).toNanos();

  /** For a level that has to be seen at rest, and for what comes before it. */
  private static final long EXCHANGE_RETURNS = Duration.ofMinutes(20).toNanos();

  /** A portion that would not be over by the window's end does not begin. */
  private static final Duration FITS = Duration.ofMinutes(20);

  /** A latch that is due may come with the next readings, and what was held up is none. */
  private static final long LATCHES_WITHIN = 30 * SECOND;

  /** What noise, and a correction of the portion, may make of a level. */
  private static final double SURE_MILLIMETRES = 3;

  /** More than noise makes of a portion, as a multiple of it. */
  private static final double MUCH = 1.25;

  private final TankSpec spec;
  private final JudgedWindows windows;
  private final HardLimits hard;
  private final Finding finding;
  private final JudgedSignals signals;
  private final Map<String, ActuatorSpec> actuators;
  private final JudgedCauses causes;
  private final JudgedTruth truth;
  private final JudgedReturn ozoneReturns;
  private final JudgedReturn exchangeReturns;
  private final @Nullable JudgedOzone ozone;
  private final JudgedLatches latches = new JudgedLatches();
  private final JudgedHolds holds = new JudgedHolds();
  private final JudgedOrders orders = new JudgedOrders();
  private boolean reserved;
  private boolean portion;

  /** The same by what is on the disk. */
  private boolean durablePortion;

  /** Until then the daemon counts all that it may give as spent. */
  private long countsAllUntil = Long.MIN_VALUE / 2;

  /** How many have begun in this night. */
  private int portions;

  /** By how much what went out was told to be more than they were to be, L: a siphon does that. */
  private double beyond;

  /**
   * The last nights whose window for ozone, and whose share of water, the records close: a clock
   * that was wrong for a while may have closed them early, and they open no more.
   */
  private LocalDate ozoneClosed = LocalDate.MIN;

  private LocalDate waterClosed = LocalDate.MIN;

  private boolean drained;

  TankJudge(TankSpec spec, ZoneId zone, HardLimits hard, Finding finding) {
    this.spec = spec;
    windows = new JudgedWindows(zone);
    this.hard = hard;
    this.finding = finding;
    signals = new JudgedSignals(spec.sensors());
    causes = new JudgedCauses(spec, signals);
    truth = new JudgedTruth(spec, windows, hard, this::forbids, finding);
    OzoneSpec rule = spec.ozone();
    ozone = rule == null ? null : new JudgedOzone(rule, windows, hard, finding);
    ozoneReturns = new JudgedReturn("ozone", OZONE_RETURNS, finding);
    exchangeReturns = new JudgedReturn("the exchange", EXCHANGE_RETURNS, finding);
    actuators =
        spec.actuators().stream().collect(Collectors.toMap(ActuatorSpec::name, each -> each));
  }

  // What the daemon knows.

  void hears(SiteRig.Message message, boolean retained, Moment now) {
    signals.hears(message, retained, now.monoNanos());
  }

  /** The daemon takes a message, which may be what a device says of itself. */
  void takes(Reading reading, Moment now) {
    spec.confirms()
        .forEach(
            (actuator, confirm) -> {
              if (confirm.topic().equals(reading.topic())) {
                String payload = new String(reading.payload(), StandardCharsets.UTF_8);
                orders.hears(actuator, confirm, payload, now);
              }
            });
  }

  /** The link is gone. */
  void unheard() {
    orders.unheard();
  }

  /** The daemon starts again: what was not on the disk is gone, and nothing was heard yet. */
  void restarted(Moment now) {
    signals.forget();
    causes.forget();
    orders.forget();
    latches.restarted();
    reserved = false;
    portion = durablePortion;
    if (ozone != null) {
      ozone.restarted(now);
    }
    ozoneReturns.restsUntil(now.monoNanos() + shortestOffNanos());
    exchangeReturns.restsUntil(now.monoNanos());
  }

  /** What its devices and its water truly do. */
  JudgedTruth truth() {
    return truth;
  }

  /**
   * A daemon that starts again has every latch that was on the disk, or one that stands for all
   * since the disk cannot be read.
   */
  void remembers(TankMemory memory, String altered, Moment now) {
    check(
        10,
        altered.isEmpty() || memory.latches().containsKey(TankMemory.UNREADABLE),
        now,
        altered + " of the audit is altered, and the tank did not start latched");
    latches.forgotten(memory).forEach(latch -> breaks(8, now, latch + " is forgotten"));
    boolean under = memory.water().portion() != null;
    if (memory.latches().containsKey(TankMemory.UNREADABLE)) {
      countsAllUntil = now.monoNanos() + DAY; // what was spent in 24 h nobody knows
      durablePortion = under;
    }
    check(8, under || !durablePortion, now, "the portion under way is forgotten");
  }

  void written(AuditRecord record) {
    latches.written(record);
    switch (record.kind()) {
      case TRIP -> {
        String name = String.valueOf(record.fields().get("name"));
        if (causes.tripped(name) && !latches.stands(name)) {
          finding.found(8, record.at(), name + " has tripped as often as latches, and does not");
        }
      }
      case REST -> reserved = false;
      case DRAINED -> {
        drained = true;
        beyond += beyond(record);
      }
      case FILLED -> portion = false;
      default -> {
        // Nothing that permits or forbids.
      }
    }
  }

  void durable(AuditRecord record, Moment now) {
    latches.durable(record);
    switch (record.kind()) {
      case RESERVED -> reserved = true;
      case TRIP -> causes.counted(String.valueOf(record.fields().get("name")));
      case FILLED -> durablePortion = false;
      case WINDOW_CLOSED, MISSED -> ozoneClosed = night(record);
      case EXCHANGED -> waterClosed = night(record);
      case PORTION -> {
        portion = true;
        durablePortion = true;
        portions++;
        drained = false;
        truth.portion();
      }
      case ACT -> {
        holds.durable(record, now);
        if (JudgedLatches.isReset(record)) {
          causes.reset(String.valueOf(record.fields().get("name")));
          portion &= !isOfAPortion(record);
          durablePortion &= portion;
        }
      }
      default -> {
        // Nothing that waits for the disk.
      }
    }
  }

  private static LocalDate night(AuditRecord record) {
    return LocalDate.parse(String.valueOf(record.fields().get("night")));
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
    boolean ran = orders.running().contains(command.actuator());
    orders.commanded(command, now);
    if (!command.runs()) {
      if (ozone != null && isGenerator(command)) {
        ozone.rests(now);
        ozoneReturns.restsUntil(ran ? now.monoNanos() + shortestOffNanos() : Long.MIN_VALUE / 2);
      }
      return;
    }
    int longest = Math.min(actuator.dropOutSeconds(), hard.longestDropOutSeconds());
    check(4, command.leaseSeconds() <= longest, now, command + " for longer than its drop-out");
    int expires = Math.max(1, actuator.dropOutSeconds() / 3);
    check(4, command.expirySeconds() <= expires, now, command + " may come too late");
    truth.ran(command, now);
    if (actuator.function() != TankFunction.TOP_OFF) { // to run is to hold it
      boolean refills = isFill(actuator) && drained; // what is out may come in again
      check(
          5,
          refills || !holds.holds(actuator.function(), now),
          now,
          command + " while a keeper holds it");
      latches
          .stops(actuator.function())
          .ifPresent(why -> breaks(5, now, command + " while " + why));
      causes
          .forbids(actuator.function(), 0, now)
          .or(() -> causes.rests(actuator.function(), now))
          .ifPresent(why -> breaks(5, now, command + " while " + why));
    }
    if (isGenerator(command)) {
      ozone(command, now);
    } else if (actuator.function() == TankFunction.EXCHANGE) {
      pump(command, now);
      exchangeReturns.works();
    }
  }

  private long shortestOffNanos() {
    return spec.ozone() == null ? 0 : spec.ozone().shortestOffNanos();
  }

  private boolean isFill(ActuatorSpec actuator) {
    ExchangeSpec exchange = spec.exchange();
    return exchange != null && actuator.name().equals(exchange.fill().name());
  }

  private boolean isGenerator(Command command) {
    return spec.ozone() != null && command.actuator().equals(spec.ozone().generator());
  }

  private void ozone(Command command, Moment now) {
    OzoneSpec rule = Objects.requireNonNull(spec.ozone());
    check(1, mayBeOpen(rule.windows(), now), now, command + " outside its windows");
    check(10, reserved, now, command + " without a reservation on the disk");
    for (String probe : rule.probes()) {
      check(2, isGood(probe, now), now, command + " while " + probe + " is not good");
      check(
          2,
          signals.value(probe) < rule.ceilingMillivolts(),
          now,
          command + " with " + probe + " at or over the ceiling");
    }
    long bound = Objects.requireNonNull(orders.bound(command.actuator()));
    long since = Objects.requireNonNull(ozone).runs(bound, now);
    ozoneReturns.works();
    ozoneReturns.restsUntil(
        Math.max(bound, since + rule.shortestOnNanos()) + rule.shortestOffNanos());
  }

  private void pump(Command command, Moment now) {
    ExchangeSpec rule = Objects.requireNonNull(spec.exchange());
    boolean drains = command.actuator().equals(rule.drain().name());
    boolean paired = rule.kind() == ExchangeSpec.Kind.PAIRED;
    String other = drains ? rule.fill().name() : rule.drain().name();
    check(10, portion, now, command + " without a portion on the disk");
    check(6, paired || !orders.isOn(other, now), now, command + " while " + other + " may run");
    check(6, paired || drains != drained, now, command + " in the other half of its portion");
    spec.actuators().stream()
        .filter(each -> each.function() == TankFunction.TOP_OFF)
        .forEach(
            hold ->
                check(
                    6, orders.isOn(hold.name(), now), now, command + " while top-off is not held"));
    check(1, !drains || mayBeOpen(rule.windows(), now), now, command + " outside its windows");
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

  private boolean isOpen(List<WindowSpec> spans, Moment now) {
    return now.trusted() && windows.open(spans, now.wall()) != null;
  }

  /** The same by a clock that is trusted and may be a little wrong. */
  private boolean mayBeOpen(List<WindowSpec> spans, Moment now) {
    return now.trusted() && windows.isNearlyOpen(spans, now.wall());
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
    causes.stepped(now);
    for (String name : causes.mustLatch(LATCHES_WITHIN, now)) {
      check(8, latches.stands(name), now, name + " has stood for as long as latches, and does not");
    }
    for (String actuator : orders.leftUnasked(now)) {
      breaks(4, now, actuator + " says that it is on unasked, and is not told to rest");
    }
    for (String name : orders.unconfirmed(spec.confirms(), now)) {
      ActuatorSpec mute = actuators.get(name);
      if (mute != null && mute.function() != TankFunction.TOP_OFF) { // that is held on
        breaks(4, now, name + " did not confirm that it runs, and runs on");
      }
    }
    for (String name : orders.running()) {
      ActuatorSpec actuator = actuators.get(name);
      boolean on = orders.isOn(name, now);
      if (!on || actuator == null || actuator.function() == TankFunction.TOP_OFF) {
        continue;
      }
      causes
          .forbids(actuator.function(), SECOND, now)
          .ifPresent(why -> breaks(7, now, actuator.name() + " is left on while " + why));
      if (actuator.function() == TankFunction.OZONE) {
        leftOn(Objects.requireNonNull(spec.ozone()), now);
      }
    }
  }

  private void leftOn(OzoneSpec rule, Moment now) {
    check(1, mayBeOpen(rule.windows(), now), now, "ozone is left on outside its windows");
    for (String probe : rule.probes()) {
      check(
          2,
          signals.isGood(probe, now.monoNanos(), SECOND)
              && signals.value(probe) < rule.ceilingMillivolts(),
          now,
          "ozone is left on with " + probe + " at " + signals.value(probe));
    }
  }

  // What truly happens.

  /** Looks at devices and water. */
  void looks(SiteRig rig, Moment now) {
    truth.looks(rig, portion, now);
  }

  /**
   * Looks whether what nothing forbids is done.
   *
   * @param well whether nothing of what the judge does not know is in its way
   */
  void looks(boolean well, Moment now) {
    if (!well || now.monoNanos() - countsAllUntil < 0) {
      ozoneReturns.looks(false, now);
      exchangeReturns.looks(false, now);
      return;
    }
    OzoneSpec rule = spec.ozone();
    if (rule != null && !orders.isOn(rule.generator(), now)) {
      ozoneReturns.looks(!portion && isOzoneWanted(rule, now), now);
    }
    ExchangeSpec exchange = spec.exchange();
    if (exchange != null) {
      boolean doses = rule != null && orders.isOn(rule.generator(), now) && !exchange.whileOzone();
      exchangeReturns.looks(!doses && isExchangeWanted(exchange, now), now);
    }
  }

  private boolean isOzoneWanted(OzoneSpec rule, Moment now) {
    JudgedWindows.Open open = windows.open(rule.windows(), now.wall());
    return isOpen(rule.windows(), now)
        && Objects.requireNonNull(open).night().isAfter(ozoneClosed)
        && Objects.requireNonNull(ozone).hasLeft(open.night())
        && Duration.between(now.wall(), open.to()).compareTo(Duration.ofMinutes(1)) > 0
        && causes.quiet(TankFunction.OZONE, now)
        && rule.probes().stream()
            .allMatch(
                probe -> isGood(probe, now) && signals.value(probe) < rule.startBelowMillivolts());
  }

  private boolean isExchangeWanted(ExchangeSpec rule, Moment now) {
    JudgedWindows.Open open = windows.open(rule.windows(), now.wall());
    ExchangeSpec.Level level = rule.level();
    return isOpen(rule.windows(), now)
        && Objects.requireNonNull(open).night().isAfter(waterClosed)
        && (portion || isDue(rule, now))
        && Duration.between(now.wall(), open.to()).compareTo(FITS) > 0
        && causes.quiet(TankFunction.EXCHANGE, now)
        && rule.shares().isEmpty() // of what others use nothing is known here
        && (level == null || fits(rule, level, now));
  }

  /** Whether a portion surely fits into the level's range. */
  private boolean fits(ExchangeSpec rule, ExchangeSpec.Level level, Moment now) {
    double value = signals.value(level.sensor());
    double falls = rule.portionLitres() / level.litresPerMillimetre() + SURE_MILLIMETRES;
    return isGood(level.sensor(), now)
        && (portion || value - falls > level.lowMillimetres())
        && value + SURE_MILLIMETRES < level.highMillimetres();
  }

  private boolean isDue(ExchangeSpec rule, Moment now) {
    double given = portions + Math.ceil(beyond / rule.portionLitres());
    return given < windows.due(rule.windows(), portionsOf(rule), now.wall());
  }

  private double beyond(AuditRecord drained) {
    ExchangeSpec rule = spec.exchange();
    if (rule == null || !(drained.fields().get("out-ml") instanceof Long millilitres)) {
      return 0;
    }
    double out = millilitres / 1000.0;
    return out < MUCH * rule.portionLitres() ? 0 : out - rule.portionLitres();
  }

  private static int portionsOf(ExchangeSpec rule) {
    return (int) Math.ceil(rule.litresPerDay() / rule.portionLitres() - 1e-9);
  }

  /** Whether the daemon counted all that it may give as spent at some time since. */
  boolean countedAll(long sinceNanos) {
    return countsAllUntil - sinceNanos > 0;
  }

  /** A night is over. */
  void ends() {
    portions = 0;
    beyond = 0;
    causes.ends();
    if (ozone != null) {
      ozone.ends();
    }
  }

  /** How often ozone or exchange worked again after something had been in its way. */
  int returns() {
    return ozoneReturns.returns() + exchangeReturns.returns();
  }

  /** Why an actuator must be at rest by what the daemon can know; null when it may run. */
  private JudgedTruth.@Nullable Forbidden forbids(ActuatorSpec actuator, Moment now) {
    TankFunction function = actuator.function();
    OzoneSpec rule = spec.ozone();
    if (rule != null && actuator.name().equals(rule.generator())) {
      if (!mayBeOpen(rule.windows(), now)) {
        return new JudgedTruth.Forbidden(1, "no window is open");
      }
      for (String probe : rule.probes()) {
        if (!isGood(probe, now) || signals.value(probe) >= rule.ceilingMillivolts()) {
          return new JudgedTruth.Forbidden(2, probe + " is at " + signals.value(probe));
        }
      }
    }
    ExchangeSpec exchange = spec.exchange();
    if (exchange != null
        && actuator.name().equals(exchange.drain().name())
        && !mayBeOpen(exchange.windows(), now)) {
      return new JudgedTruth.Forbidden(1, "no window is open");
    }
    return latches
        .stops(function)
        .or(() -> causes.forbids(function, 0, now))
        .or(() -> causes.rests(function, now))
        .map(why -> new JudgedTruth.Forbidden(5, why))
        .orElse(null);
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

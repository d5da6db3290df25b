package io.github.tidewarden.rehearsal;

import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.exchange.Rates;
import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.gate.Command;
import io.github.tidewarden.gate.HardLimits;
import io.github.tidewarden.interlock.Condition;
import io.github.tidewarden.interlock.InterlockSpec;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.interlock.Verdict;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.sensing.SensorSpec;
import java.time.Duration;
import java.time.LocalDate;
import java.util.ArrayDeque;
import java.util.HashMap;
import java.util.HashSet;
import java.util.Map;
import java.util.OptionalDouble;
import java.util.Set;
import java.util.function.BiFunction;
import org.jspecify.annotations.Nullable;

/**
 * What devices and water of a tank truly do, whatever was commanded: within lease bounds, and where
 * a sensor is what tells it, within its noise and its stale limit. A device that does what nobody
 * told it (welded, woken, told by somebody else) is not judged until that is over and it was seen
 * at rest; the water, until the next portion.
 */
final class JudgedTruth {

  /**
   * Why an actuator must be at rest.
   *
   * @param invariant by which one
   */
  record Forbidden(int invariant, String why) {}

  private static final long SECOND = 1_000_000_000L;
  private static final long DAY = Duration.ofHours(24).toNanos();

  /** So many standard deviations of its noise from a limit, a sensor cannot miss it for long. */
  private static final double SURE = 4;

  /** Ozone that was truly given, told at this time. */
  private record Given(long atNanos, long nanos) {}

  private final TankSpec spec;
  private final JudgedWindows windows;
  private final HardLimits hard;
  private final BiFunction<ActuatorSpec, Moment, @Nullable Forbidden> forbids;
  private final TankJudge.Finding finding;
  private final JudgedSignals low;
  private final JudgedSignals high;

  /** Until when each device may run by the last run that was sent: rest may not have got there. */
  private final Map<String, Long> bounds = new HashMap<>();

  /** What is wrong with each device, in number, and which was not yet seen at rest since. */
  private final Map<String, Integer> wrongDevices = new HashMap<>();

  private final Set<String> excused = new HashSet<>();

  /** Since when each device was seen to run while something forbids that, by its name. */
  private final Map<String, Map<String, Long>> since = new HashMap<>();

  /** Whether the sensors were asked in this look. */
  private boolean sensed;

  private final Map<LocalDate, Long> ozoneOfNight = new HashMap<>();
  private final ArrayDeque<Given> ozone = new ArrayDeque<>();
  private @Nullable Long ozoneBefore;
  private @Nullable LocalDate night;

  /** In which night the water is looked at, and what had gone out when that began. */
  private @Nullable LocalDate waterNight;

  private double outBefore;

  private int wrongWaters;
  private boolean waterExcused;

  /** Whether nobody has looked at the water yet since the portion began. */
  private boolean begun;

  /** What out and in were apart before the portion: over many nights noise adds up. */
  private double apartBefore;

  /**
   * Nothing seen yet.
   *
   * @param forbids why an actuator must be at rest by what the daemon can know; null when it may
   *     run
   */
  JudgedTruth(
      TankSpec spec,
      JudgedWindows windows,
      HardLimits hard,
      BiFunction<ActuatorSpec, Moment, @Nullable Forbidden> forbids,
      TankJudge.Finding finding) {
    this.spec = spec;
    this.windows = windows;
    this.hard = hard;
    this.forbids = forbids;
    this.finding = finding;
    low = new JudgedSignals(spec.sensors());
    high = new JudgedSignals(spec.sensors());
  }

  /** A run is sent. */
  void ran(Command command, Moment now) {
    bounds.put(
        command.actuator(),
        now.monoNanos() + (command.leaseSeconds() + command.expirySeconds()) * SECOND);
  }

  /** Something is wrong with a device, or is no more. */
  void excuses(String device, boolean wrong) {
    wrongDevices.merge(device, wrong ? 1 : -1, Integer::sum);
    excused.add(device);
  }

  /** Something is wrong with the water or with what is said of it, or is no more. */
  void excusesWater(boolean wrong) {
    wrongWaters += wrong ? 1 : -1;
    waterExcused = true;
  }

  /** A portion begins. */
  void portion() {
    begun = true;
    waterExcused = wrongWaters > 0;
  }

  /**
   * Looks.
   *
   * @param portion whether a portion is under way
   */
  void looks(SiteRig rig, boolean portion, Moment now) {
    TankRig tank = rig.tank(spec.name());
    sensed = false;
    for (ActuatorSpec actuator : spec.actuators()) {
      String name = actuator.name();
      boolean on = tank.device(name).on();
      if (!on && wrongDevices.getOrDefault(name, 0) == 0) {
        excused.remove(name);
      }
      if (!on || excused.contains(name)) {
        since.remove(name);
      } else {
        runs(actuator, rig, now);
      }
    }
    if (spec.ozone() != null) {
      ozone(spec.ozone(), tank, now);
    }
    if (spec.exchange() != null) {
      water(spec.exchange(), tank.tank(), portion, now);
    }
  }

  private void runs(ActuatorSpec actuator, SiteRig rig, Moment now) {
    Long bound = bounds.get(actuator.name());
    boolean mayBeOn = bound != null && now.monoNanos() - bound <= SECOND;
    check(4, mayBeOn, now, actuator.name() + " is on past every lease");
    if (actuator.function() == TankFunction.TOP_OFF) { // to run is to hold it
      return;
    }
    senses(rig, now);
    lasts(actuator, "", forbids.apply(actuator, now), Set.of(), now);
    for (InterlockSpec interlock : spec.interlocks()) {
      Condition cause = interlock.cause();
      if (interlock.stops().contains(actuator.function()) && !isOfTwo(cause)) {
        Forbidden forbidden =
            stands(cause, now)
                ? new Forbidden(5, "the cause of " + interlock.name() + " truly stands")
                : null;
        lasts(actuator, interlock.name(), forbidden, cause.watched(), now);
      }
    }
    OzoneSpec rule = spec.ozone();
    if (rule != null && actuator.name().equals(rule.generator())) {
      for (String probe : rule.probes()) {
        Forbidden forbidden =
            stands(new Condition.Above(probe, rule.ceilingMillivolts()), now)
                ? new Forbidden(2, "the redox at " + probe + " is truly over the ceiling")
                : null;
        lasts(actuator, probe, forbidden, Set.of(probe), now);
      }
    }
  }

  /**
   * What forbids a device for longer than its lease may last, and sensors that tell it may be
   * silent, must find it at rest.
   */
  private void lasts(
      ActuatorSpec actuator,
      String cause,
      @Nullable Forbidden forbidden,
      Set<String> sensors,
      Moment now) {
    Map<String, Long> running = since.computeIfAbsent(actuator.name(), any -> new HashMap<>());
    if (forbidden == null) {
      running.remove(cause);
      return;
    }
    long began = running.computeIfAbsent(cause, any -> now.monoNanos());
    int lease = actuator.dropOutSeconds();
    long most = longestStale(sensors) + (lease + Math.max(1, lease / 3) + 1) * SECOND;
    check(
        forbidden.invariant(),
        now.monoNanos() - began <= most,
        now,
        actuator.name() + " truly is on though " + forbidden.why());
  }

  // What the sound sensors truly have before them.

  private void senses(SiteRig rig, Moment now) {
    if (sensed) {
      return;
    }
    sensed = true;
    low.forget();
    high.forget();
    if (wrongWaters > 0) {
      return;
    }
    for (SensorSpec sensor : spec.sensors()) {
      OptionalDouble shown = rig.shows(sensor);
      if (shown.isPresent()) {
        double sure = sensor.measure().contact() ? 0 : SURE * rig.noise(sensor);
        double value = shown.getAsDouble();
        low.sees(sensor.name(), value - sure, now.monoNanos());
        high.sees(sensor.name(), value + sure, now.monoNanos());
      }
    }
  }

  private boolean stands(Condition cause, Moment now) {
    return low.verdict(cause, now.monoNanos(), 0) == Verdict.TRUE
        && high.verdict(cause, now.monoNanos(), 0) == Verdict.TRUE;
  }

  /** How far two signals are apart is no matter of one limit. */
  private static boolean isOfTwo(Condition cause) {
    return cause.watched().size() > 1;
  }

  private long longestStale(Set<String> watched) {
    return spec.sensors().stream()
        .filter(sensor -> watched.contains(sensor.name()))
        .mapToLong(SensorSpec::staleNanos)
        .max()
        .orElse(0);
  }

  // Totals.

  private void ozone(OzoneSpec rule, TankRig tank, Moment now) {
    long on = tank.device(rule.generator()).onNanos();
    JudgedWindows.Open open = windows.open(rule.windows(), now.wall());
    LocalDate of =
        open != null ? open.night() : night != null ? night : windows.nightOf(now.wall());
    night = of;
    boolean judged = !excused.contains(rule.generator());
    if (judged && ozoneBefore != null && on > ozoneBefore) {
      ozone.add(new Given(now.monoNanos(), on - ozoneBefore));
      long inNight = ozoneOfNight.merge(of, on - ozoneBefore, Long::sum);
      ozone.removeIf(given -> now.monoNanos() - given.atNanos() > DAY);
      long in24h = ozone.stream().mapToLong(Given::nanos).sum();
      check(
          3,
          inNight <= rule.mostPerNightNanos() + SECOND,
          now,
          rule.generator() + " has truly run for longer than the night's allowance");
      check(
          3,
          in24h <= hard.ozonePer24hNanos() + SECOND,
          now,
          rule.generator() + " has truly run for longer than the hard limit of 24 h");
    }
    ozoneBefore = judged ? Long.valueOf(on) : null;
  }

  private void water(ExchangeSpec rule, SimulatedTank water, boolean portion, Moment now) {
    double apart = water.outLitres() - water.inLitres();
    if (!portion || begun || waterExcused) {
      begun = false;
      apartBefore = apart;
    }
    double ofPortion = Math.abs(apart - apartBefore);
    check(
        6,
        waterExcused || ofPortion <= rule.imbalanceLitres(),
        now,
        "out and in are " + ofPortion + " L apart");
    mostWater(rule, water.outLitres(), now);
  }

  /** Pumps may be off, and a portion may be under way when nobody knows any more. */
  private void mostWater(ExchangeSpec rule, double outLitres, Moment now) {
    JudgedWindows.Open open = windows.open(rule.windows(), now.wall());
    LocalDate of = open == null ? waterNight : open.night(); // a window may go on over noon
    if (waterExcused || (of != null && !of.equals(waterNight))) {
      waterNight = of;
      outBefore = outLitres;
    }
    double out = outLitres - outBefore;
    double share = rule.litresPerDay() * (1 + Rates.MOST_OFF) + rule.portionLitres();
    check(6, out <= share, now, out + " L went out in a night, of at most " + rule.litresPerDay());
  }

  private void check(int invariant, boolean holds, Moment now, String what) {
    if (!holds) {
      finding.found(invariant, now.wall(), what);
    }
  }
}

package io.github.tidewarden.gate;

import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.NightPlan;
import io.github.tidewarden.schedule.OpenWindow;
import io.github.tidewarden.sensing.Signal;
import java.time.LocalDate;
import java.time.temporal.ChronoUnit;
import java.util.ArrayList;
import java.util.Collection;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/**
 * The one door through which every command to a tank's actuators passes. It starts closed, reads
 * the raw world itself, and turns things off on its own cycle whatever is proposed. Rest is always
 * permitted; a run needs every one of: it is asked for, nothing stops it, the link is up, the wall
 * clock is trusted, a window is open, every probe is good, fresh and under the ceiling, the night's
 * allowance and the rolling 24 h are not overdrawn, and time for it was reserved and is on disk.
 */
public final class Gate {

  /** A reservation is filled up again when less than this is left of it. */
  static final long RESERVE_AHEAD_NANOS = TimeUnit.SECONDS.toNanos(10);

  private static final long SECOND = 1_000_000_000L;
  private static final long MINUTE = 60 * SECOND;
  private static final String WINDOW_NEARLY_OVER = "too little is left of the window";

  private final String tank;
  private final Map<String, ActuatorSpec> actuators = new TreeMap<>();
  private final @Nullable OzoneLimits ozone;
  private final @Nullable PumpGate pumps;

  /**
   * The limits of a tank's ozone.
   *
   * @param generator the actuator's name
   * @param ceilingMillivolts at or over this on any probe it is at rest
   * @param perNightNanos most running time in a night, positive
   * @param per24hNanos most running time in any rolling 24 h, positive
   * @param quantumNanos most that one reservation takes, positive
   */
  public record OzoneLimits(
      String generator,
      double ceilingMillivolts,
      long perNightNanos,
      long per24hNanos,
      long quantumNanos) {

    /**
     * Checks against what is compiled in: a limit that is absent or 0 is never "no limit".
     *
     * @throws IllegalArgumentException when a limit is not a number or out of bounds
     */
    public OzoneLimits {
      require(
          ceilingMillivolts >= HardLimits.MIN_REDOX_MILLIVOLTS
              && ceilingMillivolts <= HardLimits.MAX_REDOX_MILLIVOLTS,
          "a ceiling of " + ceilingMillivolts + " mV");
      require(perNightNanos > 0, "an allowance of " + perNightNanos + " ns");
      require(
          per24hNanos > 0 && per24hNanos <= MINUTE * HardLimits.MAX_OZONE_PER_24H_MINUTES,
          "a limit in 24 h of " + per24hNanos + " ns");
      require(
          quantumNanos > 0 && quantumNanos <= MINUTE * HardLimits.MAX_QUANTUM_MINUTES,
          "a quantum of " + quantumNanos + " ns");
    }
  }

  /**
   * What the gate looks at for ozone.
   *
   * @param now both clocks and whether the wall clock is trusted
   * @param linkUp whether commands can be sent
   * @param asked whether a run is proposed
   * @param stops why it may not run, from the interlocks
   * @param redox every probe of the tank
   * @param plan the windows of this night
   * @param closed ids of windows that have closed and do not open again
   * @param spentInNightNanos running time counted against this night, the grant in full
   * @param spentIn24hNanos running time counted against the rolling 24 h, the grant in full
   * @param grantNanos time reserved on disk for this run since it began; 0 for none
   * @param grantNight the night whose allowance the grant takes; null for none
   */
  public record World(
      Moment now,
      boolean linkUp,
      boolean asked,
      List<String> stops,
      List<Signal> redox,
      NightPlan plan,
      Collection<String> closed,
      long spentInNightNanos,
      long spentIn24hNanos,
      long grantNanos,
      @Nullable LocalDate grantNight) {

    /**
     * Checks.
     *
     * @throws IllegalArgumentException when an account is negative
     */
    public World {
      require(
          spentInNightNanos >= 0 && spentIn24hNanos >= 0 && grantNanos >= 0,
          "an account that is overpaid");
    }
  }

  /**
   * What the gate decided.
   *
   * @param lease the live run; null when at rest
   * @param command what to send now; null for nothing
   * @param denials every reason why it may not run, first one first; empty when it may
   * @param reserveNanos time to be reserved on disk before the run can begin or go on; 0 for none
   */
  public record Decision(
      @Nullable Lease lease, @Nullable Command command, List<String> denials, long reserveNanos) {}

  /**
   * The gate of one tank.
   *
   * @param tank the tank's name
   * @param actuators every actuator of the tank, and of no other
   * @param ozone limits of its ozone; null for a tank without
   * @param water limits of its exchange; null for a tank without
   * @throws IllegalArgumentException when two actuators share a name or a topic, a drop-out time is
   *     out of bounds, or the limits name an actuator that is not there or serves something else
   */
  public Gate(
      String tank,
      List<ActuatorSpec> actuators,
      @Nullable OzoneLimits ozone,
      PumpGate.@Nullable Limits water) {
    this.tank = tank;
    Set<String> topics = new HashSet<>();
    for (ActuatorSpec spec : actuators) {
      require(
          spec.dropOutSeconds() >= HardLimits.MIN_DROP_OUT_SECONDS
              && spec.dropOutSeconds() <= HardLimits.MAX_DROP_OUT_SECONDS,
          "a drop-out of " + spec.dropOutSeconds() + " s");
      require(
          this.actuators.put(spec.name(), spec) == null && topics.add(spec.topic()),
          "a name or topic that is used twice, " + spec.name());
    }
    this.ozone = ozone;
    if (ozone != null) {
      require(ozone.generator(), TankFunction.OZONE);
    }
    pumps = water == null ? null : new PumpGate(this, water);
  }

  /** The gate's part for water; null for a tank without exchange. */
  public @Nullable PumpGate pumps() {
    return pumps;
  }

  /**
   * Rest for one actuator of this tank. Always permitted.
   *
   * @throws IllegalArgumentException when the tank has no such actuator
   */
  public Command rest(String actuator) {
    ActuatorSpec spec = actuator(actuator);
    return new Command(tank, spec.name(), spec.topic(), spec.restPayload(), 0, 0);
  }

  /** Rest for every actuator of this tank, sorted by name. */
  public List<Command> restAll() {
    return actuators.keySet().stream().map(this::rest).toList();
  }

  /**
   * Decides about the generator for this cycle.
   *
   * @param lease the live run of the last cycle; null when at rest
   * @throws IllegalStateException when the tank has no ozone
   */
  public Decision decideOzone(@Nullable Lease lease, World world) {
    OzoneLimits limits = ozone;
    if (limits == null) {
      throw new IllegalStateException(tank + " has no ozone");
    }
    ActuatorSpec generator = actuator(limits.generator());
    List<String> denials = new ArrayList<>();
    long left = denyOzone(limits, world, denials);
    if (lease != null && !lease.within(world.grantNanos())) {
      denials.add("what is reserved does not cover it");
    }
    if (!world.asked() || !denials.isEmpty()) {
      return resting(generator.name(), lease, denials);
    }
    return lease == null
        ? start(limits, generator, world, left)
        : renew(limits, generator, lease, world, left);
  }

  /** Adds every reason against a run; returns the nanoseconds left in the window. */
  private long denyOzone(OzoneLimits limits, World world, List<String> denials) {
    denials.addAll(world.stops());
    if (!world.linkUp()) {
      denials.add("the broker is not reached");
    }
    denyRedox(limits, world, denials);
    if (world.spentInNightNanos() > limits.perNightNanos()) {
      denials.add("the night's allowance is overdrawn");
    }
    if (world.spentIn24hNanos() > limits.per24hNanos()) {
      denials.add("the hard limit of 24 h is overdrawn");
    }
    if (!world.now().trusted()) {
      denials.add("the wall clock is not trusted");
      return 0;
    }
    OpenWindow window = world.plan().openAt(world.now().wall());
    if (window == null) {
      denials.add("no window is open");
      return 0;
    }
    if (world.closed().contains(window.id())) {
      denials.add("this night's window has closed already");
    }
    if (world.grantNanos() > 0 && !window.night().equals(world.grantNight())) {
      denials.add("what is reserved is of another night");
    }
    return world.now().wall().until(window.interval().end(), ChronoUnit.NANOS);
  }

  private static void denyRedox(OzoneLimits limits, World world, List<String> denials) {
    if (world.redox().isEmpty()) {
      denials.add("there is no redox probe");
    }
    for (Signal probe : world.redox()) {
      double value = probe.value();
      if (value >= limits.ceilingMillivolts()) {
        denials.add(
            probe.name()
                + " "
                + probe.measure().told(value)
                + " is at or over the ceiling, "
                + probe.measure().told(limits.ceilingMillivolts()));
      } else if (!probe.good()) {
        denials.add(probe.name() + " is " + probe.reason());
      } else if (!(value >= HardLimits.MIN_REDOX_MILLIVOLTS)) {
        denials.add(probe.name() + " " + probe.measure().told(value) + " is not believable");
      } else if (probe.ageNanos() < 0
          || probe.ageNanos() >= HardLimits.MAX_ANALOGUE_STALE_SECONDS * SECOND) {
        denials.add(probe.name() + " is stale");
      }
    }
  }

  private Decision start(
      OzoneLimits limits, ActuatorSpec generator, World world, long windowNanos) {
    if (world.grantNanos() == 0) {
      long quantum = affordable(limits, world, Math.min(limits.quantumNanos(), windowNanos));
      int first = lease(generator, Math.min(windowNanos, quantum));
      return first == 0
          ? denied(tooLittle(generator, windowNanos))
          : new Decision(null, null, List.of(), quantum);
    }
    int seconds = lease(generator, Math.min(windowNanos, world.grantNanos()));
    if (seconds == 0) {
      return denied(tooLittle(generator, windowNanos));
    }
    return new Decision(
        Lease.first(world.now().monoNanos(), seconds), run(generator, seconds), List.of(), 0);
  }

  private Decision renew(
      OzoneLimits limits, ActuatorSpec generator, Lease lease, World world, long windowNanos) {
    long now = world.now().monoNanos();
    long granted = world.grantNanos() - (now - lease.startedNanos());
    long whole = Lease.boundSeconds(generator.dropOutSeconds()) * SECOND;
    long more =
        granted < whole + RESERVE_AHEAD_NANOS && lease(generator, windowNanos) > 0
            ? affordable(
                limits, world, Math.min(limits.quantumNanos(), windowNanos) - Math.max(0, granted))
            : 0;
    int seconds = lease(generator, Math.min(windowNanos, granted));
    if (lease.ranOut(now)) {
      return new Decision(
          null,
          rest(generator.name()),
          List.of(whyEnded(generator, lease, windowNanos, granted, more)),
          0);
    }
    if (!lease.due(now) || !lease.extendedBy(now, seconds)) {
      return new Decision(lease, null, List.of(), more);
    }
    return new Decision(lease.renewed(now, seconds), run(generator, seconds), List.of(), more);
  }

  /**
   * A lease that was cut is the last of its window or of what is reserved; what is reserved up to
   * the end of a window is less by parts of a second.
   */
  private static String whyEnded(
      ActuatorSpec generator, Lease lease, long windowNanos, long grantedNanos, long moreNanos) {
    boolean renewable = lease(generator, Math.min(windowNanos, grantedNanos)) > 0;
    if (renewable && lease.seconds() == generator.dropOutSeconds()) {
      return "its lease ran out before it was renewed";
    }
    if (windowNanos - grantedNanos < 2 * SECOND) {
      return WINDOW_NEARLY_OVER;
    }
    return moreNanos > 0
        ? "no more time could be reserved for it"
        : tooLittle(generator, windowNanos);
  }

  private static Decision denied(String why) {
    return new Decision(null, null, List.of(why), 0);
  }

  private static String tooLittle(ActuatorSpec generator, long windowNanos) {
    return lease(generator, windowNanos) == 0 ? WINDOW_NEARLY_OVER : "the allowance is spent";
  }

  /** How much of {@code wanted} the night's allowance and the rolling 24 h still hold. */
  private static long affordable(OzoneLimits limits, World world, long wanted) {
    long night = limits.perNightNanos() - world.spentInNightNanos();
    long day = limits.per24hNanos() - world.spentIn24hNanos();
    long nanos = Math.max(0, Math.min(wanted, Math.min(night, day)));
    return nanos - nanos % SECOND;
  }

  private static int lease(ActuatorSpec actuator, long leftNanos) {
    int seconds = Lease.longest(actuator.dropOutSeconds(), leftNanos);
    return actuator.carriesLease() || seconds == actuator.dropOutSeconds() ? seconds : 0;
  }

  private Command run(ActuatorSpec actuator, int seconds) {
    return new Command(
        tank,
        actuator.name(),
        actuator.topic(),
        actuator.runTemplate().replace(ActuatorSpec.SECONDS, Integer.toString(seconds)),
        seconds,
        Lease.expirySeconds(seconds));
  }

  /** Rest, because it is not asked for or denied. */
  Decision resting(String actuator, @Nullable Lease lease, List<String> denials) {
    return new Decision(null, lease == null ? null : rest(actuator), List.copyOf(denials), 0);
  }

  /** A run that begins or goes on within the nanoseconds that are left to it. */
  Decision running(String actuator, @Nullable Lease lease, long now, long leftNanos) {
    ActuatorSpec spec = actuator(actuator);
    int seconds = lease(spec, leftNanos);
    if (lease == null) {
      return seconds == 0
          ? denied("too little is left of its time")
          : new Decision(Lease.first(now, seconds), run(spec, seconds), List.of(), 0);
    }
    if (lease.ranOut(now)) {
      boolean last = seconds == 0 || lease.seconds() < spec.dropOutSeconds();
      String why = last ? "its time is over" : "its lease ran out before it was renewed";
      return resting(actuator, lease, List.of(why));
    }
    if (!lease.due(now) || !lease.extendedBy(now, seconds)) {
      return new Decision(lease, null, List.of(), 0);
    }
    return new Decision(lease.renewed(now, seconds), run(spec, seconds), List.of(), 0);
  }

  void require(String actuator, TankFunction function) {
    require(
        actuator(actuator).function() == function,
        function.word() + " by " + actuator + ", which serves something else");
  }

  private static void require(boolean holds, String butThereIs) {
    if (!holds) {
      throw new IllegalArgumentException(butThereIs);
    }
  }

  private ActuatorSpec actuator(String name) {
    ActuatorSpec spec = actuators.get(name);
    if (spec == null) {
      throw new IllegalArgumentException(tank + " has no actuator " + name);
    }
    return spec;
  }
}

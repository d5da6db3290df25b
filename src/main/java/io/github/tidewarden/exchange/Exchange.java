package io.github.tidewarden.exchange;

import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.quantity.UnitCode;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Signal;
import io.github.tidewarden.sensing.Trend;
import java.time.Duration;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * The exchange of one tank's water, portion by portion: what the pumps ought to do now. It only
 * proposes; interlocks and the gate decide. What survives a crash is the {@link Portion}; the phase
 * does not, so after a start a portion goes on where the level says it is, and is never drained
 * again.
 *
 * <pre>
 * from      to        when
 * IDLE      ASKING    a portion is due, fits the window and the level range, and the level is at rest
 * ASKING    IDLE      that is no longer so
 * ASKING    DRAINING  the portion is reserved on disk
 * IDLE      DRAINED   at a start: a portion was being drained
 * DRAINING  DRAINED   the pump has had its time, the level has fallen too far, or 2 h have passed
 * DRAINED   FILLING   the level is at rest and has fallen as it should: what came out is known
 * IDLE      FILLING   at a start: what came out was known
 * FILLING   FILLED    the level is back, the pump has had its time, or 2 h have passed
 * FILLED    IDLE      the level is at rest and has risen as it should: the portion is done
 * DRAINED   (fault)   it has not fallen as it should, or does not come to rest
 * FILLED    (fault)   it has not risen as it should, or does not come to rest
 * </pre>
 *
 * With paired heads both pumps run while DRAINING, and DRAINED ends in IDLE when the level has not
 * moved. A fault leaves the phase as it is; the latch that it becomes keeps the pumps at rest, and
 * its reset ends the portion.
 */
public final class Exchange {

  /** Shortest time at rest before the level is believed. */
  static final Duration SETTLE = Duration.ofSeconds(60);

  /** A level that is not at rest so long after the pumps, with nothing that explains it. */
  static final Duration LONGEST_SETTLE = Duration.ofMinutes(10);

  /** Longest that one half of a portion may wait for its pump. */
  static final Duration LONGEST_HALF = Duration.ofHours(2);

  /** Two means of the level that differ by less are at rest, mm. */
  static final double STEADY_MILLIMETRES = 1;

  /** What noise, waves and rounding may make of a difference of two levels at rest, mm. */
  static final double LEVEL_DOUBT_MILLIMETRES = 1.5;

  /** By which share of itself a portion may miss what its pump should have moved. */
  static final double PUMP_DOUBT = 0.5;

  /** Over this span the level is taken while a pump runs. */
  private static final Duration SHORT = Duration.ofSeconds(10);

  private static final double NANOS_PER_MINUTE = 60e9;
  private static final double NANOS_PER_DAY = 86_400e9;

  private final ExchangeSpec spec;

  /** The rule of one tank. */
  public Exchange(ExchangeSpec spec) {
    if (spec.kind() == ExchangeSpec.Kind.PORTIONS && spec.level() == null) {
      throw new IllegalArgumentException("portions without a level to measure them by");
    }
    this.spec = spec;
  }

  /** What the rule is about. */
  public enum Phase {
    /** Nothing is due, or it cannot begin now. */
    IDLE,
    /** A portion is to be reserved. */
    ASKING,
    /** Water goes out; with paired heads in as well. */
    DRAINING,
    /** The level comes to rest after that, and is judged. */
    DRAINED,
    /** Water comes in. */
    FILLING,
    /** The level comes to rest after that, and is judged. */
    FILLED
  }

  /**
   * Carried from cycle to cycle; volatile.
   *
   * @param phase what the rule is about
   * @param sinceNanos since when, monotonic; for a level that is to come to rest, since nothing
   *     stopped the exchange and no pump ran
   * @param beganNanos since when the present portion has been under way in this run of the program,
   *     monotonic; what evaporates from then on is no part of the exchange
   */
  public record State(Phase phase, long sinceNanos, long beganNanos) {}

  /** At boot. */
  public static State atBoot(Moment now) {
    return new State(Phase.IDLE, now.monoNanos(), now.monoNanos());
  }

  /**
   * What a pump has done for the present portion in this run of the program.
   *
   * @param running whether it runs, or may still run
   * @param usedNanos how long it can have run at most
   */
  public record Use(boolean running, long usedNanos) {}

  /**
   * What the rule looks at.
   *
   * @param now both clocks
   * @param dueLitres what may be begun now, L; 0 outside windows
   * @param windowLeftNanos what is left of the window
   * @param portion the portion under way; null for none
   * @param level the level; null for a tank without
   * @param trend its last two minutes
   * @param stops why the exchange may not run now; empty for no reason
   * @param drain what the drain pump did for this portion
   * @param fill what the fill pump did for this portion
   * @param rates what the pumps really move
   * @param surplusLitres what came in more than went out so far, L; negative for less
   */
  public record World(
      Moment now,
      double dueLitres,
      long windowLeftNanos,
      @Nullable Portion portion,
      @Nullable Signal level,
      Trend trend,
      List<String> stops,
      Use drain,
      Use fill,
      Rates rates,
      double surplusLitres) {}

  /**
   * What is wanted, and why.
   *
   * @param state to be handed in again
   * @param drain whether the drain pump is wanted now
   * @param fill whether the fill pump is wanted now
   * @param drainNanos how long the drain pump may run for this portion in all
   * @param fillNanos how long the fill pump may run for this portion in all
   * @param outcome what has become known; null for nothing
   * @param why in the keeper's words
   */
  public record Proposal(
      State state,
      boolean drain,
      boolean fill,
      long drainNanos,
      long fillNanos,
      @Nullable Outcome outcome,
      String why) {}

  /** What one cycle made known. */
  public sealed interface Outcome {

    /**
     * A portion may begin once this is on disk.
     *
     * @param litres what is to be exchanged
     * @param beforeMillimetres the level now; NaN for a tank without
     * @param targetMillimetres the level to which it is to be filled; NaN for a tank without
     */
    record Reserve(double litres, double beforeMillimetres, double targetMillimetres)
        implements Outcome {}

    /**
     * What came out.
     *
     * @param litres by the level
     * @param levelMillimetres the level now
     */
    record Drained(double litres, double levelMillimetres) implements Outcome {}

    /**
     * The portion is done.
     *
     * @param outLitres what went out
     * @param inLitres what came in
     */
    record Done(double outLitres, double inLitres) implements Outcome {}

    /**
     * The water does not do what the pumps should make it do.
     *
     * @param name the latch's name
     * @param why in the keeper's words
     */
    record Fault(Latch name, String why) implements Outcome {}
  }

  /** What a fault is named. */
  public enum Latch {
    /** Little or nothing came out. */
    DRAIN_BLOCKED("drain-blocked"),
    /** More came out than should have, or it does not stop. */
    DRAIN_RUNS_ON("drain-runs-on"),
    /** Little or nothing came in. */
    FILL_DRY("fill-dry"),
    /** More came in than should have, or it does not stop. */
    FILL_RUNS_ON("fill-runs-on"),
    /** Paired heads did not move the same. */
    PUMPS_APART("pumps-apart");

    private final String word;

    Latch(String word) {
      this.word = word;
    }

    /** The name under which it latches. */
    public String word() {
      return word;
    }
  }

  /** One cycle. */
  public Proposal propose(State before, World world) {
    Portion portion = world.portion();
    if (portion == null) {
      return begin(before, world);
    }
    return portion.stage() == Portion.Stage.DRAINING
        ? drain(before, world, portion)
        : fill(before, world, portion);
  }

  // A portion begins.

  private Proposal begin(State before, World world) {
    double litres = Math.min(world.dueLitres(), spec.portionLitres());
    if (litres < smallestLitres()) {
      return rest(to(Phase.IDLE, before, world), "nothing is due");
    }
    if (!world.stops().isEmpty()) {
      return rest(to(Phase.IDLE, before, world), world.stops().get(0));
    }
    if (world.windowLeftNanos() < wholeNanos(litres, world.rates())) {
      return rest(to(Phase.IDLE, before, world), "a portion does not fit the window any more");
    }
    ExchangeSpec.Level level = spec.level();
    if (level == null) {
      return reserve(before, world, new Outcome.Reserve(litres, Double.NaN, Double.NaN));
    }
    if (!atRest(world)) {
      return rest(to(Phase.IDLE, before, world), "the level is not at rest");
    }
    double now = world.trend().mean(SETTLE, world.now());
    if (now - litres / level.litresPerMillimetre() <= level.lowMillimetres()) {
      return rest(
          to(Phase.IDLE, before, world),
          "the level, " + millimetres(now) + ", leaves no room for a portion over its lower limit");
    }
    double correction = Math.max(-litres / 4, Math.min(litres / 4, world.surplusLitres()));
    double target = now - correction / level.litresPerMillimetre();
    if (target >= level.highMillimetres()) {
      return rest(
          to(Phase.IDLE, before, world), "the level, " + millimetres(now) + ", is too high");
    }
    return reserve(before, world, new Outcome.Reserve(litres, now, target));
  }

  private Proposal reserve(State before, World world, Outcome.Reserve reserve) {
    return new Proposal(
        to(Phase.ASKING, before, world), false, false, 0, 0, reserve, "a portion is due");
  }

  /** Half an equal portion; less is not worth the pumps' while and waits for the next. */
  private double smallestLitres() {
    return spec.litresPerDay() / DailyShare.portions(spec) / 2;
  }

  /** How long a portion takes when nothing holds it up. */
  private long wholeNanos(double litres, Rates rates) {
    long drain = drainNanos(litres, rates);
    long fill = fillNanos(litres, rates);
    return spec.kind() == ExchangeSpec.Kind.PAIRED
        ? Math.max(drain, fill) + SETTLE.toNanos()
        : drain + fill + 2 * SETTLE.toNanos();
  }

  // Water goes out.

  private Proposal drain(State before, World world, Portion portion) {
    Phase phase = before.phase();
    if (phase == Phase.ASKING) {
      return draining(to(Phase.DRAINING, before, world), world, portion);
    }
    if (phase == Phase.DRAINING) {
      return draining(before, world, portion);
    }
    return drained(
        phase == Phase.DRAINED ? before : to(Phase.DRAINED, before, world), world, portion);
  }

  private Proposal draining(State state, World world, Portion portion) {
    double litres = portion.millilitres() / 1000.0;
    boolean paired = spec.kind() == ExchangeSpec.Kind.PAIRED;
    long drainNanos = drainNanos(litres, world.rates());
    long fillNanos = paired ? fillNanos(litres, world.rates()) : 0;
    boolean drains = world.drain().usedNanos() < drainNanos;
    boolean fills = world.fill().usedNanos() < fillNanos;
    boolean tooLong = world.now().since(state.sinceNanos()) >= LONGEST_HALF.toNanos();
    if ((!drains && !fills) || tooLong || fellTooFar(world, portion)) {
      return drained(to(Phase.DRAINED, state, world), world, portion);
    }
    boolean may = world.stops().isEmpty();
    return new Proposal(
        state,
        may && drains,
        may && fills,
        drainNanos,
        fillNanos,
        null,
        may ? "a portion of " + litres(portion) + " goes out" : world.stops().get(0));
  }

  private boolean fellTooFar(World world, Portion portion) {
    ExchangeSpec.Level level = spec.level();
    if (level == null) {
      return false;
    }
    double litres = spec.kind() == ExchangeSpec.Kind.PAIRED ? 0 : portion.millilitres() / 1000.0;
    double fall = portion.beforeMicrometres() / 1000.0 - world.trend().mean(SHORT, world.now());
    return fall
        > litres * (1 + PUMP_DOUBT) / level.litresPerMillimetre() + 2 * LEVEL_DOUBT_MILLIMETRES;
  }

  private Proposal drained(State before, World world, Portion portion) {
    State state = waiting(before, world);
    ExchangeSpec.Level level = spec.level();
    if (level == null) {
      double litres = portion.millilitres() / 1000.0;
      return world.now().since(state.sinceNanos()) < SETTLE.toNanos()
          ? rest(state, "the pumps come to rest")
          : done(state, world, new Outcome.Done(litres, litres));
    }
    if (!settled(state, world)) {
      return unsettled(state, world, Latch.DRAIN_RUNS_ON, Latch.FILL_RUNS_ON);
    }
    double now = world.trend().mean(SETTLE, world.now());
    double fall = portion.beforeMicrometres() / 1000.0 - now - evaporatedMillimetres(state, world);
    double outLitres = fall * level.litresPerMillimetre();
    return spec.kind() == ExchangeSpec.Kind.PAIRED
        ? judgePaired(state, world, portion, fall)
        : judgeFall(state, world, portion, now, outLitres);
  }

  private Proposal judgeFall(
      State state, World world, Portion portion, double now, double outLitres) {
    double doubt = LEVEL_DOUBT_MILLIMETRES * litresPerMillimetre();
    double asked = portion.millilitres() / 1000.0;
    boolean whole = world.drain().usedNanos() >= drainNanos(asked, world.rates());
    if (outLitres > asked * (1 + PUMP_DOUBT) + doubt) {
      return fault(
          state,
          Latch.DRAIN_RUNS_ON,
          litres(outLitres) + " went out, asked for " + litres(portion));
    }
    if (whole ? outLitres < asked * (1 - PUMP_DOUBT) - doubt : outLitres < -doubt) {
      return fault(
          state,
          Latch.DRAIN_BLOCKED,
          litres(outLitres) + " went out, asked for " + litres(portion));
    }
    double litres = Math.max(0, outLitres);
    return new Proposal(
        to(Phase.FILLING, state, world),
        false,
        false,
        0,
        0,
        new Outcome.Drained(litres, now),
        litres(litres) + " went out");
  }

  private Proposal judgePaired(State state, World world, Portion portion, double fall) {
    double litres = portion.millilitres() / 1000.0;
    double surplus = -fall * litresPerMillimetre();
    double allowed = Math.max(litres * PUMP_DOUBT, LEVEL_DOUBT_MILLIMETRES * litresPerMillimetre());
    if (Math.abs(surplus) > allowed) {
      return fault(
          state,
          Latch.PUMPS_APART,
          "out and in of " + litres(portion) + " differ by " + litres(Math.abs(surplus)));
    }
    return done(state, world, new Outcome.Done(litres, litres + surplus));
  }

  // Water comes in.

  private Proposal fill(State before, World world, Portion portion) {
    Phase phase = before.phase();
    if (phase == Phase.FILLING) {
      return filling(before, world, portion);
    }
    return phase == Phase.FILLED
        ? filled(before, world, portion)
        : filling(to(Phase.FILLING, before, world), world, portion);
  }

  private Proposal filling(State state, World world, Portion portion) {
    double wanted =
        (portion.targetMicrometres() - portion.drainedMicrometres())
            / 1000.0
            * litresPerMillimetre();
    // A pump that moves less than it should may run a little longer; the level ends it in time.
    long nanos = (long) (fillNanos(Math.max(0, wanted), world.rates()) * (1 + PUMP_DOUBT));
    double level = world.trend().mean(SHORT, world.now());
    boolean tooLong = world.now().since(state.sinceNanos()) >= LONGEST_HALF.toNanos();
    if (world.fill().usedNanos() >= nanos || level >= target(state, world, portion) || tooLong) {
      return filled(to(Phase.FILLED, state, world), world, portion);
    }
    if (!world.stops().isEmpty()) {
      return rest(state, world.stops().get(0));
    }
    if (Double.isNaN(level)) {
      return rest(state, "the level is not known");
    }
    return new Proposal(
        state, false, true, 0, nanos, null, "a portion of " + litres(portion) + " comes in");
  }

  private Proposal filled(State before, World world, Portion portion) {
    State state = waiting(before, world);
    if (!settled(state, world)) {
      return unsettled(state, world, Latch.DRAIN_RUNS_ON, Latch.FILL_RUNS_ON);
    }
    double now = world.trend().mean(SETTLE, world.now());
    double out = portion.outMillilitres() / 1000.0;
    double unevaporated = now + evaporatedMillimetres(state, world);
    double in = out + (unevaporated - portion.beforeMicrometres() / 1000.0) * litresPerMillimetre();
    double missing = (target(state, world, portion) - now) * litresPerMillimetre();
    double allowed = out * PUMP_DOUBT + LEVEL_DOUBT_MILLIMETRES * litresPerMillimetre();
    if (missing > allowed) {
      return fault(state, Latch.FILL_DRY, litres(in) + " came in for " + litres(out) + " out");
    }
    if (missing < -allowed) {
      return fault(state, Latch.FILL_RUNS_ON, litres(in) + " came in for " + litres(out) + " out");
    }
    return done(state, world, new Outcome.Done(out, in));
  }

  // What all of it shares.

  /**
   * A wait for the level begins again while something stops the exchange or a pump may still run.
   */
  private static State waiting(State state, World world) {
    boolean undisturbed =
        world.stops().isEmpty() && !world.drain().running() && !world.fill().running();
    return undisturbed
        ? state
        : new State(state.phase(), world.now().monoNanos(), state.beganNanos());
  }

  private boolean settled(State state, World world) {
    return world.now().since(state.sinceNanos()) >= SETTLE.toNanos() && atRest(world);
  }

  private static boolean atRest(World world) {
    Signal level = world.level();
    return level != null && level.good() && world.trend().steady(STEADY_MILLIMETRES, world.now());
  }

  private Proposal unsettled(State state, World world, Latch falls, Latch rises) {
    double perMinute = world.trend().perMinute(world.now());
    if (world.now().since(state.sinceNanos()) < LONGEST_SETTLE.toNanos()
        || Double.isNaN(perMinute)) {
      return rest(state, "the level comes to rest");
    }
    return fault(
        state,
        perMinute < 0 ? falls : rises,
        "the level does not come to rest: it "
            + (perMinute < 0 ? "falls " : "rises ")
            + millimetres(Math.abs(perMinute))
            + " a minute with the pumps at rest");
  }

  private static Proposal done(State state, World world, Outcome.Done outcome) {
    return new Proposal(
        to(Phase.IDLE, state, world),
        false,
        false,
        0,
        0,
        outcome,
        litres(outcome.outLitres()) + " went out and " + litres(outcome.inLitres()) + " came in");
  }

  private static Proposal fault(State state, Latch latch, String why) {
    return new Proposal(state, false, false, 0, 0, new Outcome.Fault(latch, why), why);
  }

  private static Proposal rest(State state, String why) {
    return new Proposal(state, false, false, 0, 0, null, why);
  }

  private static State to(Phase phase, State before, World world) {
    long now = world.now().monoNanos();
    boolean between = phase == Phase.IDLE || phase == Phase.ASKING;
    return before.phase() == phase && !between
        ? before
        : new State(phase, now, between ? now : before.beganNanos());
  }

  /** The level to which the portion is filled, mm: what has evaporated since is left to top-off. */
  private double target(State state, World world, Portion portion) {
    return portion.targetMicrometres() / 1000.0 - evaporatedMillimetres(state, world);
  }

  /** By how much evaporation has lowered the level since the portion began, mm. */
  private double evaporatedMillimetres(State state, World world) {
    return spec.evaporationLitresPerDay()
        / NANOS_PER_DAY
        * world.now().since(state.beganNanos())
        / litresPerMillimetre();
  }

  private long drainNanos(double litres, Rates rates) {
    return nanos(litres, spec.drain().litresPerMinute() * rates.drain());
  }

  private long fillNanos(double litres, Rates rates) {
    return nanos(litres, spec.fill().litresPerMinute() * rates.fill());
  }

  private static long nanos(double litres, double litresPerMinute) {
    return (long) (litres / litresPerMinute * NANOS_PER_MINUTE);
  }

  private static String millimetres(double value) {
    return Measure.LEVEL.told(value);
  }

  private static String litres(double value) {
    return Figures.brief(value, UnitCode.LITRES);
  }

  private static String litres(Portion portion) {
    return litres(portion.millilitres() / 1000.0);
  }

  private double litresPerMillimetre() {
    ExchangeSpec.Level level = spec.level();
    return level == null ? Double.NaN : level.litresPerMillimetre();
  }
}

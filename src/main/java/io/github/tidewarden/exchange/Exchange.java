package io.github.tidewarden.exchange;

import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.quantity.UnitCode;
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
 * IDLE      WAITING   a portion is due and may begin, but for others that use the same equipment
 * IDLE      HOLDING   a portion is due, fits the window and the level range, and the level is at rest
 * WAITING   HOLDING   its turn has come
 * HOLDING   WAITING   its turn is over
 * HOLDING   IDLE      it could not be held within five minutes; it is tried again after ten
 * HOLDING   ASKING    top-off has been held for two minutes
 * ASKING    WAITING   its turn is over
 * ASKING    DRAINING  the portion is reserved on disk
 * DRAINING  DRAINED   the pump had its time, no more may go out, the level is out of hand, or 2 h
 *                     have passed
 * DRAINED   FILLING   what came out is recorded, and the level is at rest
 * DRAINED   FILLED    nothing is missing
 * FILLING   DRAINED   something stops it
 * FILLING   FILLED    the level is back, the pump had its time, or was not let run for 2 h
 * other     DRAINING  a portion is reserved, and in this run of the program no pump has run for it
 * any       DRAINED   at a start, or for any other reason: a portion is under way in another phase
 * any       IDLE      no portion is under way, and none may begin
 * </pre>
 *
 * While HOLDING nothing runs: what top-off lets in within the minutes over which the level is taken
 * would make that too low, and each portion a little too small in the books. Moves that follow from
 * each other are made in one cycle. In DRAINED and FILLED the level comes to rest and is judged.
 * What the judgement is, an {@link Outcome}, is told in each cycle until the portion has changed
 * with it. With paired heads both pumps run while DRAINING, and the judgement in DRAINED ends the
 * portion. A fault leaves the phase as it is; the latch that it becomes keeps the pumps at rest,
 * and its reset ends the portion.
 */
public final class Exchange {

  /**
   * A pump that is let run no more for so long, with nothing that explains it, had its time when it
   * had most of it: a lease is cut to whole seconds, and some devices take no short one.
   */
  static final Duration STARVED = Duration.ofSeconds(30);

  /** So long top-off is held before a portion: the time over which the level is looked back at. */
  public static final Duration HELD_BEFORE = Gauge.RECKONED;

  /** Longest that a hold on top-off is waited for, from when it is asked for. */
  private static final Duration LONGEST_HOLDING = Duration.ofMinutes(5);

  /** After so long it is asked for again; others have a portion meanwhile. */
  private static final Duration HOLDS_AGAIN = Duration.ofMinutes(10);

  /** Longest that one half of a portion may wait for its pump. */
  static final Duration LONGEST_HALF = Duration.ofHours(2);

  /**
   * Most starts of the program in one portion: something is wrong with the power, or with the
   * program. Those that came while it was filled are counted as fills, too.
   */
  static final int MOST_RESTARTS = 2;

  /** By how much longer than reckoned a pump may fill; the level ends it in time. */
  static final double FILL_RESERVE = 0.5;

  /** Less of an equal portion is not worth the pumps' while and waits for the next. */
  public static final double SMALLEST_SHARE = 0.25;

  /** What holds up a portion near the end of its window; what held it up before says more. */
  public static final String NO_ROOM = "a portion does not fit the window any more";

  private static final double NANOS_PER_MINUTE = 60e9;

  private final ExchangeSpec spec;
  private final @Nullable Gauge gauge;

  /**
   * The rule of one tank.
   *
   * @throws IllegalArgumentException when water is to be exchanged in portions and no level
   *     measures them
   */
  public Exchange(ExchangeSpec spec) {
    ExchangeSpec.Level level = spec.level();
    if (spec.kind() == ExchangeSpec.Kind.PORTIONS && level == null) {
      throw new IllegalArgumentException("portions without a level to measure them by");
    }
    this.spec = spec;
    gauge = level == null ? null : new Gauge(spec, level);
  }

  /** What the rule is about. */
  public enum Phase {
    /** Nothing is due, or it cannot begin now. */
    IDLE,
    /** A portion is due and may begin, once the equipment that others use too is free. */
    WAITING,
    /** Top-off is held, so that the level is taken at rest. */
    HOLDING,
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
   * @param calmNanos since when nothing stopped the exchange, the level was known and no pump ran,
   *     monotonic
   * @param beganNanos since when the present portion has been under way in this run of the program,
   *     monotonic; what evaporates from then on is no part of the exchange
   * @param waitsNanos since when a portion has been due, whatever held it up, monotonic
   * @param heldNanos since when what tops off this level has certainly been held, monotonic
   * @param holdsNanos from then on top-off may be held for a portion that is due, and while it is,
   *     since when it has been, monotonic
   */
  public record State(
      Phase phase,
      long calmNanos,
      long beganNanos,
      long waitsNanos,
      long heldNanos,
      long holdsNanos) {

    State to(Phase next) {
      return new State(next, calmNanos, beganNanos, waitsNanos, heldNanos, holdsNanos);
    }

    /** Top-off is held, or goes on being held, for a portion that is due. */
    State holding(Moment now) {
      long since = phase == Phase.HOLDING ? holdsNanos : now.monoNanos();
      return new State(Phase.HOLDING, calmNanos, beganNanos, waitsNanos, heldNanos, since);
    }

    /** It could not be held: others come first, and it is tried again after a while. */
    State gaveUpHolding(Moment now) {
      long again = now.monoNanos() + HOLDS_AGAIN.toNanos();
      return new State(Phase.IDLE, calmNanos, beganNanos, now.monoNanos(), heldNanos, again);
    }

    /** The pump is let run from now on: what was calm before says nothing of it. */
    State anew(Moment now) {
      return new State(phase, now.monoNanos(), beganNanos, waitsNanos, heldNanos, holdsNanos);
    }

    /** Whether a portion is due that only others may hold up. */
    public boolean inTurn() {
      return phase == Phase.WAITING || holdsTopOff();
    }

    /** Whether a portion that is due needs top-off held before it begins. */
    public boolean holdsTopOff() {
      return phase == Phase.HOLDING || phase == Phase.ASKING;
    }

    /** Whether top-off has been held for as long as the level is looked back at. */
    public boolean levelIsHeld(Moment now) {
      return heldLeftNanos(now) == 0;
    }

    private long heldLeftNanos(Moment now) {
      return Math.max(0, HELD_BEFORE.toNanos() - now.since(heldNanos));
    }
  }

  /** At boot. */
  public static State atBoot(Moment now) {
    long nanos = now.monoNanos();
    return new State(Phase.IDLE, nanos, nanos, nanos, nanos, nanos);
  }

  /**
   * What a pump has done for the present portion in this run of the program.
   *
   * @param running whether it runs, or may still run
   * @param usedNanos how long it can have run at most
   * @param runNanos how long its present run can have lasted at most; 0 at rest
   * @param ranNanos how long it was asked to run in all
   */
  public record Use(boolean running, long usedNanos, long runNanos, long ranNanos) {}

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
   * @param ends why no more water may go out, nor a portion begin; what is out may come in again
   * @param waits why no portion may begin, though nothing is wrong: others use the same equipment
   * @param drain what the drain pump did for this portion
   * @param fill what the fill pump did for this portion
   * @param rates what the pumps really move
   * @param surplusLitres what came in more than went out so far, L; negative for less
   * @param roomLitres how much the fill pump may bring for this portion in this run of the program
   *     before out and in could be too far apart, L
   * @param binLitres what is left in the bin of new water by its sensor, L; NaN for unknown
   * @param toppedOff whether top-off may have let fresh water into this portion: then the level
   *     does not tell what the pumps moved, and how long they ran does
   * @param unsureLitres of what may have been fresh water and is not in the surplus, L: what nobody
   *     saw of portions that a start of the program cut off, or in which top-off could not be held
   * @param topOffHeld whether what tops off this level is certainly held, or nothing can hold it
   */
  public record World(
      Moment now,
      double dueLitres,
      long windowLeftNanos,
      @Nullable Portion portion,
      @Nullable Signal level,
      Trend trend,
      List<String> stops,
      List<String> ends,
      List<String> waits,
      Use drain,
      Use fill,
      Rates rates,
      double surplusLitres,
      double roomLitres,
      double binLitres,
      boolean toppedOff,
      double unsureLitres,
      boolean topOffHeld) {}

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

  /** What became known. */
  public sealed interface Outcome {

    /** In the keeper's words. */
    String why();

    /**
     * A portion may begin once this is on disk.
     *
     * @param litres what is to be exchanged, L
     * @param beforeMillimetres the level now; NaN for a tank without
     * @param targetMillimetres the level to which it is to be filled; NaN for a tank without
     */
    record Reserve(double litres, double beforeMillimetres, double targetMillimetres)
        implements Outcome {
      @Override
      public String why() {
        return "a portion of " + Exchange.litres(litres) + " is due";
      }
    }

    /**
     * What came out.
     *
     * @param litres by the level
     * @param levelMillimetres the level now
     */
    record Drained(double litres, double levelMillimetres) implements Outcome {
      @Override
      public String why() {
        return Exchange.litres(litres) + " went out";
      }
    }

    /**
     * The portion is done.
     *
     * @param outLitres what went out
     * @param inLitres what came in
     */
    record Done(double outLitres, double inLitres) implements Outcome {
      @Override
      public String why() {
        return Exchange.litres(outLitres)
            + " went out and "
            + Exchange.litres(inLitres)
            + " came in";
      }
    }

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
    PUMPS_APART("pumps-apart"),
    /** A pump ran and the level did not move by a digit. */
    LEVEL_STUCK("level-stuck"),
    /** The level falls with everything at rest: a leak, a siphon or a blocked weir. */
    LEVEL_FALLS("level-falls"),
    /** The level is lower than it was when the portion was drained. */
    LEVEL_DISAGREES("level-disagrees"),
    /** Top-off was held for too long in a portion, and was released. */
    TOP_OFF_RELEASED("top-off-released"),
    /** The level rises with everything at rest: a pump or a valve that does not stop. */
    LEVEL_RISES("level-rises"),
    /** The program began anew too often in one portion. */
    PORTION_RESTARTED("portion-restarted"),
    /** Out and in are so far apart that no portion can begin any more. */
    OUT_AND_IN_APART("out-and-in-apart"),
    /** The drain pump moves far more or less than it should. */
    DRAIN_DRIFTS("drain-drifts"),
    /** The fill pump moves far more or less than it should. */
    FILL_DRIFTS("fill-drifts"),
    /** Water comes in beside the pumps: what holds top-off does not shut. */
    TOP_OFF_SEEPS("top-off-seeps"),
    /** With every portion the salinity goes where the new water should not take it. */
    NEW_WATER_WRONG("new-water-wrong");

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
    long now = world.now().monoNanos();
    Portion portion = world.portion();
    boolean calm = stop(world) == null && !world.drain().running() && !world.fill().running();
    State state =
        new State(
            before.phase(),
            calm ? before.calmNanos() : now,
            portion == null ? now : before.beganNanos(),
            portion == null && isDue(world) ? before.waitsNanos() : now,
            world.topOffHeld() ? before.heldNanos() : now,
            before.holdsNanos());
    if (portion == null) {
      return begin(state, world);
    }
    Outcome.Fault otherwise = measuredOtherwise(portion);
    if (otherwise != null) {
      return told(state.to(Phase.DRAINED), otherwise);
    }
    return portion.stage() == Portion.Stage.DRAINING
        ? drain(state, world, portion)
        : fill(state, world, portion);
  }

  /** That levels and litres of a portion are of another configuration; null when they are not. */
  private Outcome.@Nullable Fault measuredOtherwise(Portion portion) {
    long begunBy = portion.microlitresPerMillimetre();
    long now = spec.microlitresPerMillimetre();
    return begunBy == Portion.UNTOLD || begunBy == now
        ? null
        : new Outcome.Fault(
            Latch.LEVEL_DISAGREES,
            "by the configuration "
                + measured(now)
                + ", and when this portion was begun "
                + measured(begunBy)
                + ": see to the level, the sensor and the salinity");
  }

  private static String measured(long microlitresPerMillimetre) {
    return microlitresPerMillimetre == Portion.UNMEASURED
        ? "no level measures it"
        : "1 mm of the level is "
            + Figures.brief(microlitresPerMillimetre / 1000.0, UnitCode.MILLILITRE);
  }

  // A portion begins.

  private Proposal begin(State state, World world) {
    double litres = Math.min(world.dueLitres(), spec.portionLitres());
    String hindrance = hindrance(world, litres);
    if (hindrance != null) {
      return rest(state.to(Phase.IDLE), hindrance);
    }
    // One more that is cut off may come to what a pump that is off moves.
    double most = world.unsureLitres() > 0 ? litres * (1 + Rates.MOST_OFF) : litres;
    if (most - world.surplusLitres() + world.unsureLitres() >= spec.imbalanceLitres()) {
      String unsure =
          world.unsureLitres() > 0
              ? ", and "
                  + litres(world.unsureLitres())
                  + " more may be fresh water, since top-off could not be held or the program"
                  + " began anew in a portion"
              : "";
      return told(
          state.to(Phase.IDLE),
          new Outcome.Fault(
              Latch.OUT_AND_IN_APART,
              "out and in of the portions so far are "
                  + litres(Math.abs(world.surplusLitres()))
                  + " apart"
                  + unsure
                  + "; with one more they could pass the limit; see to level and salinity"));
    }
    long held = gauge == null ? 0 : state.heldLeftNanos(world.now());
    if (world.windowLeftNanos() < held + wholeNanos(litres, world.rates())) {
      return rest(state.to(Phase.IDLE), NO_ROOM);
    }
    if (world.now().since(state.holdsNanos()) < 0) {
      return rest(
          state.to(Phase.IDLE), "top-off could not be held, and it is tried again in a while");
    }
    if (!world.waits().isEmpty()) {
      return rest(state.to(Phase.WAITING), world.waits().get(0));
    }
    if (held > 0) {
      return hold(state, world);
    }
    Outcome.Reserve reserve =
        gauge == null
            ? new Outcome.Reserve(litres, Double.NaN, Double.NaN)
            : gauge.reserve(world, litres);
    return told(state.to(Phase.ASKING), reserve);
  }

  /** A hold that cannot be had must not keep others from what they share. */
  private static Proposal hold(State state, World world) {
    State holding = state.holding(world.now());
    return world.now().since(holding.holdsNanos()) >= LONGEST_HOLDING.toNanos()
        ? rest(state.gaveUpHolding(world.now()), "top-off could not be held")
        : rest(holding, "top-off is held, so that the level is taken at rest");
  }

  /** Why a portion cannot begin now; null when it can. */
  private @Nullable String hindrance(World world, double litres) {
    if (!isDue(world)) {
      return "nothing is due";
    }
    if (!world.stops().isEmpty()) {
      return world.stops().get(0);
    }
    if (!world.ends().isEmpty()) {
      return world.ends().get(0);
    }
    return gauge == null ? null : gauge.hindrance(world, litres);
  }

  private boolean isDue(World world) {
    double litres = Math.min(world.dueLitres(), spec.portionLitres());
    return litres >= spec.litresPerDay() / DailyShare.portions(spec) * SMALLEST_SHARE;
  }

  /** How long a portion takes when nothing holds it up, ns. */
  public long wholeNanos(double litres, Rates rates) {
    long drain = drainNanos(litres, rates);
    long fill = fillNanos(litres, rates);
    return paired()
        ? Math.max(drain, fill) + Gauge.RECKONED.toNanos()
        : drain + fill + 2 * Gauge.RECKONED.toNanos();
  }

  // Water goes out.

  private Proposal drain(State state, World world, Portion portion) {
    Outcome.Fault restarted = restarted(portion);
    if (restarted != null) {
      return told(state.to(Phase.DRAINED), restarted);
    }
    return switch (state.phase()) {
      case ASKING, DRAINING -> draining(state.to(Phase.DRAINING), world, portion);
      case IDLE, WAITING, HOLDING ->
          isUntouched(world, portion)
              ? draining(state.to(Phase.DRAINING), world, portion)
              : drained(state.to(Phase.DRAINED), world, portion);
      case DRAINED, FILLING, FILLED -> drained(state.to(Phase.DRAINED), world, portion);
    };
  }

  /** Whether it is certain that no pump has run for it. */
  private static boolean isUntouched(World world, Portion portion) {
    return portion.restarts() == 0
        && world.drain().usedNanos() == 0
        && world.fill().usedNanos() == 0;
  }

  private Proposal draining(State state, World world, Portion portion) {
    long drainNanos = drainNanos(portion.litres(), world.rates());
    long fillNanos = paired() ? fillNanos(pairedLitres(portion), world.rates()) : 0;
    boolean drains = world.drain().usedNanos() < drainNanos;
    boolean fills = world.fill().usedNanos() < fillNanos;
    boolean most =
        world.drain().usedNanos() > drainNanos / 2 && world.fill().usedNanos() >= fillNanos / 2;
    String stop = stop(world);
    if (!(drains || fills)
        || !world.ends().isEmpty()
        || (most && calmFor(STARVED, state, world))
        || world.now().since(state.beganNanos()) >= LONGEST_HALF.toNanos()
        || (stop == null && gauge != null && gauge.outOfHand(world, portion))) {
      return drained(state.to(Phase.DRAINED), world, portion);
    }
    if (stop != null) {
      return rest(state, stop);
    }
    return new Proposal(
        state,
        drains,
        fills,
        drainNanos,
        fillNanos,
        null,
        "a portion of " + litres(portion.litres()) + " goes out");
  }

  private Proposal drained(State state, World world, Portion portion) {
    Proposal settling = settling(state, world, portion);
    if (settling != null) {
      return settling;
    }
    double share = world.drain().usedNanos() / (double) drainNanos(portion.litres(), world.rates());
    double reckoned = portion.litres() * Math.min(1, share);
    return told(
        state,
        gauge == null || paired()
            ? judgedTogether(state, world, portion, reckoned)
            : gauge.judgeOut(state, world, portion, reckoned));
  }

  /** What paired heads moved: what certainly did not run moved nothing. */
  private Outcome judgedTogether(State state, World world, Portion portion, double reckoned) {
    if (isUntouched(world, portion)) {
      return new Outcome.Done(0, 0);
    }
    double litres = portion.litres();
    double lost = portion.binLitres() - world.binLitres();
    Outcome.Fault bin = Gauge.binFault(spec.bin(), litres, lost);
    if (bin != null) {
      return bin;
    }
    if (gauge != null) {
      return gauge.judgePaired(state, world, portion, reckoned, lost);
    }
    double moved = Gauge.believable(lost, litres) ? lost : reckoned > 0 ? reckoned : litres;
    return new Outcome.Done(moved, moved);
  }

  /** What the fill head of a pair is to move: it makes good what out and in were apart. */
  private double pairedLitres(Portion portion) {
    return portion.litres() + (gauge == null ? 0 : gauge.riseLitres(portion));
  }

  // Water comes in.

  private Proposal fill(State state, World world, Portion portion) {
    if (gauge == null) {
      return told(
          state.to(Phase.DRAINED),
          new Outcome.Fault(
              Latch.LEVEL_DISAGREES,
              "the level by which this portion was drained is no more in the configuration"));
    }
    Outcome.Fault restarted = restarted(portion);
    if (restarted != null) {
      return told(state.to(Phase.DRAINED), restarted);
    }
    return switch (state.phase()) {
      case FILLING -> filling(state, world, portion, gauge);
      case FILLED -> filled(state, world, portion, gauge);
      case IDLE, WAITING, HOLDING, ASKING, DRAINING, DRAINED ->
          awaitFilling(state, world, portion, gauge);
    };
  }

  private static Outcome.@Nullable Fault restarted(Portion portion) {
    return portion.restarts() <= MOST_RESTARTS
        ? null
        : new Outcome.Fault(
            Latch.PORTION_RESTARTED,
            "the program began anew "
                + portion.restarts()
                + " times in one portion; see to the level and to the power");
  }

  private Proposal awaitFilling(State state, World world, Portion portion, Gauge gauge) {
    Proposal settling = settling(state.to(Phase.DRAINED), world, portion);
    if (settling != null) {
      return settling;
    }
    Outcome.Fault lost = gauge.lost(state, world, portion);
    if (lost != null) {
      return told(state.to(Phase.DRAINED), lost);
    }
    if (gauge.nothingMissing(state, world, portion)) {
      return filled(state.to(Phase.FILLED), world, portion, gauge);
    }
    Outcome.Fault apart = noRoom(world, portion, gauge);
    return apart == null
        ? filling(state.to(Phase.FILLING).anew(world.now()), world, portion, gauge)
        : told(state.to(Phase.DRAINED), apart);
  }

  /** That so little may come in any more that it would be no fill; null when enough may. */
  private static Outcome.@Nullable Fault noRoom(World world, Portion portion, Gauge gauge) {
    if (world.roomLitres() >= gauge.wantedLitres(portion) * SMALLEST_SHARE) {
      return null;
    }
    return portion.refills() > 0
        ? new Outcome.Fault(
            Latch.PORTION_RESTARTED,
            "the program began anew while a portion was filled, and with another fill too much"
                + " could have come in; see to the level and to the power")
        : new Outcome.Fault(
            Latch.OUT_AND_IN_APART,
            "out and in of the portions so far are "
                + litres(Math.abs(world.surplusLitres()))
                + " apart, and filled again they could pass the limit; see to level and salinity");
  }

  /**
   * What may have come in for a portion before this run of the program, at most, L: how long a pump
   * has filled is known to one run only, and the level may be stuck.
   */
  public double mayHaveFilledLitres(Portion portion) {
    return gauge == null ? 0 : portion.refills() * mostLitres(portion, gauge);
  }

  /** The most that is filled for a portion in one run of the program; the level ends it in time. */
  private static double mostLitres(Portion portion, Gauge gauge) {
    return gauge.wantedLitres(portion) * (1 + FILL_RESERVE);
  }

  private Proposal filling(State state, World world, Portion portion, Gauge gauge) {
    long nanos = fillNanos(Math.min(mostLitres(portion, gauge), world.roomLitres()), world.rates());
    long used = world.fill().usedNanos();
    String stop = stop(world);
    if (stop != null) {
      return rest(state.to(Phase.DRAINED), stop);
    }
    if (used >= nanos || calmFor(used > nanos / 2 ? STARVED : LONGEST_HALF, state, world)) {
      return filled(state.to(Phase.FILLED), world, portion, gauge);
    }
    if (gauge.full(state, world, portion)) {
      return filled(state.to(Phase.FILLED), world, portion, gauge);
    }
    return new Proposal(
        state,
        false,
        true,
        0,
        nanos,
        null,
        "a portion of " + litres(portion.litres()) + " comes in");
  }

  private Proposal filled(State state, World world, Portion portion, Gauge gauge) {
    Proposal settling = settling(state, world, portion);
    return settling == null ? told(state, gauge.judgeIn(state, world, portion)) : settling;
  }

  // What all of it shares.

  /** Why no pump may run now; null when it may. */
  private @Nullable String stop(World world) {
    if (!world.stops().isEmpty()) {
      return world.stops().get(0);
    }
    return gauge != null && !gauge.known(world) ? "the level is not known" : null;
  }

  /** While pumps and level come to rest, or do not; null once the level can be judged. */
  private @Nullable Proposal settling(State state, World world, Portion portion) {
    String stop = stop(world);
    if (stop != null) {
      return rest(state, stop);
    }
    if (!calmFor(Gauge.SETTLE, state, world)) {
      return rest(state, "the pumps come to rest");
    }
    if (gauge == null || gauge.atRest(world)) {
      return null;
    }
    Outcome.Fault fault = gauge.doesNotSettle(state, world, portion);
    return fault == null ? rest(state, "the level comes to rest") : told(state, fault);
  }

  private static boolean calmFor(Duration span, State state, World world) {
    return world.now().since(state.calmNanos()) >= span.toNanos();
  }

  private boolean paired() {
    return spec.kind() == ExchangeSpec.Kind.PAIRED;
  }

  private static Proposal told(State state, Outcome outcome) {
    return new Proposal(state, false, false, 0, 0, outcome, outcome.why());
  }

  private static Proposal rest(State state, String why) {
    return new Proposal(state, false, false, 0, 0, null, why);
  }

  private static long drainNanos(double litres, Rates rates) {
    return nanos(litres, rates.drain().litresPerMinute());
  }

  private static long fillNanos(double litres, Rates rates) {
    return nanos(litres, rates.fill().litresPerMinute());
  }

  private static long nanos(double litres, double litresPerMinute) {
    return (long) (litres / litresPerMinute * NANOS_PER_MINUTE);
  }

  static String litres(double value) {
    return Figures.brief(value, UnitCode.LITRES);
  }
}

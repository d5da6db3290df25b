package io.github.tidewarden.exchange;

import static io.github.tidewarden.exchange.Exchange.litres;

import io.github.tidewarden.exchange.Exchange.Latch;
import io.github.tidewarden.exchange.Exchange.Outcome;
import io.github.tidewarden.exchange.Exchange.State;
import io.github.tidewarden.exchange.Exchange.World;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Signal;
import io.github.tidewarden.sensing.Trend;
import java.time.Duration;
import org.jspecify.annotations.Nullable;

/** The level of one tank as the measure of what its pumps moved. */
final class Gauge {

  /** Shortest time at rest before the level is judged. */
  static final Duration SETTLE = Duration.ofSeconds(90);

  /**
   * What coming to rest takes as a rule: the two minutes over which a level is seen to be at rest.
   */
  static final Duration RECKONED = Trend.KEPT;

  /** A level that is not at rest so long after the pumps, with nothing that explains it. */
  static final Duration LONGEST_SETTLE = Duration.ofMinutes(10);

  /** A level that moves by less is at rest, mm/min. */
  static final double REST_MILLIMETRES_PER_MINUTE = 1;

  /** What noise, waves and rounding may make of a level, mm. */
  static final double DOUBT_MILLIMETRES = 1.5;

  /** The coarsest of level sensors tells whole millimetres; one that moved by less did not move. */
  private static final double COARSE_MILLIMETRES = 0.5;

  /** More than this share over what was asked for is too much. */
  static final double TOO_MUCH = 0.5;

  /** Less than this share of what the pump should have moved is little or nothing. */
  static final double LITTLE = 0.25;

  /** More portions than this are too much for one. */
  private static final double MUCH = 3;

  /** So many portions that a bin has not lost are more than noise. */
  private static final double NONE = 2;

  private static final double LEAST_LOST_LITRES = 1;

  /** By which share of a portion paired heads may miss each other. */
  static final double APART = 0.25;

  /**
   * Over this span a level at rest is taken. Less than the rest: the reading that ended a run has
   * noise that helped to end it, and would make every portion a little too large in the books.
   */
  private static final Duration LONG = Duration.ofSeconds(80);

  /** Over this span the level is taken while a pump runs: three readings of a slow sensor. */
  private static final Duration SHORT = Duration.ofSeconds(40);

  private static final double NANOS_PER_MINUTE = 60e9;

  private static final double NANOS_PER_DAY = 86_400e9;

  private final ExchangeSpec spec;
  private final ExchangeSpec.Level level;

  Gauge(ExchangeSpec spec, ExchangeSpec.Level level) {
    this.spec = spec;
    this.level = level;
  }

  boolean known(World world) {
    return good(world.level()) && Double.isFinite(moving(world));
  }

  boolean atRest(World world) {
    return good(world.level())
        && Math.abs(world.trend().perMinute(world.now())) < REST_MILLIMETRES_PER_MINUTE;
  }

  private static boolean good(@Nullable Signal signal) {
    return signal != null && signal.good();
  }

  // Before a portion.

  /** Why the level lets no portion begin; null when it does. */
  @Nullable String hindrance(World world, double litres) {
    if (!atRest(world)) {
      return "the level is not at rest";
    }
    Outcome.Reserve reserve = reserve(world, litres);
    double lowest = reserve.beforeMillimetres() - (paired() ? 0 : millimetres(litres));
    if (!(lowest - DOUBT_MILLIMETRES > level.lowMillimetres())) {
      return "the level, " + told(reserve.beforeMillimetres()) + ", leaves no room for a portion";
    }
    double highest = Math.max(reserve.beforeMillimetres(), reserve.targetMillimetres());
    return highest + DOUBT_MILLIMETRES < level.highMillimetres()
        ? null
        : "the level, " + told(reserve.beforeMillimetres()) + ", is too high";
  }

  /** A portion from where the level is, with up to a quarter of it to correct what is apart. */
  Outcome.Reserve reserve(World world, double litres) {
    double before = resting(world);
    double correction = Math.max(-litres / 4, Math.min(litres / 4, world.surplusLitres()));
    return new Outcome.Reserve(litres, before, before - millimetres(correction));
  }

  // While pumps run.

  /** By how much the portion leaves more in the tank than there was, L; negative for less. */
  double riseLitres(Portion portion) {
    return (portion.targetMicrometres() - portion.beforeMicrometres())
        / 1000.0
        * level.litresPerMillimetre();
  }

  /** What is to be filled after what came out is known, L. */
  double wantedLitres(Portion portion) {
    double millimetres = (portion.targetMicrometres() - portion.drainedMicrometres()) / 1000.0;
    return Math.max(0, millimetres * level.litresPerMillimetre());
  }

  /** Whether the level is so far away that the pumps cannot have meant it. */
  boolean outOfHand(World world, Portion portion) {
    return fallsTooFar(world, portion) || risesTooFar(world, portion);
  }

  private boolean fallsTooFar(World world, Portion portion) {
    double lowest =
        paired()
            ? Math.min(portion.beforeMicrometres(), portion.targetMicrometres()) / 1000.0
                - pairDoubt(portion)
            : portion.beforeMicrometres() / 1000.0
                - millimetres(portion.litres() * (1 + TOO_MUCH))
                - DOUBT_MILLIMETRES;
    return moving(world) < lowest - DOUBT_MILLIMETRES;
  }

  private boolean risesTooFar(World world, Portion portion) {
    double highest = Math.max(portion.beforeMicrometres(), portion.targetMicrometres()) / 1000.0;
    return paired() && moving(world) > highest + pairDoubt(portion) + DOUBT_MILLIMETRES;
  }

  /** Whether the tank is filled: what the mean says, and by how much it lags behind the pump. */
  boolean full(State state, World world, Portion portion) {
    double perNano = world.rates().fill().litresPerMinute() / NANOS_PER_MINUTE;
    double lag = millimetres(perNano * lagNanos(world.fill().runNanos()));
    return moving(world) + lag >= target(state, world, portion);
  }

  /** How far a mean lags behind what has risen evenly for so long, and stood still before, ns. */
  private static double lagNanos(long risingNanos) {
    double span = SHORT.toNanos();
    double rising = Math.min(span, (double) risingNanos);
    return rising - rising * rising / (2 * span);
  }

  // After the pumps.

  /** What is wrong with a level that has not come to rest; null for nothing yet. */
  Outcome.@Nullable Fault doesNotSettle(State state, World world, Portion portion) {
    double perMinute = world.trend().perMinute(world.now());
    boolean tooLong = world.now().since(state.calmNanos()) >= LONGEST_SETTLE.toNanos();
    if (Double.isNaN(perMinute) || !(tooLong || outOfHand(world, portion))) {
      return null;
    }
    boolean falls = perMinute < 0;
    return new Outcome.Fault(
        falls ? Latch.DRAIN_RUNS_ON : Latch.FILL_RUNS_ON,
        "the level does not come to rest: it "
            + (falls ? "falls " : "rises ")
            + told(Math.abs(perMinute))
            + " a minute with the pumps at rest");
  }

  /**
   * What came out.
   *
   * @param reckonedLitres what the pump can have moved in its time
   */
  Outcome judgeOut(State state, World world, Portion portion, double reckonedLitres) {
    double now = resting(world);
    double out = -rise(state, world, portion);
    String told = litres(Math.max(0, out)) + " went out, asked for " + litres(portion.litres());
    if (out > portion.litres() * (1 + TOO_MUCH) + doubtLitres()) {
      return new Outcome.Fault(Latch.DRAIN_RUNS_ON, told);
    }
    if (world.toppedOff()) {
      return new Outcome.Drained(Math.max(0, Math.max(out, drained(world))), now);
    }
    if (reckonedLitres > doubtLitres() && out < reckonedLitres * LITTLE) {
      return unmoved(world, portion.beforeMicrometres(), Latch.DRAIN_BLOCKED, told);
    }
    // The level tells no more then: what evaporated meanwhile would pass for drained.
    boolean unsure = portion.whole() || isOld(state, world);
    double believed = unsure ? Math.min(out, portion.litres()) : out;
    return new Outcome.Drained(Math.max(0, believed), now);
  }

  /** That water was lost after a portion was drained, by a level at rest; null when it was not. */
  Outcome.@Nullable Fault lost(State state, World world, Portion portion) {
    double lower =
        portion.drainedMicrometres() / 1000.0 - resting(world) - evaporated(state, world);
    return lower > DOUBT_MILLIMETRES
        ? new Outcome.Fault(
            Latch.LEVEL_DISAGREES,
            "the level is "
                + told(lower)
                + " lower than when the portion was drained: water was lost, or the sensor or its"
                + " zero is another")
        : null;
  }

  /** Whether so little is missing that noise may have made it. */
  boolean nothingMissing(State state, World world, Portion portion) {
    return missingLitres(state, world, portion) < doubtLitres();
  }

  private double missingLitres(State state, World world, Portion portion) {
    return (target(state, world, portion) - resting(world)) * level.litresPerMillimetre();
  }

  /**
   * What both heads moved.
   *
   * @param reckonedLitres what the drain pump can have moved in its time; 0 when nobody knows, and
   *     then the portion counts in full
   * @param lostLitres what the bin of new water lost meanwhile; NaN when nobody knows
   */
  Outcome judgePaired(
      State state, World world, Portion portion, double reckonedLitres, double lostLitres) {
    double rise = rise(state, world, portion);
    double apart = rise - riseLitres(portion);
    if (world.toppedOff()
        && apart > 0
        && apart <= pairDoubt(portion) * level.litresPerMillimetre()) {
      double in = believable(lostLitres, portion.litres()) ? lostLitres : filled(world);
      return new Outcome.Done(drained(world), in);
    }
    if (Math.abs(apart) > pairDoubt(portion) * level.litresPerMillimetre()) {
      return new Outcome.Fault(
          Latch.PUMPS_APART,
          "out and in of "
              + litres(portion.litres())
              + " are "
              + litres(Math.abs(apart))
              + " apart: too "
              + (apart < 0
                  ? "little came in or too much went out"
                  : "much came in or too little went out"));
    }
    if (believable(lostLitres, portion.litres())) {
      return new Outcome.Done(Math.max(0, lostLitres - rise), lostLitres);
    }
    double out = reckonedLitres > 0 ? reckonedLitres : portion.litres();
    return new Outcome.Done(out, out + rise);
  }

  /**
   * Whether what a bin lost can be a portion that came out of it. A single portion is small beside
   * the noise of such a sensor; it is right on the whole, because each begins with what the ledger
   * says is left.
   */
  static boolean believable(double lostLitres, double portionLitres) {
    return lostLitres > 0 && lostLitres < MUCH * portionLitres;
  }

  /**
   * What a bin says of paired heads, which a level cannot say: it lost far more than a portion, or
   * nothing in a row of them, since each begins with what the ledger says is left.
   */
  static Outcome.@Nullable Fault binFault(
      ExchangeSpec.Bin bin, double portionLitres, double lostLitres) {
    if (lostLitres > Math.max(MUCH * portionLitres, NewWater.oddLitres(bin))) {
      return new Outcome.Fault(
          Latch.FILL_RUNS_ON,
          "the bin lost " + litres(lostLitres) + " for a portion of " + litres(portionLitres));
    }
    if (-lostLitres > Math.max(NONE * portionLitres, LEAST_LOST_LITRES)) {
      return new Outcome.Fault(
          Latch.FILL_DRY,
          "by its sensor the bin lost "
              + litres(-lostLitres)
              + " less than the last portions should have taken");
    }
    return null;
  }

  /** What came in. */
  Outcome judgeIn(State state, World world, Portion portion) {
    double out = portion.outMillilitres() / 1000.0;
    double in =
        portion.restarts() == 0 && !isOld(state, world)
            ? out + rise(state, world, portion)
            : riseFrom(portion.drainedMicrometres(), state, world);
    double wanted = wantedLitres(portion);
    double missing = missingLitres(state, world, portion);
    String told = litres(Math.max(0, in)) + " came in for " + litres(out) + " out";
    if (missing > Math.max(doubtLitres(), wanted * (1 - LITTLE))) {
      return unmoved(world, portion.drainedMicrometres(), Latch.FILL_DRY, told);
    }
    if (-missing > wanted * TOO_MUCH + doubtLitres()) {
      return new Outcome.Fault(Latch.FILL_RUNS_ON, told);
    }
    return new Outcome.Done(out, world.toppedOff() ? Math.min(in, filled(world)) : in);
  }

  /** What the fill pump brought by its rate, L. */
  private static double filled(World world) {
    return world.fill().ranNanos() * world.rates().fill().litresPerMinute() / NANOS_PER_MINUTE;
  }

  /** What the drain pump took out by its rate, L. */
  private static double drained(World world) {
    return world.drain().ranNanos() * world.rates().drain().litresPerMinute() / NANOS_PER_MINUTE;
  }

  /** A level that shows the same to the last digit as before the pump ran is itself in doubt. */
  private Outcome.Fault unmoved(World world, long beforeMicrometres, Latch latch, String told) {
    boolean same = Math.abs(resting(world) - beforeMicrometres / 1000.0) < COARSE_MILLIMETRES;
    return same && world.trend().frozen(world.now())
        ? new Outcome.Fault(Latch.LEVEL_STUCK, told + ", and the level did not move by a digit")
        : new Outcome.Fault(latch, told);
  }

  // Levels and litres.

  private double resting(World world) {
    return world.trend().mean(LONG, world.now());
  }

  private double moving(World world) {
    return world.trend().mean(SHORT, world.now());
  }

  /** What the tank holds more than before the portion, L, but for what has evaporated since. */
  private double rise(State state, World world, Portion portion) {
    return riseFrom(portion.beforeMicrometres(), state, world);
  }

  private double riseFrom(long micrometres, State state, World world) {
    double rise = resting(world) + evaporated(state, world) - micrometres / 1000.0;
    return rise * level.litresPerMillimetre();
  }

  /**
   * The level to which the portion is filled, mm: what has evaporated since is left to top-off, and
   * so is what has while a start, or anything else, was awaited for long, which the level before
   * the portion does not know.
   */
  private double target(State state, World world, Portion portion) {
    double target = portion.targetMicrometres() / 1000.0 - evaporated(state, world);
    boolean sure = portion.restarts() == 0 && !isOld(state, world);
    if (paired() || sure || portion.stage() != Portion.Stage.FILLING) {
      return target;
    }
    double litres = portion.outMillilitres() / 1000.0 + Math.max(0, riseLitres(portion));
    return Math.min(target, portion.drainedMicrometres() / 1000.0 + millimetres(litres));
  }

  /**
   * By how much evaporation has lowered the level since the portion began, mm. Top-off is held no
   * longer than a half may wait; what it does after that is not known.
   */
  private double evaporated(State state, World world) {
    long held = Math.min(world.now().since(state.beganNanos()), Exchange.LONGEST_HALF.toNanos());
    return millimetres(spec.evaporationLitresPerDay() * held / NANOS_PER_DAY);
  }

  /** Whether a portion has been under way for longer than it is known what evaporates. */
  private static boolean isOld(State state, World world) {
    return world.now().since(state.beganNanos()) >= Exchange.LONGEST_HALF.toNanos();
  }

  private double pairDoubt(Portion portion) {
    return Math.max(DOUBT_MILLIMETRES, millimetres(portion.litres() * APART));
  }

  private double doubtLitres() {
    return DOUBT_MILLIMETRES * level.litresPerMillimetre();
  }

  private double millimetres(double litres) {
    return litres / level.litresPerMillimetre();
  }

  private boolean paired() {
    return spec.kind() == ExchangeSpec.Kind.PAIRED;
  }

  private static String told(double millimetres) {
    return Measure.LEVEL.told(millimetres);
  }
}

package io.github.tidewarden.exchange;

import io.github.tidewarden.exchange.Exchange.Latch;
import io.github.tidewarden.exchange.Exchange.Outcome;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Trend;
import java.time.Duration;
import org.jspecify.annotations.Nullable;

/**
 * What a level does while nothing should move it. When it falls faster than any evaporation there
 * is a leak, a siphon or a blocked weir, and nothing may be filled; when it rises while top-off is
 * held, or for longer than a top-off by hand takes, something runs that should not. A hand that
 * reaches into the water for some seconds is neither.
 */
public final class LevelAtRest {

  /** So long after a start, or a standstill of the return, waves are over. */
  public static final Duration CALM = Duration.ofMinutes(10);

  /** So long after the last pump they are. */
  static final Duration CALM_AFTER_PUMPS = Duration.ofMinutes(6);

  /** A level at rest that moves so fast or faster is told, mm/min. */
  static final double TOLD_MILLIMETRES_PER_MINUTE = 1;

  /** Nobody pours water in for so long: so a rise is told where nothing holds top-off. */
  static final Duration NO_HAND = Duration.ofMinutes(5);

  /**
   * So long it must be seen to move before anything is told. A hand that is in the water for 20 s
   * at most has passed then, and a return that has stopped is known not to run.
   */
  static final Duration LASTING = Duration.ofSeconds(45);

  /**
   * By so much at least it then moves in each 40 s, mm; a millimetre a minute makes a little more.
   */
  private static final double THROUGHOUT_MILLIMETRES = 0.6;

  /** What noise may put each reading off, mm, as a standard deviation. */
  private static final double NOISE_MILLIMETRES = 1;

  /**
   * So many standard deviations are no chance: with a reading in ten seconds, of which twelve or
   * thirteen are at hand, a level that stands still falls by so much about once in 190 years. With
   * 5.5 it would once in ten.
   */
  private static final double NO_CHANCE = 6;

  private LevelAtRest() {}

  /** What top-off may do to the level. */
  public enum TopOff {
    /** Nothing: it is held for certain. */
    HELD,
    /** Fill it: it has a hold, which is not in force. */
    FREE,
    /** Fill it a little: nothing holds it, be it a hand or a float valve. */
    UNHELD
  }

  /**
   * Carried from cycle to cycle; volatile.
   *
   * @param fromNanos from then on the level should stand still, monotonic
   * @param risesSinceNanos since when it has been seen to rise, monotonic; null when it does not
   * @param fallsSinceNanos the same for a fall
   * @param seen whether it is known how it moves now
   * @param fault how it moves now, where it should not; null when it does not, or nobody knows
   */
  public record State(
      long fromNanos,
      @Nullable Long risesSinceNanos,
      @Nullable Long fallsSinceNanos,
      boolean seen,
      Outcome.@Nullable Fault fault) {}

  /**
   * What the rule looks at.
   *
   * @param now both clocks
   * @param trend the last two minutes of the level
   * @param pumpsRest whether no pump can run that moves it
   * @param returnRuns whether the return is known to run, or the tank has none
   * @param topOff what top-off may do to it
   */
  public record World(
      Moment now, Trend trend, boolean pumpsRest, boolean returnRuns, TopOff topOff) {}

  /** At boot: what moved the water before is not known. */
  public static State atBoot(Moment now) {
    return unseen(now.monoNanos() + CALM.toNanos());
  }

  /** Whether a latch is one of a level at rest. */
  public static boolean tells(String latch) {
    return latch.equals(Latch.LEVEL_FALLS.word()) || latch.equals(Latch.LEVEL_RISES.word());
  }

  /** One cycle. */
  public static State look(State before, World world) {
    Moment now = world.now();
    if (!world.returnRuns()) {
      return atBoot(now);
    }
    if (!world.pumpsRest()) {
      long from = now.monoNanos() + CALM_AFTER_PUMPS.toNanos();
      return unseen(from - before.fromNanos() > 0 ? from : before.fromNanos());
    }
    if (now.since(before.fromNanos()) < 0) {
      return unseen(before.fromNanos());
    }
    double perMinute = world.trend().perMinute(now);
    boolean noChance =
        Math.abs(perMinute) >= NO_CHANCE * world.trend().perMinuteDeviation(NOISE_MILLIMETRES, now);
    Long rises = since(before.risesSinceNanos(), perMinute, noChance, now);
    Long falls = since(before.fallsSinceNanos(), -perMinute, noChance, now);
    boolean lasts =
        (falls != null && now.since(falls) >= LASTING.toNanos()) || isNoTopOff(rises, world);
    boolean tells = lasts && noChance && movesThroughout(perMinute, world);
    return new State(
        before.fromNanos(),
        rises,
        falls,
        Double.isFinite(perMinute),
        tells ? fault(perMinute) : null);
  }

  private static State unseen(long from) {
    return new State(from, null, null, false, null);
  }

  /**
   * Since when it moves so; noise on a movement near the bound does not begin it anew, nor does a
   * level that is not known for a while.
   */
  private static @Nullable Long since(
      @Nullable Long before, double perMinute, boolean noChance, Moment now) {
    if (before != null) {
      return perMinute < TOLD_MILLIMETRES_PER_MINUTE / 2 ? null : before;
    }
    return noChance && perMinute >= TOLD_MILLIMETRES_PER_MINUTE
        ? Long.valueOf(now.monoNanos())
        : null;
  }

  /** Whether it has risen for so long that it cannot be what tops off. */
  private static boolean isNoTopOff(@Nullable Long risesSince, World world) {
    if (risesSince == null) {
      return false;
    }
    long lasts = world.now().since(risesSince);
    return switch (world.topOff()) {
      case HELD -> lasts >= LASTING.toNanos();
      case FREE -> false;
      case UNHELD -> lasts >= NO_HAND.toNanos();
    };
  }

  /** Not by a few readings that are off, such as a wave or a hand make. */
  private static boolean movesThroughout(double perMinute, World world) {
    return Math.copySign(1, perMinute) * world.trend().movedThroughout(world.now())
        >= THROUGHOUT_MILLIMETRES;
  }

  private static Outcome.Fault fault(double perMinute) {
    boolean falls = perMinute < 0;
    return new Outcome.Fault(
        falls ? Latch.LEVEL_FALLS : Latch.LEVEL_RISES,
        "the level "
            + (falls ? "falls " : "rises ")
            + Measure.LEVEL.told(Math.abs(perMinute))
            + " a minute with everything at rest");
  }
}

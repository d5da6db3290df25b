package io.github.tidewarden.schedule;

import io.github.tidewarden.quantity.Moment;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.temporal.ChronoUnit;

/**
 * Something spent: one run, or what one may have been. Running time in milliseconds, water in
 * millilitres, as in the audit.
 *
 * @param boot in which it ended
 * @param night the night whose allowance it takes
 * @param endMonoMillis monotonic time of its end in that boot, ms, rounded up
 * @param wallEnd wall time of its end, to the ms, rounded up
 * @param trusted whether the wall clock was trusted then
 * @param amount running time at most, ms, or water, mL; never negative
 */
public record Spend(
    String boot,
    LocalDate night,
    long endMonoMillis,
    Instant wallEnd,
    boolean trusted,
    long amount) {

  private static final long NANOS_PER_MILLI = 1_000_000;

  /**
   * Checks.
   *
   * @throws IllegalArgumentException when {@code amount} is negative
   */
  public Spend {
    if (amount < 0) {
      throw new IllegalArgumentException("a spend of " + amount);
    }
  }

  /**
   * What ended, or will have ended, by {@code end}; every fraction of a millisecond counts whole.
   */
  public static Spend endingAt(Moment end, String boot, LocalDate night, long spentNanos) {
    return of(end, boot, night, roundedUpToMillis(spentNanos));
  }

  /** An amount whose spending was over by {@code end}, rounded up to the millisecond. */
  public static Spend of(Moment end, String boot, LocalDate night, long amount) {
    return new Spend(
        boot,
        night,
        roundedUpToMillis(end.monoNanos()),
        end.wall().plusNanos(NANOS_PER_MILLI - 1).truncatedTo(ChronoUnit.MILLIS),
        end.trusted(),
        amount);
  }

  /**
   * How long ago it ended, never more than is certain and never negative: within one boot the
   * smaller of wall and monotonic time, across boots wall time that was trusted at both ends. While
   * the clock is not trusted nothing ages.
   */
  public Duration age(String nowBoot, Moment now) {
    if (!now.trusted()) {
      return Duration.ZERO;
    }
    Duration elapsed = Duration.between(wallEnd, now.wall());
    if (boot.equals(nowBoot)) {
      elapsed = smaller(elapsed, Duration.ofNanos(now.monoNanos()).minusMillis(endMonoMillis));
    } else if (!trusted) {
      return Duration.ZERO;
    }
    return elapsed.isNegative() ? Duration.ZERO : elapsed;
  }

  /**
   * How long ago it ended at most: within one boot by monotonic time, across boots by wall time
   * that was trusted at both ends and did not go back.
   *
   * @param most the answer where that is longer, or not known
   */
  public Duration ageAtMost(String nowBoot, Moment now, Duration most) {
    boolean sameBoot = boot.equals(nowBoot);
    Duration elapsed =
        sameBoot
            ? Duration.ofNanos(now.monoNanos()).minusMillis(endMonoMillis - 1)
            : Duration.between(wallEnd.minusMillis(1), now.wall());
    boolean known = !elapsed.isNegative() && (sameBoot || (trusted && now.trusted()));
    return known ? smaller(elapsed, most) : most;
  }

  /**
   * Whether its {@link #age} is less than the span between two moments.
   *
   * @param since the earlier one by the wall clock
   * @param sinceMonoMillis the same by the monotonic clock, ms, rounded down
   */
  boolean isYounger(Instant since, long sinceMonoMillis, String nowBoot, Moment now) {
    boolean wallYounger = !now.trusted() || wallEnd.isAfter(since);
    return boot.equals(nowBoot)
        ? wallYounger || endMonoMillis > sinceMonoMillis
        : wallYounger || !trusted;
  }

  /**
   * The same, dated by the time of this boot, now that the wall clock is trusted: what ended in it
   * while the clock was not would be of no known age in another boot.
   */
  Spend dated(String nowBoot, Moment now) {
    if (trusted || !now.trusted() || !boot.equals(nowBoot)) {
      return this;
    }
    Duration ago = Duration.ofNanos(now.monoNanos()).minusMillis(endMonoMillis);
    Instant end = now.wall().minus(ago).plusNanos(NANOS_PER_MILLI - 1);
    return new Spend(boot, night, endMonoMillis, end.truncatedTo(ChronoUnit.MILLIS), true, amount);
  }

  /** This and an older spend of the same night as one, which ended when this one did. */
  Spend plusOlder(Spend older) {
    return new Spend(
        boot, night, endMonoMillis, wallEnd, trusted, Math.addExact(amount, older.amount));
  }

  private static long roundedUpToMillis(long nanos) {
    return -Math.floorDiv(-nanos, NANOS_PER_MILLI);
  }

  private static Duration smaller(Duration one, Duration other) {
    return one.compareTo(other) < 0 ? one : other;
  }
}

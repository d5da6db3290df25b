package io.github.tidewarden.exchange;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.schedule.NightPlan;
import io.github.tidewarden.schedule.Nights;
import io.github.tidewarden.schedule.OpenWindow;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;
import java.util.Locale;

/**
 * A tank lived through for as many days as one likes: minute by minute while nothing is due, second
 * by second while a portion is under way. Fresh water replaces what evaporates, but not from the
 * beginning of a portion until 10 min after it.
 */
final class Year {
  private static final ZoneId LISBON = ZoneId.of("Europe/Lisbon");
  private static final Duration HELD = Duration.ofMinutes(10);
  private static final Duration WHOLE_PORTION = Duration.ofMinutes(9);
  private static final int DAYS_OF_A_WEEK = 7;

  /** Lowest and highest of one figure. */
  static final class Range {
    double least = Double.POSITIVE_INFINITY;
    double most = Double.NEGATIVE_INFINITY;

    void take(double value) {
      least = Math.min(least, value);
      most = Math.max(most, value);
    }

    @Override
    public String toString() {
      return String.format(Locale.ROOT, "%.3f to %.3f", least, most);
    }
  }

  final ExchangeBench bench;
  final Range millimetres = new Range();
  final Range salinityPsu = new Range();

  /** In less out, L, as it is in the books, and as the water itself knows. */
  final Range surplusLitres = new Range();

  final Range trueSurplusLitres = new Range();

  /** How far out and in of a week are truly apart, L. */
  final Range trueWeeksApart = new Range();

  /** What a week exchanged, as a share of what it should; in the books and in the water. */
  final Range weeks = new Range();

  final Range trueWeeks = new Range();

  private NightPlan plan;
  private double doneBefore;
  private Instant heldUntil;

  Year(ExchangeBench bench) {
    this.bench = bench;
    heldUntil = bench.wall;
    plan = plan();
  }

  private NightPlan plan() {
    return NightPlan.of(Nights.nightOf(bench.wall, LISBON), LISBON, bench.spec.windows());
  }

  /** So many whole weeks, each of which counts, from the next noon on. */
  void weeks(int weeks) {
    until(Nights.interval(Nights.nightOf(bench.wall, LISBON), LISBON).end());
    for (int week = 0; week < weeks; week++) {
      double before = bench.outLitres;
      double trueBefore = bench.sump.outLitres;
      double apartBefore = bench.sump.inLitres - trueBefore;
      LocalDate next = Nights.nightOf(bench.wall, LISBON).plusDays(DAYS_OF_A_WEEK);
      until(Nights.interval(next, LISBON).start());
      trueWeeksApart.take(bench.sump.inLitres - bench.sump.outLitres - apartBefore);
      double share = DAYS_OF_A_WEEK * bench.spec.litresPerDay();
      this.weeks.take((bench.outLitres - before) / share);
      trueWeeks.take((bench.sump.outLitres - trueBefore) / share);
    }
  }

  private void until(Instant end) {
    while (bench.wall.isBefore(end)) {
      turnTheNight();
      OpenWindow window = plan.openAt(bench.wall);
      bench.dueLitres = 0;
      bench.windowLeftNanos = 0;
      if (window != null) {
        bench.dueLitres = doneBefore + DailyShare.dueLitres(bench.spec, plan.windows(), bench.wall);
        bench.windowLeftNanos = Duration.between(bench.wall, window.interval().end()).toNanos();
      }
      boolean due = bench.dueLitres - bench.outLitres >= bench.spec.portionLitres() / 4;
      if (due && bench.windowLeftNanos > WHOLE_PORTION.toNanos()) {
        bench.warmUp();
        bench.until(() -> bench.proposal != null && bench.phase() != Exchange.Phase.IDLE);
        goOn();
      } else {
        rest(60);
      }
    }
  }

  /** From the middle of a portion on, the daemon is not there for so many days. */
  void outage(int days) {
    bench.dueLitres = bench.outLitres + bench.spec.portionLitres();
    bench.windowLeftNanos = Duration.ofHours(1).toNanos();
    bench.warmUp();
    bench.until(Exchange.Phase.DRAINING).seconds(40);
    bench.kill(ExchangeBench.DROP_OUT_SECONDS + 1);
    heldUntil = bench.wall;
    for (int minute = 0; minute < days * 24 * 60; minute++) {
      rest(60);
    }
    bench.boot();
    goOn();
    turnTheNight();
  }

  private void goOn() {
    for (int second = 0; bench.phase() != Exchange.Phase.IDLE || bench.portion != null; second++) {
      assertThat(second).as("%s", bench.proposal).isLessThan(3600);
      bench.second();
      look();
    }
    heldUntil = bench.wall.plus(HELD);
  }

  private void rest(int seconds) {
    bench.advance(seconds * ExchangeBench.SECOND);
    bench.sump.evaporate(seconds);
    if (!bench.wall.isBefore(heldUntil)) {
      bench.sump.topOff();
    }
    look();
  }

  private void turnTheNight() {
    if (!plan.interval().contains(bench.wall)) {
      plan = plan();
      doneBefore = bench.outLitres;
    }
  }

  private void look() {
    millimetres.take(bench.sump.millimetres);
    salinityPsu.take(bench.sump.salinityPsu());
    surplusLitres.take(bench.surplusLitres());
    if (bench.portion == null) {
      trueSurplusLitres.take(bench.sump.inLitres - bench.sump.outLitres);
    }
  }

  @Override
  public String toString() {
    return "level "
        + millimetres
        + " mm, salinity "
        + salinityPsu
        + " PSU, surplus "
        + surplusLitres
        + " L (truly "
        + trueSurplusLitres
        + " L, in a week "
        + trueWeeksApart
        + " L), weeks "
        + weeks
        + " (truly "
        + trueWeeks
        + "), rates "
        + bench.rates
        + ", faults "
        + bench.faults;
  }
}

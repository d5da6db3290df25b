package io.github.tidewarden.exchange;

import static org.assertj.core.api.Assertions.assertThat;

import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/**
 * The bar of the exchange: a year of nights in which the pumps are 10 % off, 1 % of the water
 * evaporates a day and is replaced, the level has 1 mm of noise, and for a week, from the middle of
 * a portion on, the daemon is gone. Other pumps for shorter.
 */
class ExchangeYearTest {

  @ParameterizedTest
  @CsvSource({
    "PORTIONS, 0.9, 1.1, 14, 37",
    "PORTIONS, 1.1, 0.9, 3, 3",
    "PORTIONS, 0.9, 0.9, 3, 3",
    "PORTIONS, 1.1, 1.1, 3, 3",
    "PAIRED, 1.1, 0.9, 14, 37",
    "PAIRED, 0.9, 1.1, 3, 3",
    "PAIRED, 0.9, 0.9, 3, 3",
    "PAIRED, 1.1, 1.1, 3, 3"
  })
  void keepsLevelShareBalanceAndSalinity(
      ExchangeSpec.Kind kind, double drains, double fills, int weeksBefore, int weeksAfter) {
    // A level cannot tell what two heads move together: without a sensor in the bin, and without a
    // calibration, only their drain pump's rate says so.
    double moved = kind == ExchangeSpec.Kind.PAIRED ? drains : 1;
    keeps(bench(kind, drains, fills), weeksBefore, weeksAfter, moved);
  }

  /** Two heads that a keeper has measured into a jug. */
  @ParameterizedTest
  @CsvSource({"1.1, 0.9, 14, 37", "0.9, 0.9, 3, 3", "1.1, 1.1, 3, 3"})
  void pairedHeadsThatAreCalibratedMeetTheirShareToo(
      double drains, double fills, int weeksBefore, int weeksAfter) {
    ExchangeBench bench = bench(ExchangeSpec.Kind.PAIRED, drains, fills);
    bench.rates = new Rates(Rates.Rate.of(0.25 * drains), Rates.Rate.of(0.25 * fills));
    keeps(bench, weeksBefore, weeksAfter, 1);
  }

  /** Two heads whose bin has a sensor that is a fifth of a portion off. */
  @ParameterizedTest
  @CsvSource({"1.1, 0.9, 14, 37", "0.9, 0.9, 3, 3", "1.1, 1.1, 3, 3"})
  void pairedHeadsWithASensorInTheBinMeetTheirShareToo(
      double drains, double fills, int weeksBefore, int weeksAfter) {
    ExchangeBench bench = bench(ExchangeSpec.Kind.PAIRED, drains, fills);
    bench.binNoiseLitres = 0.1;
    keeps(bench, weeksBefore, weeksAfter, 1);
  }

  private static ExchangeBench bench(ExchangeSpec.Kind kind, double drains, double fills) {
    ExchangeBench bench = new ExchangeBench(ExchangeBench.spec(kind, true), 365);
    bench.sump.drainLitresPerMinute *= drains;
    bench.sump.fillLitresPerMinute *= fills;
    return bench;
  }

  private static void keeps(ExchangeBench bench, int weeksBefore, int weeksAfter, double moved) {
    Year year = new Year(bench);
    year.weeks(weeksBefore);
    year.outage(7);
    year.weeks(weeksAfter);
    String told = year.toString();
    assertThat(bench.faults).as(told).isEmpty();
    assertThat(year.millimetres.least).as(told).isGreaterThan(ExchangeBench.LOW_MILLIMETRES + 20);
    assertThat(year.millimetres.most).as(told).isLessThan(ExchangeBench.HIGH_MILLIMETRES - 20);
    assertThat(year.salinityPsu.least).as(told).isGreaterThan(33.5);
    assertThat(year.salinityPsu.most).as(told).isLessThan(36.5);
    assertThat(year.surplusLitres.least).as(told).isGreaterThan(-ExchangeBench.IMBALANCE_LITRES);
    assertThat(year.surplusLitres.most).as(told).isLessThan(ExchangeBench.IMBALANCE_LITRES);
    assertThat(year.trueWeeksApart.least).as(told).isGreaterThan(-ExchangeBench.IMBALANCE_LITRES);
    assertThat(year.trueWeeksApart.most).as(told).isLessThan(ExchangeBench.IMBALANCE_LITRES);
    assertThat(year.weeks.least).as(told).isGreaterThan(0.98);
    assertThat(year.weeks.most).as(told).isLessThan(1.02);
    assertThat(year.trueWeeks.least).as(told).isGreaterThan(moved - 0.02);
    assertThat(year.trueWeeks.most).as(told).isLessThan(moved + 0.02);
  }
}

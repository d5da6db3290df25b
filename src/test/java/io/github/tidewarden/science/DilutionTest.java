package io.github.tidewarden.science;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;
import static org.assertj.core.api.Assertions.within;

import java.util.SplittableRandom;
import org.assertj.core.data.Offset;
import org.junit.jupiter.api.Test;

/**
 * Each row says where it is from. READ: in the source named; CALC: worked out by the formulas
 * {@code 1 - (1 - f)^n} and {@code 1 - exp(-v)}, and the balance "in and production are out".
 */
class DilutionTest {

  private static final Offset<Double> EXACT = within(1e-12);

  /** A page on ballast-water practice: READ, whole per cent; the decimals CALC. */
  @Test
  void followsTheBallastWaterRule() {
    double[] percent = {63, 86, 95, 98};
    double[] decimals = {63.21, 86.47, 95.02, 98.17};
    for (int volumes = 1; volumes <= percent.length; volumes++) {
      double exchanged = 100 * Dilution.exchangedContinuousFraction(volumes);
      assertThat(exchanged).isCloseTo(percent[volumes - 1], within(0.5));
      assertThat(exchanged).isCloseTo(decimals[volumes - 1], within(5.1e-3));
    }
  }

  /** IMO standard D-1: READ. Three volumes are accepted as 95 %, two are not enough. */
  @Test
  void threeVolumesMeetTheStandardForShips() {
    assertThat(Dilution.exchangedContinuousFraction(3)).isGreaterThanOrEqualTo(0.95);
    assertThat(Dilution.volumesToExchange(0.95)).isBetween(2.0, 3.0);
  }

  /** CALC: 3 % a day for a week in batches, continuously, and as one change of 21 %. */
  @Test
  void aWeekOfThreePercentADay() {
    double batches = Dilution.exchangedFraction(0.03, 7);
    double continuous = Dilution.exchangedContinuousFraction(0.21);
    assertThat(batches).isCloseTo(0.192017, within(5.1e-7));
    assertThat(continuous).isCloseTo(0.189416, within(5.1e-7));
    assertThat(100 * (batches - continuous)).isCloseTo(0.26, within(5.1e-3));
    assertThat(Dilution.exchangedFraction(0.21, 1)).isCloseTo(0.21, EXACT);
  }

  /** Common practice: 3 % a day is called about 20 % a week. Held to one percentage point. */
  @Test
  void threePercentADayIsAboutTwentyPercentAWeek() {
    assertThat(100 * Dilution.exchangedFraction(0.03, 7)).isCloseTo(20, within(1.0));
  }

  /** CALC. */
  @Test
  void fiveTimesTwentyPercentIsMoreThanOneContinuousVolume() {
    assertThat(Dilution.exchangedFraction(0.2, 5)).isCloseTo(0.67232, within(5.1e-6));
    assertThat(Dilution.exchangedContinuousFraction(1)).isCloseTo(0.63212, within(5.1e-6));
  }

  /** CALC: 3 % a day, production 0.5 a day, clean new water. */
  @Test
  void settlesAsTabled() {
    assertThat(Dilution.settledBeforeBatch(0, 0.5, 0.03)).isCloseTo(16.667, within(5.1e-4));
    assertThat(Dilution.settledAfterBatch(0, 0.5, 0.03)).isCloseTo(16.167, within(5.1e-4));
    assertThat(Dilution.settledContinuous(0, 0.5, 0.03)).isCloseTo(16.667, within(5.1e-4));
  }

  /** CALC: half-lives and times to 95 % of 3 % a day. */
  @Test
  void takesTheTabledTime() {
    assertThat(Dilution.halfLifeBatches(0.03)).isCloseTo(22.757, within(5.1e-4));
    assertThat(Dilution.halfLifeContinuous(0.03)).isCloseTo(23.105, within(5.1e-4));
    assertThat(Dilution.batchesToExchange(0.03, 0.95)).isCloseTo(98.35, within(5.1e-3));
    assertThat(Dilution.volumesToExchange(0.95) / 0.03).isCloseTo(99.86, within(5.1e-3));
  }

  @Test
  void settlesWhereATankSimulatedDayByDaySettles() {
    SplittableRandom random = new SplittableRandom(41);
    for (int i = 0; i < 200; i++) {
      double fraction = random.nextDouble(0.01, 1);
      double production = random.nextDouble(-2, 5);
      double inflow = random.nextDouble(10);
      double before = random.nextDouble(50);
      double after = before;
      for (int day = 0; day < 5000; day++) {
        before = after + production;
        after = before * (1 - fraction) + inflow * fraction;
      }
      assertThat(Dilution.settledBeforeBatch(inflow, production, fraction))
          .isCloseTo(before, within(1e-9));
      assertThat(Dilution.settledAfterBatch(inflow, production, fraction))
          .isCloseTo(after, within(1e-9));
    }
  }

  @Test
  void compoundingIsTheProductOfWhatRemains() {
    SplittableRandom random = new SplittableRandom(42);
    for (int i = 0; i < 1000; i++) {
      double[] fractions = random.doubles(random.nextInt(8), 0, 1).toArray();
      double remaining = 1;
      for (double fraction : fractions) {
        remaining *= Dilution.remainingFraction(fraction, 1);
      }
      assertThat(Dilution.compoundedFraction(fractions)).isCloseTo(1 - remaining, EXACT);
    }
    double[] week = {0.03, 0.03, 0.03, 0.03, 0.03, 0.03, 0.03};
    assertThat(Dilution.compoundedFraction(week))
        .isCloseTo(Dilution.exchangedFraction(0.03, 7), EXACT);
    assertThat(Dilution.compoundedFraction()).isZero();
    assertThat(Dilution.compoundedFraction(0.3, 1, 0.2)).isEqualTo(1);
  }

  @Test
  void batchesInTwoRunsAreTheBatchesInOne() {
    SplittableRandom random = new SplittableRandom(43);
    for (int i = 0; i < 1000; i++) {
      double fraction = random.nextDouble(0, 1);
      double first = random.nextDouble(50);
      double second = random.nextDouble(50);
      assertThat(Dilution.remainingFraction(fraction, first + second))
          .isCloseTo(
              Dilution.remainingFraction(fraction, first)
                  * Dilution.remainingFraction(fraction, second),
              EXACT);
      assertThat(Dilution.remainingContinuousFraction(first + second))
          .isCloseTo(
              Dilution.remainingContinuousFraction(first)
                  * Dilution.remainingContinuousFraction(second),
              EXACT);
    }
  }

  @Test
  void theSmallerThePortionsTheLessIsExchangedDownToTheContinuous() {
    SplittableRandom random = new SplittableRandom(44);
    for (int i = 0; i < 1000; i++) {
      double water = random.nextDouble(20, 2000);
      double litres = water * random.nextDouble(0.01, 1);
      double portion = litres * random.nextDouble(0.01, 0.9);
      double inOne = Dilution.exchangedInPortionsFraction(water, litres, litres);
      double inPortions = Dilution.exchangedInPortionsFraction(water, portion, litres);
      double inHalves = Dilution.exchangedInPortionsFraction(water, portion / 2, litres);
      assertThat(inOne).isCloseTo(litres / water, EXACT);
      assertThat(inPortions).isLessThan(inOne);
      assertThat(inHalves).isLessThan(inPortions);
      assertThat(inHalves).isGreaterThan(Dilution.exchangedContinuousFraction(litres / water));
    }
  }

  @Test
  void portionsAreBatchesWithASmallerOneAtTheEnd() {
    // Three portions of 5 L and one of 2 L out of 100 L; worked by hand.
    assertThat(Dilution.exchangedInPortionsFraction(100, 5, 17))
        .isCloseTo(1 - 0.95 * 0.95 * 0.95 * 0.98, EXACT);
    assertThat(Dilution.exchangedInPortionsFraction(100, 5, 15))
        .isCloseTo(Dilution.exchangedFraction(0.05, 3), EXACT);
    assertThat(Dilution.exchangedInPortionsFraction(100, 5, 0)).isZero();
    assertThat(Dilution.litresInPortions(100, 100, 0.4)).isCloseTo(40, within(1e-9));
    // Drops so small that 1 - f is 1 in the machine's arithmetic are a continuous exchange.
    assertThat(Dilution.exchangedInPortionsFraction(100, 1e-15, 20))
        .isCloseTo(Dilution.exchangedContinuousFraction(0.2), EXACT);
  }

  @Test
  void whatIsToBeExchangedForAFractionGivesThatFraction() {
    SplittableRandom random = new SplittableRandom(45);
    for (int i = 0; i < 1000; i++) {
      double wanted = random.nextDouble(0, 0.999);
      double fraction = random.nextDouble(0.001, 0.999);
      assertThat(Dilution.exchangedFraction(fraction, Dilution.batchesToExchange(fraction, wanted)))
          .isCloseTo(wanted, EXACT);
      assertThat(Dilution.exchangedContinuousFraction(Dilution.volumesToExchange(wanted)))
          .isCloseTo(wanted, EXACT);
      double water = random.nextDouble(20, 2000);
      double portion = water * fraction;
      double litres = Dilution.litresInPortions(water, portion, wanted);
      assertThat(Dilution.exchangedInPortionsFraction(water, portion, litres))
          .isCloseTo(wanted, EXACT);
    }
    assertThat(Dilution.remainingFraction(0.03, Dilution.halfLifeBatches(0.03)))
        .isCloseTo(0.5, EXACT);
    assertThat(Dilution.remainingContinuousFraction(0.03 * Dilution.halfLifeContinuous(0.03)))
        .isCloseTo(0.5, EXACT);
  }

  @Test
  void nothingAndEverythingAreTheEnds() {
    assertThat(Dilution.exchangedFraction(0, 1000)).isZero();
    assertThat(Dilution.exchangedFraction(0.5, 0)).isZero();
    assertThat(Dilution.exchangedFraction(1, 1)).isEqualTo(1);
    assertThat(Dilution.exchangedFraction(1, 0)).isZero();
    assertThat(Dilution.exchangedContinuousFraction(0)).isZero();
    assertThat(Dilution.batchesToExchange(0.03, 0)).isZero();
  }

  @Test
  void refusesWhatIsNoExchange() {
    for (double bad : new double[] {-0.001, 1.001, Double.NaN, Double.POSITIVE_INFINITY}) {
      assertThatIllegalArgumentException().isThrownBy(() -> Dilution.remainingFraction(bad, 1));
      assertThatIllegalArgumentException().isThrownBy(() -> Dilution.compoundedFraction(0.1, bad));
      assertThatIllegalArgumentException().isThrownBy(() -> Dilution.batchesToExchange(bad, 0.5));
      assertThatIllegalArgumentException().isThrownBy(() -> Dilution.batchesToExchange(0.5, bad));
      assertThatIllegalArgumentException().isThrownBy(() -> Dilution.volumesToExchange(bad));
      assertThatIllegalArgumentException().isThrownBy(() -> Dilution.settledBeforeBatch(0, 1, bad));
      assertThatIllegalArgumentException().isThrownBy(() -> Dilution.settledAfterBatch(0, 1, bad));
      assertThatIllegalArgumentException().isThrownBy(() -> Dilution.litresInPortions(100, 1, bad));
    }
    for (double bad : new double[] {-0.001, Double.NaN, Double.POSITIVE_INFINITY}) {
      assertThatIllegalArgumentException().isThrownBy(() -> Dilution.exchangedFraction(0.1, bad));
      assertThatIllegalArgumentException()
          .isThrownBy(() -> Dilution.exchangedContinuousFraction(bad));
      assertThatIllegalArgumentException().isThrownBy(() -> Dilution.halfLifeContinuous(bad));
      assertThatIllegalArgumentException().isThrownBy(() -> Dilution.settledContinuous(0, 1, bad));
      assertThatIllegalArgumentException()
          .isThrownBy(() -> Dilution.exchangedInPortionsFraction(bad, 1, 1));
      assertThatIllegalArgumentException()
          .isThrownBy(() -> Dilution.exchangedInPortionsFraction(100, bad, 1));
      assertThatIllegalArgumentException()
          .isThrownBy(() -> Dilution.exchangedInPortionsFraction(100, 1, bad));
    }
    // What never exchanges anything never exchanges half, and settles nowhere.
    assertThatIllegalArgumentException().isThrownBy(() -> Dilution.halfLifeBatches(0));
    assertThatIllegalArgumentException().isThrownBy(() -> Dilution.halfLifeContinuous(0));
    assertThatIllegalArgumentException().isThrownBy(() -> Dilution.settledBeforeBatch(0, 1, 0));
    assertThatIllegalArgumentException().isThrownBy(() -> Dilution.settledContinuous(0, 1, 0));
    assertThatIllegalArgumentException().isThrownBy(() -> Dilution.batchesToExchange(0.03, 1));
    assertThatIllegalArgumentException()
        .isThrownBy(() -> Dilution.settledBeforeBatch(Double.NaN, 1, 0.1));
    assertThatIllegalArgumentException()
        .isThrownBy(() -> Dilution.settledBeforeBatch(0, Double.NaN, 0.1));
    // A portion larger than the tank.
    assertThatIllegalArgumentException()
        .isThrownBy(() -> Dilution.exchangedInPortionsFraction(100, 101, 1))
        .withMessageContaining("portion in L");
  }
}

package io.github.tidewarden.science;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;
import static org.assertj.core.api.Assertions.within;

import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

/** Rows marked CALC were worked out with EOS-80 and TEOS-10's 35.165 g of salt in a kilogram. */
class SaltBalanceTest {

  private static final SaltBalance REEF = new SaltBalance(1000, 35, 25);

  /** CALC: 1000 L at 35 PSU lose 10 L; 35.344 by mass, 35.3535 by the ratio of volumes. */
  @Test
  void evaporationByMassStaysUnderTheRatioOfVolumes() {
    double byMass = REEF.afterEvaporationPsu(10);
    double byVolume = 35 * 1000.0 / 990;
    assertThat(byMass).isCloseTo(35.344, within(5.1e-4));
    assertThat(byVolume).isCloseTo(35.3535, within(5.1e-5));
    assertThat(100 * (byVolume / byMass - 1)).isCloseTo(0.03, within(5.1e-3));
  }

  /** Worked by hand: 35 x 1023.341 / (1023.341 + 0.01 x 997.048), densities of sections 5a, 5b. */
  @Test
  void freshWaterThinsByMass() {
    assertThat(REEF.afterFreshWaterPsu(10))
        .isCloseTo(35 * 1023.341 / (1023.341 + 0.01 * 997.048), within(1e-5));
  }

  @Test
  void evaporationIsUndoneByTopOff() {
    SplittableRandom random = new SplittableRandom(51);
    for (int i = 0; i < 1000; i++) {
      double water = random.nextDouble(20, 2000);
      double celsius = random.nextDouble(15, 35);
      double psu = random.nextDouble(1, 38);
      double litres = water * random.nextDouble(0.05);
      double saltier = new SaltBalance(water, psu, celsius).afterEvaporationPsu(litres);
      assertThat(saltier).isGreaterThanOrEqualTo(psu);
      // Of the whole mass: what is left in the tank takes up this volume at its new density.
      double left =
          (water * SeaWater.densityKilogramsPerCubicMetre(psu, celsius)
                  - litres * SeaWater.densityKilogramsPerCubicMetre(0, celsius))
              / SeaWater.densityKilogramsPerCubicMetre(saltier, celsius);
      assertThat(new SaltBalance(left, saltier, celsius).afterFreshWaterPsu(litres))
          .isCloseTo(psu, within(1e-9));
    }
  }

  @Test
  void anExchangeNearsTheNewWaterAsTheDilutionSays() {
    SplittableRandom random = new SplittableRandom(52);
    for (int i = 0; i < 1000; i++) {
      double water = random.nextDouble(20, 2000);
      double portion = water * random.nextDouble(0.002, 0.02);
      double litres = water * random.nextDouble(0.3);
      double psu = random.nextDouble(30, 38);
      double newPsu = random.nextDouble(30, 38);
      double after = new SaltBalance(water, psu, 25).afterExchangePsu(litres, portion, newPsu);
      assertThat(after).isBetween(Math.min(psu, newPsu) - 1e-9, Math.max(psu, newPsu) + 1e-9);
      // By volume it would be exactly the dilution; the densities differ by 0.6 % at most.
      double share = Dilution.exchangedInPortionsFraction(water, portion, litres);
      assertThat(after).isCloseTo(psu + share * (newPsu - psu), within(0.006 * 8));
    }
  }

  @Test
  void anExchangeIsItsPortionsOneByOne() {
    // Two portions of 20 L and one of 5 L, against the same done one at a time.
    double first = new SaltBalance(400, 36, 26).afterExchangePsu(20, 20, 34);
    double second = new SaltBalance(400, first, 26).afterExchangePsu(20, 20, 34);
    double third = new SaltBalance(400, second, 26).afterExchangePsu(5, 20, 34);
    assertThat(new SaltBalance(400, 36, 26).afterExchangePsu(45, 20, 34))
        .isCloseTo(third, within(1e-12));
    assertThat(first).isBetween(second, 36.0);
    assertThat(second).isBetween(third, first);
  }

  @Test
  void anExchangeAgainstTheSameWaterChangesNothing() {
    assertThat(REEF.afterExchangePsu(300, 5, 35)).isCloseTo(35, within(1e-12));
    assertThat(REEF.afterExchangePsu(0, 5, 20)).isEqualTo(35);
    assertThat(REEF.afterExchangePsu(1000, 1000, 33)).isCloseTo(33, within(1e-12));
  }

  /** Worked by hand: 1 L of 1000 L replaced, 35 x 999 x 1023.341 / (999 x 1023.341 + 997.048). */
  @Test
  void skimmateMadeUpWithFreshWaterTakesItsSaltAway() {
    assertThat(REEF.afterSkimmatePsu(1))
        .isCloseTo(35 * 999 * 1023.341 / (999 * 1023.341 + 997.048), within(1e-6));
    assertThat(REEF.afterSkimmatePsu(1)).isEqualTo(REEF.afterExchangePsu(1, 1, 0));
    assertThat(REEF.afterSkimmatePsu(0)).isCloseTo(35, within(1e-12));
  }

  @Test
  void moreOfAnythingMovesSalinityFurther() {
    SplittableRandom random = new SplittableRandom(53);
    for (int i = 0; i < 1000; i++) {
      double litres = random.nextDouble(0, 400);
      double more = litres + random.nextDouble(0.01, 100);
      assertThat(REEF.afterEvaporationPsu(more)).isGreaterThan(REEF.afterEvaporationPsu(litres));
      assertThat(REEF.afterFreshWaterPsu(more)).isLessThan(REEF.afterFreshWaterPsu(litres));
      assertThat(REEF.afterSkimmatePsu(more)).isLessThan(REEF.afterSkimmatePsu(litres));
      assertThat(REEF.afterExchangePsu(more, 5, 36))
          .isGreaterThan(REEF.afterExchangePsu(litres, 5, 36));
    }
  }

  /**
   * Common practice: a display of about 150 L at 3 % a day uses a little over two boxes of salt mix
   * a year, a box mixing 757 L (200 US gal). The factor of the mix is in both, so it drops out.
   */
  @Test
  void aDisplayUsesALittleOverTwoBoxesOfSaltAYear() {
    double factor = 1.15;
    double year = SaltBalance.kilogramsPerYear(0.03 * 150, 35, 25, factor);
    double box = factor * 757 * SeaWater.dryGramsPerLitre(35, 25) / 1000;
    assertThat(year / box).isBetween(2.0, 2.4);
  }

  /** Worked by hand from the 35.986 g/L of section 5b: 10.2 L a day for 365 days. */
  @Test
  void aYearOfSalt() {
    assertThat(SaltBalance.kilogramsPerYear(10.2, 35, 25, 1))
        .isCloseTo(10.2 * 365 * 0.035986, within(2e-3));
    assertThat(SaltBalance.kilogramsPerYear(10.2, 35, 25, 1.2))
        .isCloseTo(1.2 * SaltBalance.kilogramsPerYear(10.2, 35, 25, 1), within(1e-9));
    assertThat(SaltBalance.kilogramsPerYear(0, 35, 25, 1)).isZero();
    assertThat(SaltBalance.kilogramsPerYear(10, 0, 25, 1)).isZero();
  }

  @Test
  void refusesWhatIsNoBalance() {
    for (double bad : new double[] {-0.001, Double.NaN, Double.POSITIVE_INFINITY}) {
      assertThatIllegalArgumentException().isThrownBy(() -> new SaltBalance(bad, 35, 25));
      assertThatIllegalArgumentException().isThrownBy(() -> new SaltBalance(100, bad, 25));
      assertThatIllegalArgumentException().isThrownBy(() -> new SaltBalance(100, 35, bad - 2));
      assertThatIllegalArgumentException().isThrownBy(() -> REEF.afterEvaporationPsu(bad));
      assertThatIllegalArgumentException().isThrownBy(() -> REEF.afterFreshWaterPsu(bad));
      assertThatIllegalArgumentException().isThrownBy(() -> REEF.afterSkimmatePsu(bad));
      assertThatIllegalArgumentException().isThrownBy(() -> REEF.afterExchangePsu(bad, 1, 35));
      assertThatIllegalArgumentException().isThrownBy(() -> REEF.afterExchangePsu(1, bad, 35));
      assertThatIllegalArgumentException().isThrownBy(() -> REEF.afterExchangePsu(1, 1, bad));
      assertThatIllegalArgumentException()
          .isThrownBy(() -> SaltBalance.kilogramsPerYear(bad, 35, 25, 1));
      assertThatIllegalArgumentException()
          .isThrownBy(() -> SaltBalance.kilogramsPerYear(1, bad, 25, 1));
      assertThatIllegalArgumentException()
          .isThrownBy(() -> SaltBalance.kilogramsPerYear(1, 35, 25, bad));
    }
    assertThatIllegalArgumentException().isThrownBy(() -> new SaltBalance(0, 35, 25));
    assertThatIllegalArgumentException().isThrownBy(() -> new SaltBalance(100, 42.1, 25));
    assertThatIllegalArgumentException().isThrownBy(() -> REEF.afterEvaporationPsu(500.1));
    assertThatIllegalArgumentException().isThrownBy(() -> REEF.afterSkimmatePsu(1000.1));
    assertThatIllegalArgumentException()
        .isThrownBy(() -> REEF.afterExchangePsu(1, 1000.1, 35))
        .withMessageContaining("portion in L");
    // Less than dry salt is no mix, and more than twice is a slip of the pen.
    assertThatIllegalArgumentException()
        .isThrownBy(() -> SaltBalance.kilogramsPerYear(1, 35, 25, 0.99))
        .withMessageContaining("factor of the mix");
    assertThatIllegalArgumentException()
        .isThrownBy(() -> SaltBalance.kilogramsPerYear(1, 35, 25, 2.01));
  }
}

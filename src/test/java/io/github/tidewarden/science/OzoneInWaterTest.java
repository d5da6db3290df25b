package io.github.tidewarden.science;

import static io.github.tidewarden.science.Oxidant.BROMINE;
import static io.github.tidewarden.science.Oxidant.CHLORINE;
import static io.github.tidewarden.science.Oxidant.OZONE;
import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;
import static org.assertj.core.api.Assertions.within;

import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.EnumSource;
import org.junit.jupiter.params.provider.ValueSource;

/** Ozone that goes into water, what it turns into, and how much of that animals bear. */
class OzoneInWaterTest {

  /**
   * Sander, Atmos. Chem. Phys. 23 (2023) 10901, evaluated row, read: 1.0e-4 mol/(m3 Pa) at 298.15
   * K, 2800 K. The rest was computed from it by hand.
   */
  @ParameterizedTest
  @CsvSource({
    "5, 1.965e-4, .454",
    "10, 1.645e-4, .387",
    "15, 1.385e-4, .332",
    "20, 1.174e-4, .286",
    "25, 1.000e-4, .248",
    "30, 8.565e-5, .216"
  })
  void henrysConstantAsTabled(double celsius, double henry, double waterOverGas) {
    assertThat(OzoneInWater.henryMolesPerCubicMetrePascal(celsius))
        .isCloseTo(henry, within(5.1e-4 * henry));
    assertThat(OzoneInWater.waterOverGas(celsius)).isCloseTo(waterOverGas, within(5.1e-4));
  }

  /** Kosak-Channing and Helz 1983, read on the same page: 1.1e-4, 2300 K; measured 5 to 30 degC. */
  @Test
  void henrysConstantIsWithinAFifthOfAMeasuredOne() {
    for (double celsius = 5; celsius <= 30; celsius++) {
      double measured = 1.1e-4 * Math.exp(2300 * (1 / (celsius + 273.15) - 1 / 298.15));
      double ours = OzoneInWater.henryMolesPerCubicMetrePascal(celsius);
      assertThat(ours / measured).isBetween(0.8, 1.2);
    }
  }

  /** Heeb et al., Water Res. 48 (2014) 15, read: about 67 mg/L. */
  @Test
  void bromideOfSeaWater() {
    assertThat(OzoneInWater.bromideMilligramsPerLitre(35, 25)).isCloseTo(67, within(2.0));
    // 0.0019134 x 35.99 g/L of salt at 25 degC, computed from rows read.
    assertThat(OzoneInWater.bromideMilligramsPerLitre(35, 25)).isCloseTo(68.86, within(0.01));
  }

  /** Computed from 160 L/(mol s), which is from memory, and bromide as above: 5.0 to 5.2 s. */
  @Test
  void ozoneInSeaWaterIsHalfGoneInFiveSeconds() {
    assertThat(OzoneInWater.halfLifeSeconds(67)).isCloseTo(5.17, within(0.005));
    assertThat(OzoneInWater.halfLifeSeconds(OzoneInWater.bromideMilligramsPerLitre(35, 25)))
        .isCloseTo(5.03, within(0.005));
  }

  @Test
  void halfTheBromideTakesTwiceAsLong() {
    assertThat(OzoneInWater.halfLifeSeconds(20))
        .isCloseTo(2 * OzoneInWater.halfLifeSeconds(40), within(1e-12));
  }

  @ParameterizedTest
  @ValueSource(doubles = {-0.1, 40.1, Double.NaN, Double.POSITIVE_INFINITY})
  void refusesTemperaturesThatNoTankHas(double celsius) {
    assertThatIllegalArgumentException()
        .isThrownBy(() -> OzoneInWater.henryMolesPerCubicMetrePascal(celsius));
    assertThatIllegalArgumentException().isThrownBy(() -> OzoneInWater.waterOverGas(celsius));
  }

  @ParameterizedTest
  @ValueSource(doubles = {0, -1, 1000.1, Double.NaN})
  void refusesBromideThatNoWaterHas(double bromide) {
    assertThatIllegalArgumentException()
        .isThrownBy(() -> OzoneInWater.halfLifeSeconds(bromide))
        .withMessageContaining("bromide in mg/L");
  }

  /** Computed from molar masses: 1 mg/L O3 = 1.4773 as Cl2 = 3.3295 as Br2. */
  @Test
  void oxidantEquivalentsAsTabled() {
    assertThat(OZONE.as(CHLORINE, 1)).isCloseTo(1.4773, within(5e-5));
    assertThat(OZONE.as(BROMINE, 1)).isCloseTo(3.3295, within(5e-5));
    assertThat(CHLORINE.as(OZONE, 0.06)).isCloseTo(0.0406, within(5e-5));
    assertThat(CHLORINE.as(BROMINE, 0.06)).isCloseTo(0.135, within(5e-4));
  }

  @Test
  void oxidantsThereAndBackAndByWayOfAThirdAreTheSame() {
    SplittableRandom random = new SplittableRandom(106);
    Oxidant[] all = Oxidant.values();
    for (int i = 0; i < 1000; i++) {
      Oxidant a = all[random.nextInt(all.length)];
      Oxidant b = all[random.nextInt(all.length)];
      Oxidant c = all[random.nextInt(all.length)];
      double amount = random.nextDouble(0, 100);
      assertThat(b.as(a, a.as(b, amount))).isCloseTo(amount, within(1e-10));
      assertThat(c.as(b, a.as(c, amount))).isCloseTo(a.as(b, amount), within(1e-10));
    }
  }

  @ParameterizedTest
  @EnumSource
  void anOxidantIsFoundByItsFormula(Oxidant oxidant) {
    assertThat(Oxidant.named(oxidant.word())).isEqualTo(oxidant);
    for (double bad : new double[] {-0.1, 1000.1, Double.NaN}) {
      assertThatIllegalArgumentException().isThrownBy(() -> oxidant.as(BROMINE, bad));
    }
  }

  @Test
  void refusesAnOxidantThatIsNone() {
    assertThatIllegalArgumentException()
        .isThrownBy(() -> Oxidant.named("cl2"))
        .withMessage("no oxidant is named \"cl2\"");
  }

  /**
   * Schroeder et al., Aquaculture 2010, and Reiser et al., Aquat. Toxicol. 105 (2011) 508, read:
   * 0.06 mg/L as Cl2 is safe, 0.10 does harm. The limit itself is taken as over, as every limit
   * here.
   */
  @ParameterizedTest
  @CsvSource({
    "0.03, CHLORINE, false",
    "0.0599, CHLORINE, false",
    "0.06, CHLORINE, true",
    "0.10, CHLORINE, true",
    "0.0406, OZONE, false",
    "0.0407, OZONE, true",
    "0.135, BROMINE, false",
    "0.136, BROMINE, true"
  })
  void tellsAResidualThatIsNotSafe(double milligramsPerLitre, Oxidant as, boolean unsafe) {
    assertThat(new ResidualOxidant(milligramsPerLitre, as).unsafe()).isEqualTo(unsafe);
  }

  @Test
  void aResidualIsToldAsAnyOxidant() {
    ResidualOxidant measured = new ResidualOxidant(0.03, CHLORINE);
    assertThat(measured.milligramsPerLitre(OZONE)).isCloseTo(0.0203, within(5e-5));
    assertThat(measured.milligramsPerLitre(BROMINE)).isCloseTo(0.0676, within(5e-5));
    for (double bad : new double[] {-0.1, 1000.1, Double.NaN}) {
      assertThatIllegalArgumentException().isThrownBy(() -> new ResidualOxidant(bad, OZONE));
    }
  }
}

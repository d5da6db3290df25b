package io.github.tidewarden.science;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;
import static org.assertj.core.api.Assertions.within;

import java.util.SplittableRandom;
import org.assertj.core.data.Offset;
import org.junit.jupiter.api.Test;

/**
 * Each row names its source. READ: in that source; READ 2ND: in a work that quotes it; CALC: worked
 * out with the same equations (EOS-80, PSS-78) elsewhere; MEM: from memory.
 */
class SeaWaterTest {

  /** The last digit that UNESCO 44 prints, which is cut and not rounded in places. */
  private static final Offset<Double> PRINTED_DENSITY = within(1e-5);

  private static final double STANDARD_MILLISIEMENS = 42.914;

  private static double t90(double t68) {
    return t68 / 1.00024;
  }

  private static double density68(double psu, double t68, double decibars) {
    return SeaWater.densityKilogramsPerCubicMetre(psu, t90(t68), decibars);
  }

  private static double salinity68(double ratio, double t68, double decibars) {
    return SeaWater.salinityFromConductivityPsu(ratio * STANDARD_MILLISIEMENS, t90(t68), decibars);
  }

  /** UNESCO Technical Paper 44 (1983) p. 19, in the tests of the R package oce: READ 2ND. */
  @Test
  void hasTheOfficialDensities() {
    assertThat(density68(0, 5, 0)).isCloseTo(999.96675, PRINTED_DENSITY);
    assertThat(density68(0, 25, 0)).isCloseTo(997.04796, PRINTED_DENSITY);
    assertThat(density68(35, 5, 0)).isCloseTo(1027.67547, PRINTED_DENSITY);
    assertThat(density68(35, 25, 0)).isCloseTo(1023.34306, PRINTED_DENSITY);
    assertThat(density68(0, 5, 10_000)).isCloseTo(1044.12802, PRINTED_DENSITY);
    assertThat(density68(0, 25, 10_000)).isCloseTo(1037.90204, PRINTED_DENSITY);
    assertThat(density68(35, 5, 10_000)).isCloseTo(1069.48914, PRINTED_DENSITY);
    assertThat(density68(35, 25, 10_000)).isCloseTo(1062.53817, PRINTED_DENSITY);
  }

  /** UNESCO Technical Paper 44 (1983) p. 20, in a public test file: READ 2ND. */
  @Test
  void hasTheOfficialDensityAtTheEndOfTheRange() {
    assertThat(density68(40, 40, 10_000)).isCloseTo(1059.82037, PRINTED_DENSITY);
    // The specific volume anomaly beside it, 981.30210e-8 m3/kg, against (35, 0, 10000). Published
    // from a rearranged form, so held to what the last digit of the density is worth.
    double anomaly = 1 / density68(40, 40, 10_000) - 1 / density68(35, 0, 10_000);
    assertThat(anomaly).isCloseTo(981.30210e-8, within(9e-12));
  }

  /** UNESCO 1981, in the documentation of ZooScatR: READ 2ND. Off by 1.1e-5, so held to 2e-5. */
  @Test
  void hasTheOfficialDensityOfBrackishWater() {
    assertThat(density68(8, 10, 0)).isCloseTo(1005.94659, within(2e-5));
  }

  /**
   * TEOS-10 by its reference library (GSW-C, gsw_rho_t_exact): CALC. Another equation of state, so
   * the tolerance is not the print but how far the two stand apart: 0.005 kg/m3, 5 in a million.
   */
  @Test
  void agreesWithTheEquationOfStateThatCameAfterIt() {
    double[] celsius = {5, 15, 20, 25, 28};
    double[] sea = {1027.675603, 1025.976029, 1024.766000, 1023.343631, 1022.395473};
    double[] fresh = {999.966648, 999.102606, 998.207146, 997.047649, 996.235961};
    for (int row = 0; row < celsius.length; row++) {
      assertThat(SeaWater.densityKilogramsPerCubicMetre(35, celsius[row]))
          .isCloseTo(sea[row], within(5e-3));
      assertThat(SeaWater.densityKilogramsPerCubicMetre(0, celsius[row]))
          .isCloseTo(fresh[row], within(5e-3));
    }
  }

  /**
   * The definition of the scale, with 42.914 mS/cm as in GSW-C gsw_c3515: READ. Its polynomial for
   * 15 degC is 1 to eight digits only, hence the tolerance.
   */
  @Test
  void standardSeaWaterIsThirtyFive() {
    assertThat(salinity68(1, 15, 0)).isCloseTo(35, within(1e-7));
  }

  /** UNESCO 1983, comments of SAL78: READ 2ND. The ratio as printed gives 39.999996: CALC. */
  @Test
  void hasTheOfficialSalinityAtTheEndOfTheRange() {
    assertThat(salinity68(1.888091, 40, 10_000)).isCloseTo(39.999996, within(5.1e-7));
    assertThat(salinity68(1.888091155578768, 40, 10_000)).isCloseTo(40.00000, within(5.1e-6));
  }

  /** UNESCO 1983 p. 9: inputs READ in the tests of oce, outputs MEM (from memory) and CALC. */
  @Test
  void hasTheRememberedSalinitiesUnderPressure() {
    assertThat(salinity68(1.2, 20, 2000)).isCloseTo(37.245628, within(1e-6));
    assertThat(salinity68(0.65, 5, 1500)).isCloseTo(27.995347, within(1e-6));
  }

  /** teos-10.org, page of gsw_SP_from_C: READ. It takes the temperature of 1990, as we do. */
  @Test
  void agreesWithTheReferenceLibraryOnSalinity() {
    assertThat(SeaWater.salinityFromConductivityPsu(34.5487, 28.7856, 10))
        .isCloseTo(20.00986959908695, within(1e-9));
  }

  /** C(35, 25, 0) by GSW-C 53.071032: CALC by the reference library. The other rows: CALC. */
  @Test
  void hasTheTabledConductivities() {
    assertThat(conductivity(35, 25)).isCloseTo(53.071032, within(1e-6));
    double[] celsius = {20, 25, 28};
    double[] ofThirty = {41.748, 46.253, 49.014};
    double[] ofThirtyFive = {47.918, 53.071, 56.228};
    for (int row = 0; row < celsius.length; row++) {
      assertThat(conductivity(30, celsius[row])).isCloseTo(ofThirty[row], within(5.1e-4));
      assertThat(conductivity(35, celsius[row])).isCloseTo(ofThirtyFive[row], within(5.1e-4));
    }
    // 1.968 %/K of the value at 25 degC, and 0.9029 from 20 to 25 degC.
    double perKelvin = (conductivity(35, 25.01) - conductivity(35, 24.99)) / 0.02;
    assertThat(100 * perKelvin / conductivity(35, 25)).isCloseTo(1.968, within(5.1e-4));
    assertThat(conductivity(35, 20) / conductivity(35, 25)).isCloseTo(0.9029, within(5.1e-5));
  }

  private static double conductivity(double psu, double celsius) {
    return SeaWater.conductivityMillisiemensPerCentimetre(psu, celsius, 0);
  }

  /** CALC with the same equations elsewhere, so the print is the tolerance. */
  @Test
  void hasTheTabledSpecificGravities() {
    double[][] pairs = {{20, 20}, {25, 25}, {15.56, 15.56}, {20, 4}, {25, 4}};
    double[] ofThirty = {1.02279, 1.02259, 1.02301, 1.02098, 1.01959};
    double[] ofThirtyFive = {1.02660, 1.02637, 1.02686, 1.02479, 1.02337};
    for (int row = 0; row < pairs.length; row++) {
      double sample = pairs[row][0];
      double reference = pairs[row][1];
      assertThat(SeaWater.specificGravity(30, sample, reference))
          .isCloseTo(ofThirty[row], within(5.1e-6));
      assertThat(SeaWater.specificGravity(35, sample, reference))
          .isCloseTo(ofThirtyFive[row], within(5.1e-6));
    }
  }

  /** From densities of TEOS-10: CALC by its reference library (GSW-C), another equation. */
  @Test
  void agreesOnSpecificGravityWithTheReferenceLibrary() {
    assertThat(SeaWater.specificGravity(35, 20, 20))
        .isCloseTo(1024.766000 / 998.207146, within(4e-6));
    assertThat(SeaWater.specificGravity(35, 25, 25))
        .isCloseTo(1023.343631 / 997.047649, within(4e-6));
  }

  /** CALC. One reading of 1.025 is five salinities, by its reference temperature. */
  @Test
  void oneSpecificGravityIsManySalinities() {
    double[][] pairs = {{20, 20}, {25, 25}, {20, 4}, {25, 15.56}, {25, 4}};
    double[] psu = {32.90, 33.19, 35.28, 35.86, 37.16};
    for (int row = 0; row < pairs.length; row++) {
      assertThat(SeaWater.salinityFromSpecificGravityPsu(1.025, pairs[row][0], pairs[row][1]))
          .isCloseTo(psu[row], within(5.1e-3));
    }
    assertThat(SeaWater.salinityFromSpecificGravityPsu(1.0264, 25, 25))
        .isCloseTo(35.04, within(5.1e-3));
  }

  /** Densities and sea salt at 25 degC: CALC. */
  @Test
  void hasTheTabledSalt() {
    assertThat(SeaWater.densityKilogramsPerCubicMetre(30, 25)).isCloseTo(1019.568, within(5.1e-4));
    assertThat(SeaWater.densityKilogramsPerCubicMetre(35, 25)).isCloseTo(1023.341, within(5.1e-4));
    assertThat(SeaWater.dryGramsPerLitre(30, 25)).isCloseTo(30.731, within(5.1e-4));
    assertThat(SeaWater.dryGramsPerLitre(35, 25)).isCloseTo(35.986, within(5.1e-4));
  }

  /**
   * ASTM D1141 substitute ocean water, recipe from memory (MEM): its anhydrous salts sum to what a
   * litre of sea water holds. Its salinity is nominal, so within 0.2 %.
   */
  @Test
  void holdsAsMuchSaltAsSubstituteOceanWater() {
    double recipe = 24.53 + 5.20 + 4.09 + 1.16 + 0.695 + 0.201 + 0.101 + 0.027 + 0.025 + 0.003;
    assertThat(SeaWater.dryGramsPerLitre(35, 25)).isCloseTo(recipe, within(0.002 * recipe));
  }

  @Test
  void conductivityThereAndBackIsTheSame() {
    SplittableRandom random = new SplittableRandom(34);
    for (int i = 0; i < 2000; i++) {
      double psu = random.nextDouble(2.001, 41.999);
      double celsius = random.nextDouble(-2, 40);
      double decibars = random.nextDouble(0, 10_000);
      double there = SeaWater.conductivityMillisiemensPerCentimetre(psu, celsius, decibars);
      assertThat(SeaWater.salinityFromConductivityPsu(there, celsius, decibars))
          .isCloseTo(psu, within(1e-9));
    }
  }

  @Test
  void specificGravityThereAndBackIsTheSame() {
    SplittableRandom random = new SplittableRandom(35);
    for (int i = 0; i < 2000; i++) {
      double psu = random.nextDouble(0, 42);
      double sample = random.nextDouble(-2, 40);
      double reference = random.nextDouble(0, 40);
      double there = SeaWater.specificGravity(psu, sample, reference);
      assertThat(SeaWater.salinityFromSpecificGravityPsu(there, sample, reference))
          .isCloseTo(psu, within(1e-9));
    }
  }

  @Test
  void saltierWaterIsDenserConductsMoreAndHoldsMoreSalt() {
    SplittableRandom random = new SplittableRandom(36);
    for (int i = 0; i < 2000; i++) {
      double celsius = random.nextDouble(-2, 40);
      double decibars = random.nextDouble(0, 10_000);
      double psu = random.nextDouble(2, 41);
      double saltier = psu + random.nextDouble(0.001, 1);
      assertThat(SeaWater.densityKilogramsPerCubicMetre(saltier, celsius, decibars))
          .isGreaterThan(SeaWater.densityKilogramsPerCubicMetre(psu, celsius, decibars));
      assertThat(SeaWater.conductivityMillisiemensPerCentimetre(saltier, celsius, decibars))
          .isGreaterThan(SeaWater.conductivityMillisiemensPerCentimetre(psu, celsius, decibars));
      assertThat(SeaWater.dryGramsPerLitre(saltier, celsius))
          .isGreaterThan(SeaWater.dryGramsPerLitre(psu, celsius));
    }
  }

  @Test
  void warmerSeaWaterIsLighterAndConductsMore() {
    SplittableRandom random = new SplittableRandom(37);
    for (int i = 0; i < 2000; i++) {
      double celsius = random.nextDouble(5, 39);
      double warmer = celsius + random.nextDouble(0.001, 1);
      double psu = random.nextDouble(5, 42);
      assertThat(SeaWater.densityKilogramsPerCubicMetre(psu, warmer))
          .isLessThan(SeaWater.densityKilogramsPerCubicMetre(psu, celsius));
      assertThat(conductivity(psu, warmer)).isGreaterThan(conductivity(psu, celsius));
    }
  }

  @Test
  void refusesWhatTheScalesDoNotCover() {
    for (double psu : new double[] {-0.1, 42.1, Double.NaN, Double.POSITIVE_INFINITY}) {
      assertThatIllegalArgumentException()
          .isThrownBy(() -> SeaWater.densityKilogramsPerCubicMetre(psu, 25))
          .withMessageContaining("salinity in PSU");
      assertThatIllegalArgumentException()
          .isThrownBy(() -> SeaWater.conductivityMillisiemensPerCentimetre(psu, 25, 0));
      assertThatIllegalArgumentException().isThrownBy(() -> SeaWater.dryGramsPerLitre(psu, 25));
      assertThatIllegalArgumentException().isThrownBy(() -> SeaWater.specificGravity(psu, 25, 25));
    }
    for (double celsius : new double[] {-2.1, 40.1, Double.NaN}) {
      assertThatIllegalArgumentException()
          .isThrownBy(() -> SeaWater.densityKilogramsPerCubicMetre(35, celsius))
          .withMessageContaining("temperature in degC");
      assertThatIllegalArgumentException()
          .isThrownBy(() -> SeaWater.salinityFromConductivityPsu(50, celsius, 0));
      assertThatIllegalArgumentException()
          .isThrownBy(() -> SeaWater.conductivityMillisiemensPerCentimetre(35, celsius, 0));
      assertThatIllegalArgumentException()
          .isThrownBy(() -> SeaWater.specificGravity(35, 25, celsius))
          .withMessageContaining("reference temperature");
    }
    for (double decibars : new double[] {-0.1, 10_000.1, Double.NaN}) {
      assertThatIllegalArgumentException()
          .isThrownBy(() -> SeaWater.densityKilogramsPerCubicMetre(35, 25, decibars))
          .withMessageContaining("pressure in dbar");
      assertThatIllegalArgumentException()
          .isThrownBy(() -> SeaWater.salinityFromConductivityPsu(50, 25, decibars));
      assertThatIllegalArgumentException()
          .isThrownBy(() -> SeaWater.conductivityMillisiemensPerCentimetre(35, 25, decibars));
    }
    // Fresher than 2 and saltier than 42 are no salinities of the scale of 1978.
    for (double millisiemens : new double[] {-0.1, 0, 3, 70, 120.1, Double.NaN}) {
      assertThatIllegalArgumentException()
          .isThrownBy(() -> SeaWater.salinityFromConductivityPsu(millisiemens, 25, 0));
    }
    assertThatIllegalArgumentException()
        .isThrownBy(() -> SeaWater.conductivityMillisiemensPerCentimetre(1.99, 25, 0));
    for (double gravity : new double[] {0.9999, 1.0400, Double.NaN}) {
      assertThatIllegalArgumentException()
          .isThrownBy(() -> SeaWater.salinityFromSpecificGravityPsu(gravity, 25, 25))
          .withMessageContaining("specific gravity");
    }
  }
}

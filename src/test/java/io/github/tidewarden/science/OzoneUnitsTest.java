package io.github.tidewarden.science;

import static io.github.tidewarden.science.OzoneUnits.FeedGas.AIR;
import static io.github.tidewarden.science.OzoneUnits.FeedGas.OXYGEN;
import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;
import static org.assertj.core.api.Assertions.within;

import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

/**
 * The rows were worked out by hand from 47.998 g/mol, one atmosphere and the gas constant of CODATA
 * 2018, unless a source is named.
 */
class OzoneUnitsTest {

  private static final double ATMOSPHERE = 101_325;

  @Test
  void onePartPerMillionWeighsAsTabled() {
    assertThat(OzoneUnits.milligramsPerCubicMetre(1000, 0, ATMOSPHERE))
        .isCloseTo(2.1414, within(5e-5));
    assertThat(OzoneUnits.milligramsPerCubicMetre(1000, 20, ATMOSPHERE))
        .isCloseTo(1.9953, within(5e-5));
    assertThat(OzoneUnits.milligramsPerCubicMetre(1000, 25, ATMOSPHERE))
        .isCloseTo(1.9619, within(5e-5));
  }

  @Test
  void airLimitsAtTwentyDegreesWeighAsTabled() {
    double[] ppm = {0.05, 0.07, 0.1, 0.2, 5};
    double[] milligrams = {0.0998, 0.1397, 0.1995, 0.3991, 9.977};
    for (int row = 0; row < ppm.length; row++) {
      assertThat(OzoneUnits.milligramsPerCubicMetre(1000 * ppm[row], 20, ATMOSPHERE))
          .isCloseTo(milligrams[row], within(5.1e-4 * milligrams[row]));
    }
  }

  /** OSHA, read: prints its 0.1 ppm as 0.2 mg/m3, one digit. */
  @Test
  void oshaLimitRoundsToWhatOshaPrints() {
    double milligrams = OzoneUnits.milligramsPerCubicMetre(AirLimits.OSHA_8_H_PPB, 25, ATMOSPHERE);
    assertThat(Math.round(milligrams * 10) / 10.0).isEqualTo(0.2);
  }

  @Test
  void worldHealthOrganizationLimitInPartsPerBillion() {
    double milligrams = AirLimits.WHO_8_H_MICROGRAMS_PER_CUBIC_METRE / 1000;
    assertThat(OzoneUnits.ppb(milligrams, 20, ATMOSPHERE)).isCloseTo(50.1, within(0.05));
    assertThat(OzoneUnits.ppb(milligrams, 25, ATMOSPHERE)).isCloseTo(51.0, within(0.05));
  }

  /** Health Canada, quoted: 40 ug/m3 and 20 ppb are given as the same limit. */
  @Test
  void homesLimitIsTheSameInBothUnits() {
    assertThat(OzoneUnits.ppb(0.040, 25, ATMOSPHERE)).isCloseTo(20, within(0.5));
  }

  @Test
  void thereAndBackIsTheSame() {
    SplittableRandom random = new SplittableRandom(7);
    for (int i = 0; i < 1000; i++) {
      double ppb = random.nextDouble(0, 10_000);
      double celsius = random.nextDouble(-50, 60);
      double pascals = random.nextDouble(50_000, 120_000);
      double milligrams = OzoneUnits.milligramsPerCubicMetre(ppb, celsius, pascals);
      assertThat(OzoneUnits.ppb(milligrams, celsius, pascals)).isCloseTo(ppb, within(1e-8));
    }
  }

  /** The 10 % row is 148 g/Nm3 in textbooks (from memory). */
  @Test
  void oxygenFedGasAsTabled() {
    double[] weightPercent = {1, 3, 5, 6, 10};
    double[] grams = {14.32, 43.26, 72.59, 87.40, 147.68};
    for (int row = 0; row < grams.length; row++) {
      assertThat(OzoneUnits.gramsPerNormalCubicMetre(weightPercent[row], OXYGEN))
          .isCloseTo(grams[row], within(0.01));
    }
    assertThat(OzoneUnits.volumePercent(1, OXYGEN)).isCloseTo(0.669, within(5e-4));
    assertThat(OzoneUnits.volumePercent(10, OXYGEN)).isCloseTo(6.896, within(1e-3));
  }

  @Test
  void airFedGasAsTabled() {
    double[] weightPercent = {1, 3, 6, 10};
    double[] grams = {12.97, 39.23, 79.43, 134.56};
    for (int row = 0; row < grams.length; row++) {
      assertThat(OzoneUnits.gramsPerNormalCubicMetre(weightPercent[row], AIR))
          .isCloseTo(grams[row], within(0.02));
    }
  }

  @Test
  void noOzoneAndPureOzoneAreTheEnds() {
    assertThat(OzoneUnits.volumePercent(0, AIR)).isZero();
    assertThat(OzoneUnits.volumePercent(100, AIR)).isEqualTo(100);
  }

  @Test
  void oxidantEquivalentsAsTabled() {
    assertThat(OzoneUnits.chlorineMilligramsPerLitre(1)).isCloseTo(1.4773, within(5e-5));
    assertThat(OzoneUnits.bromineMilligramsPerLitre(1)).isCloseTo(3.3295, within(5e-5));
    // 0.06 mg/L as Cl2, the safe level of Schroeder et al. 2010 (read), as ozone and as Br2.
    double ozone = 0.06 / OzoneUnits.chlorineMilligramsPerLitre(1);
    assertThat(ozone).isCloseTo(0.0406, within(5e-5));
    assertThat(OzoneUnits.bromineMilligramsPerLitre(ozone)).isCloseTo(0.135, within(5e-4));
  }

  @Test
  void refusesWhatIsNoAmount() {
    for (double bad : new double[] {-1e-9, Double.NaN, Double.POSITIVE_INFINITY}) {
      assertThatIllegalArgumentException()
          .isThrownBy(() -> OzoneUnits.milligramsPerCubicMetre(bad, 20, ATMOSPHERE));
      assertThatIllegalArgumentException().isThrownBy(() -> OzoneUnits.ppb(bad, 20, ATMOSPHERE));
      assertThatIllegalArgumentException().isThrownBy(() -> OzoneUnits.volumePercent(bad, AIR));
      assertThatIllegalArgumentException()
          .isThrownBy(() -> OzoneUnits.gramsPerNormalCubicMetre(bad, OXYGEN));
      assertThatIllegalArgumentException()
          .isThrownBy(() -> OzoneUnits.chlorineMilligramsPerLitre(bad));
      assertThatIllegalArgumentException()
          .isThrownBy(() -> OzoneUnits.bromineMilligramsPerLitre(bad));
      assertThatIllegalArgumentException().isThrownBy(() -> OzoneUnits.ppb(0.1, 20, bad));
    }
    assertThatIllegalArgumentException().isThrownBy(() -> OzoneUnits.volumePercent(100.1, AIR));
    assertThatIllegalArgumentException().isThrownBy(() -> OzoneUnits.ppb(0.1, 60.1, ATMOSPHERE));
    assertThatIllegalArgumentException().isThrownBy(() -> OzoneUnits.ppb(0.1, -50.1, ATMOSPHERE));
  }
}

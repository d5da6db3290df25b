package io.github.tidewarden.science;

import static io.github.tidewarden.science.CheckSource.LIGHT_1972;
import static io.github.tidewarden.science.CheckSource.QUINHYDRONE_PH_4_COMMON;
import static io.github.tidewarden.science.CheckSource.QUINHYDRONE_PH_7_COMMON;
import static io.github.tidewarden.science.CheckSource.ZOBELL_NORDSTROM;
import static io.github.tidewarden.science.CheckSource.ZOBELL_STANDARD_METHODS;
import static io.github.tidewarden.science.Electrodes.Reference.CALOMEL_SATURATED;
import static io.github.tidewarden.science.Electrodes.Reference.SILVER_CHLORIDE_3_33_M;
import static io.github.tidewarden.science.Electrodes.Reference.SILVER_CHLORIDE_3_5_M;
import static io.github.tidewarden.science.Electrodes.Reference.SILVER_CHLORIDE_SATURATED;
import static io.github.tidewarden.science.Electrodes.Reference.STANDARD_HYDROGEN;
import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;
import static org.assertj.core.api.Assertions.within;

import io.github.tidewarden.science.Electrodes.Reference;
import java.util.SplittableRandom;
import org.assertj.core.data.Offset;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.EnumSource;

/** Solutions of known redox: what a sound probe reads in them, and what that says of a probe. */
class CheckSolutionsTest {

  private static final Offset<Double> EXACT = within(1e-9);

  private static double expected(CheckSource source, Reference reference, double celsius) {
    return new ExpectedRedox(source, reference, celsius).millivolts();
  }

  /** Standard Methods (1997) table 2580:I, as transcribed in CHNOSZ demo/ORP.R: second hand. */
  @Test
  void zobellHoldsTheTableOfStandardMethods() {
    int[] table = {
      481, 479, 476, 474, 472, 470, 468, 465, 463, 461, 459, 457, 454, 452, 450, 448, 446, 443, 441,
      439, 437, 435, 432, 430, 428, 426, 424, 421, 419, 417
    };
    for (int row = 0; row < table.length; row++) {
      assertThat(ZOBELL_STANDARD_METHODS.againstHydrogenMillivolts(1 + row))
          .isCloseTo(table[row], EXACT);
    }
    // Half way between 430 (24 degC) and 428 (25 degC); computed.
    assertThat(ZOBELL_STANDARD_METHODS.againstHydrogenMillivolts(24.5)).isCloseTo(429, EXACT);
  }

  /** The closed form 428 - 2.2 (t - 25), second hand; its table is within 0.4 mV: computed. */
  @Test
  void zobellFollowsTheClosedFormOfStandardMethods() {
    for (int celsius = 1; celsius <= 30; celsius++) {
      assertThat(ZOBELL_STANDARD_METHODS.againstHydrogenMillivolts(celsius))
          .isCloseTo(428 - 2.2 * (celsius - 25), within(0.4 + 1e-9));
    }
  }

  /**
   * Nordstrom 1977: the equation is from memory, its values were computed from it by hand. The USGS
   * field manual is remembered to print 467, 443, 430 and 418.
   */
  @ParameterizedTest
  @CsvSource({"10, 467.2", "15, 455.1", "20, 442.8", "25, 430.3", "30, 417.6", "40, 391.7"})
  void zobellHoldsTheEquationOfNordstrom(double celsius, double millivolts) {
    assertThat(ZOBELL_NORDSTROM.againstHydrogenMillivolts(celsius))
        .isCloseTo(millivolts, within(0.1));
  }

  @Test
  void nordstromIsTheEquationBetweenTheDegreesToo() {
    SplittableRandom random = new SplittableRandom(1977);
    for (int i = 0; i < 1000; i++) {
      double celsius = random.nextDouble(8, 85);
      double over = celsius - 25;
      assertThat(ZOBELL_NORDSTROM.againstHydrogenMillivolts(celsius))
          .isCloseTo(
              1000 * (0.43028 - 2.5157e-3 * over - 3.7979e-6 * over * over), within(1.001e-3));
    }
  }

  /** Standard Methods minus Nordstrom, computed from both. */
  @ParameterizedTest
  @CsvSource({"10, -6.2", "15, -5.1", "20, -3.8", "25, -2.3", "30, -0.6"})
  void theTwoSourcesOfZobellDisagreeAsTabled(double celsius, double difference) {
    assertThat(
            ZOBELL_STANDARD_METHODS.againstHydrogenMillivolts(celsius)
                - ZOBELL_NORDSTROM.againstHydrogenMillivolts(celsius))
        .isCloseTo(difference, within(0.1));
  }

  /** Against Ag/AgCl in saturated KCl (Sawyer, second hand): computed by hand from the tables. */
  @ParameterizedTest
  @CsvSource({
    "10, 247, 253.2",
    "15, 241, 246.1",
    "20, 235, 238.8",
    "25, 229, 231.3",
    "30, 223, 223.6"
  })
  void zobellAgainstSaturatedSilverChloride(
      double celsius, double standardMethods, double nordstrom) {
    assertThat(expected(ZOBELL_STANDARD_METHODS, SILVER_CHLORIDE_SATURATED, celsius))
        .isCloseTo(standardMethods, EXACT);
    assertThat(expected(ZOBELL_NORDSTROM, SILVER_CHLORIDE_SATURATED, celsius))
        .isCloseTo(nordstrom, within(0.1));
  }

  /** Against Ag/AgCl in 3.5 M KCl (Sawyer, second hand): computed by hand from the tables. */
  @ParameterizedTest
  @CsvSource({
    "10, 246, 252.2",
    "15, 238, 243.1",
    "20, 231, 234.8",
    "25, 223, 225.3",
    "30, 216, 216.6"
  })
  void zobellAgainstSilverChlorideOfThreePointFiveMolar(
      double celsius, double standardMethods, double nordstrom) {
    assertThat(expected(ZOBELL_STANDARD_METHODS, SILVER_CHLORIDE_3_5_M, celsius))
        .isCloseTo(standardMethods, EXACT);
    assertThat(expected(ZOBELL_NORDSTROM, SILVER_CHLORIDE_3_5_M, celsius))
        .isCloseTo(nordstrom, within(0.1));
  }

  /**
   * A sonde maker's note of 2005, second hand (CHNOSZ demo/ORP.R): ZoBell's against Ag/AgCl in 4 M
   * KCl, which is nearly saturated.
   */
  @ParameterizedTest
  @CsvSource({"10, 247.5", "15, 241", "20, 234.5", "25, 228", "30, 221.5"})
  void zobellIsWithinTwoMillivoltsOfAMakersTableForFourMolar(double celsius, double millivolts) {
    assertThat(expected(ZOBELL_STANDARD_METHODS, SILVER_CHLORIDE_SATURATED, celsius))
        .isCloseTo(millivolts, within(2.0));
  }

  /** Light, Anal. Chem. 44 (1972) 1038, second hand: +475 mV vs Ag/AgCl, +675 mV vs SHE. */
  @Test
  void lightsAtTwentyFiveDegrees() {
    assertThat(expected(LIGHT_1972, STANDARD_HYDROGEN, 25)).isCloseTo(675, EXACT);
    // It takes 200 mV for the electrode, Sawyer's table has 199; saturated is from memory.
    assertThat(expected(LIGHT_1972, SILVER_CHLORIDE_SATURATED, 25)).isCloseTo(475, within(1.0));
  }

  /**
   * The note of an electrode supplier, read: 263 and 86 mV vs Ag/AgCl at 25 degC, calomel 45 mV
   * less; another maker prints 264 and 87. The rows for 20 and 30 degC are from memory.
   */
  @Test
  void quinhydroneAsTabled() {
    double[] ph4 = {268, 263, 258};
    double[] ph7 = {92, 86, 79};
    for (int row = 0; row < ph4.length; row++) {
      double celsius = 20 + 5 * row;
      assertThat(expected(QUINHYDRONE_PH_4_COMMON, SILVER_CHLORIDE_SATURATED, celsius))
          .isCloseTo(ph4[row], EXACT);
      assertThat(expected(QUINHYDRONE_PH_7_COMMON, SILVER_CHLORIDE_SATURATED, celsius))
          .isCloseTo(ph7[row], EXACT);
    }
    assertThat(expected(QUINHYDRONE_PH_4_COMMON, CALOMEL_SATURATED, 25)).isCloseTo(218, EXACT);
    assertThat(expected(QUINHYDRONE_PH_7_COMMON, CALOMEL_SATURATED, 25)).isCloseTo(41, EXACT);
  }

  /**
   * By Nernst from quinhydrone's own potential, 699.6 mV at 25 degC (from memory): the only filling
   * that fits is the saturated one.
   */
  @Test
  void quinhydroneFollowsFromItsStandardPotential() {
    double slope = Nernst.slopeMillivoltsPerPh(25);
    assertThat(expected(QUINHYDRONE_PH_4_COMMON, STANDARD_HYDROGEN, 25))
        .isCloseTo(699.6 - 4.01 * slope, within(1.0));
    assertThat(expected(QUINHYDRONE_PH_7_COMMON, STANDARD_HYDROGEN, 25))
        .isCloseTo(699.6 - 7.00 * slope, within(1.0));
  }

  /**
   * A meter maker's manual, read (quinhydrone in phthalate buffer, 20 to 30 degC: 262.5, 257.6 and
   * 253.5 mV). It does not name the filling beside the table; 3.33 M is assumed.
   */
  @ParameterizedTest
  @CsvSource({"20, 262.5", "25, 257.6", "30, 253.5"})
  void quinhydroneIsWithinFourMillivoltsOfAMetersManual(double celsius, double millivolts) {
    assertThat(expected(QUINHYDRONE_PH_4_COMMON, SILVER_CHLORIDE_3_33_M, celsius))
        .isCloseTo(millivolts, within(4.1));
  }

  @Test
  void standardMethodsIsTakenForZobellWhenNoSourceIsNamed() {
    assertThat(CheckSource.of(CheckSolution.ZOBELL))
        .containsExactly(ZOBELL_STANDARD_METHODS, ZOBELL_NORDSTROM);
  }

  @ParameterizedTest
  @EnumSource
  void everySolutionHasASourceAndIsFoundByItsName(CheckSolution solution) {
    assertThat(CheckSolution.named(solution.word())).isEqualTo(solution);
    assertThat(CheckSource.of(solution))
        .isNotEmpty()
        .allSatisfy(source -> assertThat(source.solution()).isEqualTo(solution));
  }

  @Test
  void refusesANameThatIsNoSolution() {
    assertThatIllegalArgumentException()
        .isThrownBy(() -> CheckSolution.named("lemonade"))
        .withMessage("no check solution is named \"lemonade\"");
  }

  /** What differs between two electrodes is what differs between two expectations. */
  @Test
  void theExpectationAgainstAnotherElectrodeIsItsConversion() {
    SplittableRandom random = new SplittableRandom(20261102);
    Reference[] references = Reference.values();
    CheckSource[] sources = CheckSource.values();
    for (int i = 0; i < 2000; i++) {
      CheckSource source = sources[random.nextInt(sources.length)];
      Reference one = references[random.nextInt(references.length)];
      Reference other = references[random.nextInt(references.length)];
      double celsius =
          random.nextDouble(Math.max(10, source.minCelsius()), Math.min(40, source.maxCelsius()));
      assertThat(Electrodes.convertMillivolts(expected(source, one, celsius), one, other, celsius))
          .isCloseTo(expected(source, other, celsius), EXACT);
    }
  }

  @ParameterizedTest
  @EnumSource
  void refusesTemperaturesThatNobodyPublished(CheckSource source) {
    double[] outside = {
      source.minCelsius() - 0.001, source.maxCelsius() + 0.001, Double.NaN, Double.NEGATIVE_INFINITY
    };
    for (double celsius : outside) {
      assertThatIllegalArgumentException()
          .isThrownBy(() -> source.againstHydrogenMillivolts(celsius))
          .withMessageContaining("temperature of the check solution");
      assertThatIllegalArgumentException()
          .isThrownBy(() -> new ExpectedRedox(source, SILVER_CHLORIDE_SATURATED, celsius));
    }
  }

  /** ZoBell's is tabled from 1 degC, the electrodes from 10. */
  @Test
  void refusesTemperaturesThatTheElectrodeIsNotTabledFor() {
    assertThat(ZOBELL_STANDARD_METHODS.againstHydrogenMillivolts(5)).isEqualTo(472);
    assertThatIllegalArgumentException()
        .isThrownBy(() -> new ExpectedRedox(ZOBELL_STANDARD_METHODS, SILVER_CHLORIDE_SATURATED, 5))
        .withMessageContaining("temperature in degC is 5.0");
  }

  /** One maker's manual, read: new within 15 mV, usable within 50 mV, replace beyond. */
  @ParameterizedTest
  @CsvSource({
    "0, AS_NEW",
    "15, AS_NEW",
    "-15, AS_NEW",
    "15.001, USABLE",
    "-15.001, USABLE",
    "50, USABLE",
    "-50, USABLE",
    "50.001, REPLACE",
    "-50.001, REPLACE",
    "NaN, REPLACE",
    "Infinity, REPLACE"
  })
  void judgesAProbeByHowFarItIsOff(double deviation, ProbeVerdict verdict) {
    assertThat(ProbeVerdict.of(deviation)).isEqualTo(verdict);
  }

  @Test
  void aProbeThatReadsTooHighIsCorrectedDown() {
    ExpectedRedox zobell =
        new ExpectedRedox(ZOBELL_STANDARD_METHODS, SILVER_CHLORIDE_SATURATED, 25);
    assertThat(zobell.deviationMillivolts(241)).isCloseTo(12, EXACT);
    ProbeCorrection correction = ProbeCorrection.of(zobell, 241);
    assertThat(correction).isEqualTo(new ProbeCorrection(1, -12));
    assertThat(correction.corrected(352)).isCloseTo(340, EXACT);
    assertThat(ProbeCorrection.NONE.corrected(352)).isEqualTo(352);
  }

  @Test
  void twoSolutionsGiveBackTheProbeThatReadThem() {
    SplittableRandom random = new SplittableRandom(177);
    for (int i = 0; i < 2000; i++) {
      double celsius = random.nextDouble(20, 30);
      ExpectedRedox four =
          new ExpectedRedox(QUINHYDRONE_PH_4_COMMON, SILVER_CHLORIDE_SATURATED, celsius);
      ExpectedRedox seven =
          new ExpectedRedox(QUINHYDRONE_PH_7_COMMON, SILVER_CHLORIDE_SATURATED, celsius);
      double slope = random.nextDouble(0.8, 1.2);
      double offset = random.nextDouble(-50, 50);
      ProbeCorrection correction =
          ProbeCorrection.of(
              four, slope * four.millivolts() + offset, seven, slope * seven.millivolts() + offset);
      assertThat(correction.slope()).isCloseTo(1 / slope, within(1e-9));
      double water = random.nextDouble(100, 450);
      assertThat(correction.corrected(slope * water + offset)).isCloseTo(water, within(1e-6));
    }
  }

  @Test
  void refusesASlopeFromSolutionsThatAreAlike() {
    ExpectedRedox zobell =
        new ExpectedRedox(ZOBELL_STANDARD_METHODS, SILVER_CHLORIDE_SATURATED, 25);
    ExpectedRedox four = new ExpectedRedox(QUINHYDRONE_PH_4_COMMON, SILVER_CHLORIDE_SATURATED, 25);
    ExpectedRedox seven = new ExpectedRedox(QUINHYDRONE_PH_7_COMMON, SILVER_CHLORIDE_SATURATED, 25);
    ExpectedRedox calomel = new ExpectedRedox(QUINHYDRONE_PH_7_COMMON, CALOMEL_SATURATED, 25);
    assertThatIllegalArgumentException()
        .isThrownBy(() -> ProbeCorrection.of(zobell, 229, four, 263))
        .withMessageContaining("34.0 mV apart");
    assertThatIllegalArgumentException()
        .isThrownBy(() -> ProbeCorrection.of(four, 263, calomel, 41))
        .withMessageContaining("one reference");
    assertThatIllegalArgumentException()
        .as("a dead probe reads the same in both")
        .isThrownBy(() -> ProbeCorrection.of(four, 200, seven, 200));
    assertThatIllegalArgumentException()
        .as("the two solutions were mixed up")
        .isThrownBy(() -> ProbeCorrection.of(four, 86, seven, 263));
    assertThatIllegalArgumentException()
        .isThrownBy(() -> ProbeCorrection.of(zobell, Double.NaN))
        .withMessageContaining("redox in mV");
  }

  /** Read and computed: 177 mV at 25 degC is 59.159 x (7.00 - 4.01) = 176.9 mV. */
  @Test
  void theSpanBetweenTheBuffersIsNernsts() {
    assertThat(ProbeCorrection.spanShare(263, 86, 25)).isCloseTo(177 / 176.885, within(1e-5));
    assertThat(ProbeCorrection.spanShare(218, 41, 25))
        .as("whatever the reference electrode")
        .isCloseTo(177 / 176.885, within(1e-5));
    assertThat(ProbeCorrection.spanShare(88, 86, 25)).as("a dead probe").isLessThan(0.02);
  }

  /** The rows for 20 and 30 degC are from memory; the pH of the buffers moves a little. */
  @Test
  void theSpanOfTheTablesIsNernstsAtOtherTemperaturesToo() {
    assertThat(ProbeCorrection.spanShare(268, 92, 20)).isCloseTo(1, within(0.013));
    assertThat(ProbeCorrection.spanShare(258, 79, 30)).isCloseTo(1, within(0.013));
  }
}

package io.github.tidewarden.science;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;
import static org.assertj.core.api.Assertions.within;

import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

/**
 * The figures were worked out by the equations of one well-mixed box, with the decay in homes that
 * Lee et al. measured (JAWMA 1999). No published example with an ozone source was found, so the
 * table is a self-consistency test: the same equations worked twice.
 */
class RoomAirTest {

  private static final RoomAir HOME = new RoomAir(30, 0.35, 2.8);
  private static final RoomAir BARE = new RoomAir(30, 0.35, 0);

  private static double ppm(double milligramsPerCubicMetre) {
    return OzoneUnits.ppb(milligramsPerCubicMetre, 25, 101_325) / 1000;
  }

  private static double milligrams(double ppm) {
    return OzoneUnits.milligramsPerCubicMetre(1000 * ppm, 25, 101_325);
  }

  @Test
  void settlesAsTabled() {
    assertThat(HOME.steadyMilligramsPerCubicMetre(50, 0)).isCloseTo(0.52910, within(5e-6));
    assertThat(ppm(HOME.steadyMilligramsPerCubicMetre(50, 0))).isCloseTo(0.26969, within(5e-6));
    assertThat(BARE.steadyMilligramsPerCubicMetre(50, 0)).isCloseTo(4.76190, within(5e-6));
    assertThat(ppm(BARE.steadyMilligramsPerCubicMetre(50, 0))).isCloseTo(2.42722, within(5e-6));
  }

  @Test
  void risesAsTabled() {
    assertThat(ppm(HOME.afterHoursMilligramsPerCubicMetre(0, 0.25, 50, 0)))
        .isCloseTo(0.14699, within(5e-6));
    assertThat(ppm(HOME.afterHoursMilligramsPerCubicMetre(0, 1, 50, 0)))
        .isCloseTo(0.25813, within(5e-6));
    assertThat(ppm(BARE.afterHoursMilligramsPerCubicMetre(0, 0.25, 50, 0)))
        .isCloseTo(0.20336, within(5e-6));
    assertThat(ppm(BARE.afterHoursMilligramsPerCubicMetre(0, 1, 50, 0)))
        .isCloseTo(0.71679, within(5e-6));
  }

  /** The table takes 3/(a+k) for the 95 % time; exact is ln 20/(a+k), 0.14 % less. */
  @Test
  void settlingTimeAsTabled() {
    assertThat(HOME.hoursToFraction(0.95)).isCloseTo(0.952, within(0.0019));
    assertThat(BARE.hoursToFraction(0.95)).isCloseTo(8.571, within(0.0130));
    assertThat(HOME.hoursToFraction(0.95)).isCloseTo(Math.log(20) / 3.15, within(1e-12));
    assertThat(HOME.hoursToFraction(0)).isZero();
  }

  @Test
  void generationForALimitAsTabled() {
    assertThat(HOME.generationMilligramsPerHour(milligrams(0.05), 0)).isCloseTo(9.27, within(5e-3));
    assertThat(HOME.generationMilligramsPerHour(milligrams(0.1), 0)).isCloseTo(18.54, within(5e-3));
    assertThat(BARE.generationMilligramsPerHour(milligrams(0.05), 0)).isCloseTo(1.03, within(5e-3));
    assertThat(BARE.generationMilligramsPerHour(milligrams(0.1), 0)).isCloseTo(2.06, within(5e-3));
  }

  @Test
  void generationForALimitSettlesAtTheLimit() {
    SplittableRandom random = new SplittableRandom(3);
    for (int i = 0; i < 1000; i++) {
      RoomAir room =
          new RoomAir(
              random.nextDouble(5, 500), random.nextDouble(0.05, 10), random.nextDouble(0, 5));
      double limit = random.nextDouble(0.05, 1);
      double outdoor = random.nextDouble(0, 0.05);
      double generation = room.generationMilligramsPerHour(limit, outdoor);
      assertThat(room.steadyMilligramsPerCubicMetre(generation, outdoor))
          .isCloseTo(limit, within(1e-12));
    }
  }

  @Test
  void outdoorAirAloneSettlesBelowOutdoorsByTheDecay() {
    // a Cout / (a + k) = 0.35 x 0.1 / 3.15; computed.
    assertThat(HOME.steadyMilligramsPerCubicMetre(0, 0.1)).isCloseTo(0.0111111, within(1e-7));
    assertThat(BARE.steadyMilligramsPerCubicMetre(0, 0.1)).isCloseTo(0.1, within(1e-12));
    assertThat(BARE.generationMilligramsPerHour(0.05, 0.1)).isNegative();
  }

  @Test
  void twoHalvesOfATimeAreTheWhole() {
    double whole = HOME.afterHoursMilligramsPerCubicMetre(0.02, 1.5, 20, 0.06);
    double half = HOME.afterHoursMilligramsPerCubicMetre(0.02, 0.7, 20, 0.06);
    assertThat(HOME.afterHoursMilligramsPerCubicMetre(half, 0.8, 20, 0.06))
        .isCloseTo(whole, within(1e-15));
  }

  @Test
  void refusesWhatIsNoRoom() {
    for (double bad : new double[] {-0.1, Double.NaN, Double.POSITIVE_INFINITY}) {
      assertThatIllegalArgumentException().isThrownBy(() -> new RoomAir(bad, 1, 1));
      assertThatIllegalArgumentException().isThrownBy(() -> new RoomAir(30, bad, 1));
      assertThatIllegalArgumentException().isThrownBy(() -> new RoomAir(30, 1, bad));
      assertThatIllegalArgumentException()
          .isThrownBy(() -> HOME.steadyMilligramsPerCubicMetre(bad, 0));
      assertThatIllegalArgumentException()
          .isThrownBy(() -> HOME.steadyMilligramsPerCubicMetre(0, bad));
      assertThatIllegalArgumentException()
          .isThrownBy(() -> HOME.afterHoursMilligramsPerCubicMetre(bad, 1, 0, 0));
      assertThatIllegalArgumentException()
          .isThrownBy(() -> HOME.afterHoursMilligramsPerCubicMetre(0, bad, 0, 0));
      assertThatIllegalArgumentException()
          .isThrownBy(() -> HOME.generationMilligramsPerHour(bad, 0));
      assertThatIllegalArgumentException().isThrownBy(() -> HOME.hoursToFraction(bad));
    }
    assertThatIllegalArgumentException().isThrownBy(() -> HOME.hoursToFraction(1));
    assertThatIllegalArgumentException()
        .isThrownBy(() -> new RoomAir(30, 0, 0))
        .withMessageContaining("never settles");
  }
}

package io.github.tidewarden.rehearsal;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;

/** The water of a simulated tank, held against dilution worked out by hand. */
class SimulatedWaterTest {
  private static final TankModel.Water STILL = TankModel.Water.STILL;
  private final SimulatedBin bin = new SimulatedBin(1000, 35);
  private long nanos;

  private SimulatedWater water(TankModel.Water model, double psu) {
    return new SimulatedWater(model, 340, 0.12, 210, psu, bin, 0);
  }

  private void passes(SimulatedWater water, double minutes) {
    nanos += (long) (minutes * TimeUnit.MINUTES.toNanos(1));
    water.advanceTo(nanos);
  }

  private void portion(SimulatedWater water, double minutes) {
    water.pumps("lagoon", 0.25, 0);
    passes(water, minutes);
    water.pumps("lagoon", 0, 0.25);
    passes(water, minutes);
    water.pumps("lagoon", 0, 0);
  }

  /**
   * The ballast-water rule of sequential dilution, (1 - p)^n: seven days of 21 portions, 3 % a day
   * in all, leave (1 - 0.03 / 21)^147 of what was there. What is drawn is drawn from a tank that is
   * a portion less full, which makes no difference to its concentration.
   */
  @Test
  void aWeekOfPortionsLeavesWhatCompoundedDilutionSays() {
    SimulatedWater water = water(new TankModel.Water(0, 0, 0, 0, 1, 1, 10, 0), 30);
    double minutes = 340 * 0.03 / 21 / 0.25;
    for (int i = 0; i < 147; i++) {
      portion(water, minutes);
    }
    double left = Math.pow(1 - 0.03 / 21, 147);
    assertThat(left).isCloseTo(0.8105, within(5e-5)); // 18.95 % are new, worked by hand
    assertThat(water.nutrientMilligramsPerLitre()).isCloseTo(10 * left, within(1e-4));
    assertThat(water.psu()).isCloseTo(35 - 5 * left, within(1e-4));
    assertThat(water.outLitres()).isCloseTo(7 * 10.2, within(1e-9));
    assertThat(water.inLitres()).isCloseTo(7 * 10.2, within(1e-9));
    assertThat(water.levelMillimetres()).isCloseTo(210, within(1e-9));
    assertThat(bin.litres()).isCloseTo(1000 - 71.4, within(1e-9));
  }

  /** Both at once mixes as it goes: exp(-V) is left after V volumes of the water. */
  @Test
  void pairedHeadsLeaveWhatContinuousDilutionSays() {
    SimulatedWater water = water(new TankModel.Water(0, 0, 0, 0, 1, 1, 10, 0), 35);
    water.pumps("lagoon", 0.25, 0.25);
    passes(water, 340 / 0.25);
    assertThat(water.nutrientMilligramsPerLitre()).isCloseTo(10 * Math.exp(-1), within(1e-4));
  }

  /** A pump that moves a tenth less than it is configured to. */
  @Test
  void aPumpMovesWhatItTrulyMoves() {
    SimulatedWater water = water(new TankModel.Water(0, 0, 0, 0, 0.9, 1.1, 0, 0), 35);
    portion(water, 2);
    assertThat(water.outLitres()).isCloseTo(0.45, within(1e-9));
    assertThat(water.inLitres()).isCloseTo(0.55, within(1e-9));
    assertThat(water.levelMillimetres()).isCloseTo(210 + 0.1 / 0.12, within(1e-9));
  }

  /** Fresh water takes the place of what evaporates: no salt goes, none comes. */
  @Test
  void topOffKeepsTheLevelAndTheSalt() {
    SimulatedWater water = water(new TankModel.Water(3.4, 0.34, 0, 0, 1, 1, 0, 0), 35);
    for (int hour = 0; hour < 240; hour++) {
      passes(water, 60);
      assertThat(water.levelMillimetres()).isBetween(209.0 - 1e-6, 210.0 + 1e-6);
    }
    assertThat(water.toppedLitres()).isCloseTo(34, within(0.13));
    assertThat(water.psu() * (340 - 34 + water.toppedLitres())).isCloseTo(340 * 35, within(1e-6));
  }

  /** Held for a day, the water falls by what evaporates, 3.4 L of 120 mL a millimetre. */
  @Test
  void aHeldTopOffLetsNothingIn() {
    SimulatedWater water = water(new TankModel.Water(3.4, 0.34, 0, 0, 1, 1, 0, 0), 35);
    water.topOffHeld(true);
    passes(water, 1440);
    assertThat(water.toppedLitres()).isZero();
    assertThat(water.levelMillimetres()).isCloseTo(210 - 3.4 / 0.12, within(1e-6));
    assertThat(water.psu()).isCloseTo(35 * 340 / 336.6, within(1e-6));
    water.topOffHeld(false);
    passes(water, 30);
    assertThat(water.levelMillimetres()).isCloseTo(210, within(0.01)); // it evaporates again
  }

  /** What the display holds back comes down in 90 s when the return stops, and goes up again. */
  @Test
  void theReturnLiftsWhatComesDownWhenItStops() {
    SimulatedWater water = water(new TankModel.Water(0, 0, 0, 8.88, 1, 1, 0, 0), 35);
    water.returnRuns(false);
    passes(water, 0.75);
    assertThat(water.levelMillimetres()).isCloseTo(247, within(1e-6));
    passes(water, 10);
    assertThat(water.levelMillimetres()).isCloseTo(284, within(1e-6));
    water.returnRuns(true);
    passes(water, 1.5);
    assertThat(water.levelMillimetres()).isCloseTo(210, within(1e-6));
    assertThat(water.psu()).isEqualTo(35);
  }

  /** Skimmate of 1 L a day made good with fresh water takes 35 PSU L a day: 0.103 PSU of 340 L. */
  @Test
  void skimmateTakesSaltWithIt() {
    SimulatedWater water = water(new TankModel.Water(0, 0.34, 1, 0, 1, 1, 0, 0), 35);
    passes(water, 1440);
    assertThat(35 - water.psu()).isCloseTo(0.103, within(1e-3));
  }

  /** Feeding makes half a milligram a day; nothing takes it out. */
  @Test
  void feedingMakesTheNutrient() {
    SimulatedWater water = water(new TankModel.Water(0, 0, 0, 0, 1, 1, 5, 0.5), 35);
    passes(water, 10 * 1440);
    assertThat(water.nutrientMilligramsPerLitre()).isCloseTo(10, within(1e-6));
  }

  /** Two tanks over one sump. */
  @Test
  void whatTwoTanksPumpAddsUp() {
    SimulatedWater water = water(STILL, 35);
    water.pumps("lagoon", 0.25, 0);
    water.pumps("nursery", 0.1, 0);
    passes(water, 2);
    assertThat(water.outLitres()).isCloseTo(0.7, within(1e-9));
  }

  @Test
  void anEmptyBinGivesNothingAndAFilledOneMixes() {
    SimulatedBin small = new SimulatedBin(1, 30);
    assertThat(small.draw(3)).isEqualTo(1);
    assertThat(small.draw(3)).isZero();
    small.fill(3, 35);
    small.fill(1, 31);
    assertThat(small.litres()).isEqualTo(4);
    assertThat(small.psu()).isCloseTo(34, within(1e-12));
  }
}

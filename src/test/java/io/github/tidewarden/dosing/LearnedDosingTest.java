package io.github.tidewarden.dosing;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

/**
 * The bar of dosing that learns: simulated tanks with gain, time constant, dead time over a tenfold
 * range, a probe lag of up to 120 s and noise of 3 mV, judged on the redox of the water without
 * noise. The figures of the tanks are invented; the equation is that of the textbooks.
 */
class LearnedDosingTest {
  private static final int TANKS = 200;
  private static final int LEARNS = 3;
  private static final int JUDGED = 5;
  private static final double TOP = 365;
  private static final double CEILING = 400;

  private static LearningTank tank(SplittableRandom random) {
    return new LearningTank(
        30 * Math.pow(10, random.nextDouble()),
        300 * Math.pow(10, random.nextDouble()),
        30 * Math.pow(10, random.nextDouble()),
        random.nextDouble(0, 120),
        random.nextDouble(300, 335),
        random.split());
  }

  @Test
  void afterThreeNightsThePeakIsHardlyEverOverTheBandAndNeverAtTheCeiling() {
    SplittableRandom random = new SplittableRandom(1957);
    int nights = 0;
    int over = 0;
    int idle = 0;
    double highest = 0;
    double dosed = 0;
    for (int i = 0; i < TANKS; i++) {
      LearningTank tank = tank(random);
      for (int night = 0; night < LEARNS; night++) {
        assertThat(tank.night().peakMillivolts()).as("tank %d learns", i).isLessThan(CEILING);
      }
      for (int night = 0; night < JUDGED; night++) {
        LearningTank.Night is = tank.night();
        nights++;
        over += is.peakMillivolts() > TOP + 5 ? 1 : 0;
        idle += is.doses() == 0 ? 1 : 0;
        highest = Math.max(highest, is.peakMillivolts());
        dosed += is.onSeconds() / 3600;
      }
    }
    System.out.printf(
        "learned dosing: %d nights, %d over by 5 mV, highest %.1f mV, %d idle, %.2f h a night%n",
        nights, over, highest, idle, dosed / nights);
    assertThat(nights).isEqualTo(1000);
    assertThat(over).isLessThanOrEqualTo(nights / 100);
    assertThat(highest).isLessThan(CEILING);
    assertThat(idle).isLessThanOrEqualTo(nights / 100);
  }

  /** By the band alone the same tanks pass the ceiling: so the bar can fail. */
  @Test
  void byTheBandAloneTheSameTanksPassTheCeiling() {
    SplittableRandom random = new SplittableRandom(1957);
    int over = 0;
    for (int i = 0; i < 40; i++) {
      LearningTank tank = tank(random);
      tank.learns = false;
      over += tank.night().peakMillivolts() >= CEILING ? 1 : 0;
    }
    assertThat(over).isGreaterThan(2);
  }

  /** A day's swing of 20 mV, which no dose explains: fewer lessons, and none that harm. */
  @Test
  void theDaysSwingDoesNotLiftIt() {
    SplittableRandom random = new SplittableRandom(2026);
    int over = 0;
    int nights = 0;
    for (int i = 0; i < 40; i++) {
      LearningTank tank = tank(random);
      tank.dailySwing = 10;
      for (int night = 0; night < 6; night++) {
        LearningTank.Night is = tank.night();
        assertThat(is.peakMillivolts()).as("tank %d, night %d", i, night).isLessThan(CEILING);
        if (night >= LEARNS) {
          nights++;
          over += is.peakMillivolts() > TOP + 5 ? 1 : 0;
        }
      }
    }
    assertThat(over).isLessThanOrEqualTo(nights / 20);
  }
}

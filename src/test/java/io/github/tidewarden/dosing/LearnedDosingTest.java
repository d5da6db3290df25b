package io.github.tidewarden.dosing;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

/**
 * Dosing that learns, of a part of the tanks of {@code LearnedDosingCampaign}, and what it is
 * worth.
 */
class LearnedDosingTest {
  private static final int TANKS = 12;

  @Test
  void afterThreeNightsThePeakIsHardlyEverOverTheBandAndNeverAtTheCeiling() {
    LearnedNights.lives(TANKS);
  }

  /** By the band alone the same tanks pass the ceiling: so the bar can fail. */
  @Test
  void byTheBandAloneTheSameTanksPassTheCeiling() {
    SplittableRandom random = new SplittableRandom(1957);
    int over = 0;
    for (int i = 0; i < 40; i++) {
      LearningTank tank = LearnedNights.tank(random);
      tank.learns = false;
      over += tank.night().peakMillivolts() >= LearnedNights.CEILING ? 1 : 0;
    }
    assertThat(over).isGreaterThan(2);
  }

  /** A day's swing of 20 mV, which no dose explains: fewer lessons, and none that harm. */
  @Test
  void theDaysSwingDoesNotLiftIt() {
    SplittableRandom random = new SplittableRandom(2026);
    int over = 0;
    int nights = 0;
    for (int i = 0; i < 8; i++) {
      LearningTank tank = LearnedNights.tank(random);
      tank.dailySwing = 10;
      for (int night = 0; night < 6; night++) {
        LearningTank.Night is = tank.night();
        assertThat(is.peakMillivolts())
            .as("tank %d, night %d", i, night)
            .isLessThan(LearnedNights.CEILING);
        if (night >= LearnedNights.LEARNS) {
          nights++;
          over += is.peakMillivolts() > LearnedNights.TOP + 5 ? 1 : 0;
        }
      }
    }
    assertThat(over).isLessThanOrEqualTo(nights / 20);
  }
}

package io.github.tidewarden.dosing;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.SplittableRandom;

/**
 * The bar of dosing that learns: simulated tanks with gain, time constant and dead time over a
 * tenfold range, a probe lag of up to 120 s and noise of 3 mV, judged on the redox of the water
 * without noise. The figures of the tanks are invented; the equation is that of the textbooks.
 */
final class LearnedNights {
  static final int LEARNS = 3;
  static final int JUDGED = 5;
  static final double TOP = 365;
  static final double CEILING = 400;

  private LearnedNights() {}

  static LearningTank tank(SplittableRandom random) {
    return new LearningTank(
        30 * Math.pow(10, random.nextDouble()),
        300 * Math.pow(10, random.nextDouble()),
        30 * Math.pow(10, random.nextDouble()),
        random.nextDouble(0, 120),
        random.nextDouble(300, 335),
        random.split());
  }

  /** So many tanks learn for three nights and are judged in five. */
  static void lives(int tanks) {
    SplittableRandom random = new SplittableRandom(1957);
    int nights = 0;
    int over = 0;
    int idle = 0;
    double highest = 0;
    double dosed = 0;
    for (int i = 0; i < tanks; i++) {
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
    assertThat(nights).isEqualTo(tanks * JUDGED);
    assertThat(over).isLessThanOrEqualTo(nights / 100);
    assertThat(highest).isLessThan(CEILING);
    assertThat(idle).isLessThanOrEqualTo(nights / 100);
  }
}

package io.github.tidewarden.science;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;
import static org.assertj.core.api.Assertions.within;

import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

/**
 * The figures were worked out by the equations of one well-mixed box without decay, for 30 m3 and
 * 0.35 air changes an hour (what ASHRAE asks of homes, quoted). No published example with an ozone
 * source was found.
 */
class RoomLeakTest {

  private static final RoomLeak ROOM = new RoomLeak(30, 0.35);

  /** 50 mg/h: 0.20336 ppm after a quarter of an hour, 0.71679 ppm after one. */
  @Test
  void reachesALimitWhenTheTableSaysSo() {
    assertThat(ROOM.hoursUntil(203.36, 50)).isCloseTo(0.25, within(1e-5));
    assertThat(ROOM.hoursUntil(716.79, 50)).isCloseTo(1, within(1e-5));
  }

  /** The largest generators for 0.05 and 0.1 ppm: 1.03 and 2.06 mg/h. */
  @Test
  void theLargestGeneratorAsTabled() {
    assertThat(ROOM.largestMilligramsPerHour(50)).isCloseTo(1.03, within(5e-3));
    assertThat(ROOM.largestMilligramsPerHour(100)).isCloseTo(2.06, within(5e-3));
  }

  @Test
  void anHonestGeneratorPassesTheUsualLimitsWithinMinutes() {
    // 30 m3 x 0.0981 mg/m3 = 2.943 mg at 50 mg/h: 3.53 min, a little more with some air change.
    assertThat(60 * ROOM.hoursUntil(50, 50)).isCloseTo(3.568, within(1e-3));
    assertThat(60 * new RoomLeak(30, 0).hoursUntil(50, 50)).isCloseTo(3.532, within(1e-3));
  }

  @Test
  void neverReachesWhatItOnlySettlesAt() {
    double largest = ROOM.largestMilligramsPerHour(50);
    assertThat(ROOM.hoursUntil(50, largest)).isInfinite();
    assertThat(ROOM.hoursUntil(50, largest / 2)).isInfinite();
    assertThat(ROOM.hoursUntil(50, 0)).isInfinite();
    assertThat(ROOM.hoursUntil(50, 1.001 * largest)).isBetween(15.0, 25.0);
  }

  @Test
  void aSealedRoomTakesNoGeneratorAtAll() {
    RoomLeak sealed = new RoomLeak(30, 0);
    assertThat(sealed.largestMilligramsPerHour(100)).isZero();
    assertThat(sealed.hoursUntil(100, 0.001)).isFinite();
    assertThat(sealed.hoursUntil(100, 0)).isInfinite();
    // The limit of ever less air change.
    assertThat(sealed.hoursUntil(100, 50))
        .isCloseTo(new RoomLeak(30, 1e-9).hoursUntil(100, 50), within(1e-9));
  }

  /** The other way round of the same box, and decay only ever helps. */
  @Test
  void agreesWithTheBoxAndIsTheSafeCase() {
    SplittableRandom random = new SplittableRandom(35);
    for (int i = 0; i < 1000; i++) {
      double volume = random.nextDouble(5, 500);
      double changes = random.nextDouble(0.05, 5);
      RoomLeak leak = new RoomLeak(volume, changes);
      double limit = random.nextDouble(20, 300);
      double generator = leak.largestMilligramsPerHour(limit) * random.nextDouble(1.05, 50);
      double hours = leak.hoursUntil(limit, generator);
      double held =
          new RoomAir(volume, changes, 0).afterHoursMilligramsPerCubicMetre(0, hours, generator, 0);
      assertThat(OzoneUnits.ppb(held, 25, 101_325)).isCloseTo(limit, within(1e-6));
      double decayed =
          new RoomAir(volume, changes, random.nextDouble(0.1, 4))
              .afterHoursMilligramsPerCubicMetre(0, hours, generator, 0);
      assertThat(decayed).isLessThan(held);
    }
  }

  @Test
  void refusesWhatIsNoRoomAndNoLimit() {
    for (double bad : new double[] {-0.1, Double.NaN, Double.POSITIVE_INFINITY}) {
      assertThatIllegalArgumentException().isThrownBy(() -> new RoomLeak(bad, 1));
      assertThatIllegalArgumentException().isThrownBy(() -> new RoomLeak(30, bad));
      assertThatIllegalArgumentException().isThrownBy(() -> ROOM.hoursUntil(bad, 50));
      assertThatIllegalArgumentException().isThrownBy(() -> ROOM.hoursUntil(50, bad));
      assertThatIllegalArgumentException().isThrownBy(() -> ROOM.largestMilligramsPerHour(bad));
    }
    assertThatIllegalArgumentException().isThrownBy(() -> ROOM.hoursUntil(0, 50));
  }
}

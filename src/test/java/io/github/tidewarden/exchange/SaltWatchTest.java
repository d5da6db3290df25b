package io.github.tidewarden.exchange;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import io.github.tidewarden.exchange.SaltWatch.Held;
import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/**
 * The salinity that a probe sees against what explains it. The tank is its own mass balance; noise
 * and resolution of the probe are invented.
 */
class SaltWatchTest {

  /** A tank of 340 L that gets 21 portions a day; salt is counted in PSU L. */
  private static final class Tank {
    private static final double LITRES = 340;
    private static final double PORTION = 10.2 / 21;

    private final SplittableRandom random = new SplittableRandom(20260115);
    private double salt = 35 * LITRES;
    private double newPsu = 35;
    private double skimmateLitresPerDay;
    private double noisePsu = 0.02;
    private @Nullable Held before;
    private double explained;
    private double night;
    double together;
    final List<Double> nights = new ArrayList<>();

    double psu() {
      return salt / LITRES;
    }

    void portion() {
      Held now = new Held(psu() + noisePsu * random.nextGaussian(), LITRES);
      if (before != null) {
        double off = SaltWatch.off(before, explained, now);
        together = SaltWatch.together(together, off);
        night += off;
      }
      before = now;
      explained = SaltWatch.portion(now.psu(), PORTION, 35, PORTION);
      salt += (newPsu - psu()) * PORTION;
    }

    void day() {
      for (int i = 0; i < 21; i++) {
        portion();
      }
      salt -= skimmateLitresPerDay * psu(); // made up with fresh water
      nights.add(night);
      night = 0;
    }

    List<Double> week() {
      return nights.subList(Math.max(0, nights.size() - 7), nights.size());
    }
  }

  @Test
  void aYearWithANoisyProbeIsNeverTold() {
    Tank tank = new Tank();
    for (int day = 0; day < 365; day++) {
      tank.day();
      assertThat(SaltWatch.judge(tank.together)).as("day %d", day).isNull();
      assertThat(SaltWatch.drift(tank.week())).as("day %d", day).isNull();
    }
  }

  /** Hazard F72: 1 L of skimmate a day, made up with fresh water, is 0.103 PSU a day at first. */
  @Test
  void skimmateMadeUpWithFreshWaterIsToldWithinTheFirstNights() {
    Tank tank = new Tank();
    tank.skimmateLitresPerDay = 1;
    int told = 0;
    for (int day = 1; day <= 30; day++) {
      tank.day();
      assertThat(SaltWatch.judge(tank.together)).as("nothing stops, day %d", day).isNull();
      String drift = SaltWatch.drift(tank.week());
      if (drift != null && told == 0) {
        told = day;
        assertThat(drift).startsWith("the salinity falls 0.").contains("skimmate");
      }
    }
    assertThat(told).isBetween(3, 5);
    assertThat(tank.nights.get(29)).isEqualTo(-tank.psu() / Tank.LITRES, within(0.08));
  }

  /** The same, and the keeper notes it: it is explained, though the salinity falls. */
  @Test
  void skimmateThatIsNotedIsExplained() {
    Tank tank = new Tank();
    tank.skimmateLitresPerDay = 1;
    for (int day = 1; day <= 30; day++) {
      tank.day();
      tank.explained += SaltWatch.skimmate(tank.psu(), 1);
      assertThat(SaltWatch.drift(tank.week())).as("day %d", day).isNull();
    }
    assertThat(tank.psu()).isLessThan(33.5);
  }

  /** Hazard F70: fresh water in the bin, and water of twice the salt. */
  @ParameterizedTest
  @CsvSource({"0, lower, less", "70, higher, more"})
  void newWaterThatIsFarOffIsFoundBeforeTheTankIsHalfAPsuOff(
      double psu, String where, String than) {
    Tank tank = new Tank();
    tank.day();
    tank.newPsu = psu;
    int portions = 0;
    while (SaltWatch.judge(tank.together) == null) {
      tank.portion();
      portions++;
    }
    assertThat(portions).isBetween(5, 11);
    assertThat(Math.abs(tank.psu() - 35)).isLessThan(0.55);
    assertThat(SaltWatch.judge(tank.together).why())
        .contains(where + " than the exchange explains")
        .endsWith(than + " salty than confirmed");
  }

  /** 1 % of 340 L evaporates and is seen by the level: 35 PSU become 35.35. */
  @Test
  void whatEvaporatesIsExplainedByTheLevel() {
    assertThat(SaltWatch.off(new Held(35, 340), 0, new Held(35 / 0.99, 336.6)))
        .isEqualTo(0, within(1e-9));
    assertThat(SaltWatch.off(new Held(35, 340), 0, new Held(35, 336.6)))
        .isEqualTo(-0.3535, within(1e-4));
  }

  @ParameterizedTest
  @ValueSource(doubles = {0, 0.299, -0.299, Double.NaN})
  void littleIsNoFault(double together) {
    assertThat(SaltWatch.judge(together)).isNull();
  }

  @Test
  void twoNightsTellNothing() {
    assertThat(SaltWatch.drift(List.of(-1.0, -1.0))).isNull();
    assertThat(SaltWatch.drift(List.of(0.06, 0.05, 0.05)))
        .startsWith("the salinity rises 0.05 PSU a day")
        .contains("top-off brings salt");
  }
}

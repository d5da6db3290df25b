package io.github.tidewarden.rehearsal;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import io.github.tidewarden.config.ConfigException;
import io.github.tidewarden.config.ConfigReader;
import io.github.tidewarden.config.ConfigText;
import io.github.tidewarden.config.Configuration;
import io.github.tidewarden.config.TankModelReader;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.science.Dilution;
import io.github.tidewarden.science.OzoneUnits;
import io.github.tidewarden.sensing.Measure;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.Instant;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;

/**
 * What each figure of a tank model does to the simulated lagoon, held against formulas from outside
 * where there are such.
 */
class KeepersTanksTest {
  private static final long START = 7_000_000_000L;
  private static final Instant WALL = Instant.parse("2026-01-15T12:00:00Z");
  private static final String LAB = "config/harbour-lab.yaml";
  private static final String GENERATOR = "lab/lagoon/ozone/set";

  /** Nothing that a typical tank does by itself. */
  private static final String STILL =
      "redox: { daily-swing: 0 mV, drift-per-day: 0 mV, organic-load: 0 mg/h },"
          + " water: { skimmate-per-day: 0 L }, pumps: { drain: 100 %, fill: 100 % },"
          + " sensors: { redox: { fouling-per-day: 0 s } }";

  private SiteRig rig(String lagoon) {
    try {
      return rig(lagoon, ConfigReader.read(Path.of(LAB)));
    } catch (ConfigException e) {
      throw new AssertionError(e);
    }
  }

  private static SiteRig rig(String lagoon, Configuration site) {
    try {
      String text = "all-tanks: { " + STILL + " }\ntanks: { lagoon: { " + lagoon + " } }";
      KeepersTanks tanks =
          new KeepersTanks(
              TankModelReader.read(Path.of("m.yaml"), text.getBytes(StandardCharsets.UTF_8), site));
      return new SiteRig(site.site().tanks(), tanks, 3, START);
    } catch (ConfigException e) {
      throw new AssertionError(e);
    }
  }

  private static SimulatedTank lagoon(SiteRig rig, double seconds) {
    rig.advanceTo(START + Math.round(seconds * 1e9));
    return rig.tank("lagoon").tank();
  }

  /** The lagoon with its generator truly on from the start. */
  private static SimulatedTank dosed(SiteRig rig, double seconds) {
    lagoon(rig, 0).generator(50);
    rig.tank("lagoon").tank().advanceTo(START + Math.round(seconds * 1e9));
    return rig.tank("lagoon").tank();
  }

  private static double number(SiteRig rig, String topic) {
    return Double.parseDouble(rig.reading(topic, WALL).orElseThrow().payload());
  }

  // Redox.

  /** A first-order process has done 1 - 1/e, 63.2 %, one time constant after its dead time. */
  @Test
  void redoxHasDone63PercentAfterDeadTimeAndTimeConstant() {
    String model =
        "redox: { at-start: 300 mV, without-ozone: 300 mV, gain: 80 mV, time-constant: 20 min,"
            + " dead-time: 5 min }, room: { escapes: 0 % }";
    assertThat(dosed(rig(model), 300).waterRedoxMillivolts()).isEqualTo(300);
    assertThat(dosed(rig(model), 1500).waterRedoxMillivolts())
        .isCloseTo(300 + 0.632 * 80, within(0.02));
    assertThat(dosed(rig(model), 100 * 1200).waterRedoxMillivolts()).isCloseTo(380, within(1e-6));
  }

  /** 10 of 50 mg/h used up leave four fifths of the gain; 60 of 50 leave nothing. */
  @Test
  void organicLoadEatsOzoneBeforeItLiftsRedox() {
    String model =
        "redox: { at-start: 300 mV, without-ozone: 300 mV, gain: 80 mV, organic-load: %s mg/h },"
            + " room: { escapes: 0 %% }";
    double end = 1e6;
    assertThat(dosed(rig(model.formatted("10")), end).waterRedoxMillivolts())
        .isCloseTo(364, within(1e-6));
    assertThat(dosed(rig(model.formatted("60")), end).waterRedoxMillivolts())
        .isCloseTo(300, within(1e-6));
  }

  /** From noon on: highest at 18:00, by the mean at midnight, lowest at 06:00; a sine. */
  @Test
  void theDaySwingsAboutTheMeanAndTheWeeksDrift() {
    String model =
        "redox: { at-start: 300 mV, without-ozone: 300 mV, daily-swing: 12 mV, highest-at: \"18:00\""
            + "%s }";
    SiteRig rig = rig(model.formatted(""));
    double[] expected = {300, 312, 300, 288, 300};
    for (int i = 0; i < expected.length; i++) {
      assertThat(lagoon(rig, i * 6 * 3600).waterRedoxMillivolts())
          .as("%s h after noon", 6 * i)
          .isCloseTo(expected[i], within(1e-6));
    }
    SiteRig drifting = rig(model.formatted(", drift-per-day: -1.5 mV"));
    assertThat(lagoon(drifting, 10 * 86_400).waterRedoxMillivolts()).isCloseTo(285, within(1e-6));
  }

  /** A sine behind a lag L is less by sqrt(1 + (wL)^2): 1.00 to 2.6e-3 for an hour of a day. */
  @Test
  void aLaggingProbeSeesTheSwingLessAndLater() {
    DailyCourse course = new DailyCourse(10, 0, 0);
    double lag = 6 * 3600;
    double turning = 2 * Math.PI / 86_400;
    double most = 0;
    double at = 0;
    for (int second = 0; second < 86_400; second += 10) {
      if (course.millivolts(second, lag) > most) {
        most = course.millivolts(second, lag);
        at = second;
      }
    }
    assertThat(most).isCloseTo(10 / Math.sqrt(1 + Math.pow(turning * lag, 2)), within(1e-4));
    assertThat(at).isCloseTo(Math.atan(turning * lag) / turning, within(10.0));
    assertThat(course.millivolts(0, 0)).isEqualTo(10);
  }

  // Sensors.

  @Test
  void aProbeHasItsOwnOffsetStepAndNoise() {
    String quiet = "redox: { at-start: 300 mV, without-ozone: 300 mV }, sensors: ";
    SiteRig off = rig(quiet + "{ redox-a: { offset: -7 mV, noise: 0 mV, step: 5 mV } }");
    assertThat(number(off, "lab/lagoon/redox/a")).as("293 in steps of 5").isEqualTo(295);
    SiteRig noisy = rig(quiet + "{ redox-a: { offset: 0 mV, noise: 8 mV, step: 0.1 mV } }");
    double squares = 0;
    for (int i = 0; i < 4000; i++) {
      squares += Math.pow(number(noisy, "lab/lagoon/redox/a") - 300, 2);
    }
    // The standard deviation of 4,000 draws is known to about 1 %: 8 within 5 of those.
    assertThat(Math.sqrt(squares / 4000)).isBetween(7.6, 8.4);
  }

  /** One lag after a jump a sensor of first order has followed 63.2 % of it. */
  @Test
  void anySensorLagsAndFoulingLengthensItUntilItIsCleaned() {
    String model =
        "sensors: { skimmer-air: { noise: 0 L/min, step: 0.0001 L/min, lag: 60 s,"
            + " fouling-per-day: 30 s, cleaned-every: 4 d } }";
    for (double[] row : new double[][] {{0, 60}, {2, 120}, {4, 60}}) {
      SiteRig rig = rig(model);
      double begin = row[0] * 86_400;
      lagoon(rig, begin);
      assertThat(number(rig, "lab/lagoon/skimmer/air")).isEqualTo(5);
      rig.tank("lagoon").tank().airLost(true);
      lagoon(rig, begin + row[1]);
      assertThat(number(rig, "lab/lagoon/skimmer/air"))
          .as("after %s days", row[0])
          .isCloseTo(5 * (1 - 0.632), within(0.01));
    }
  }

  // Water, salt and what dissolves in it.

  /** 1 % of 340 L evaporates, nothing replaces it; salt stays: S2 = S1 V1 / V2. */
  @Test
  void evaporationTakesWaterAndLeavesSalt() {
    SiteRig rig =
        rig(
            "water: { evaporation-per-day: 1 %, top-off: 0 L/min, salinity-at-start: 34 PSU,"
                + " level-at-start: 200 mm }");
    SimulatedTank day = lagoon(rig, 86_400);
    assertThat(day.value(Measure.LEVEL)).isCloseTo(200 - 3.4 / 0.12, within(1e-6));
    assertThat(day.value(Measure.SALINITY)).isCloseTo(34 * 340 / 336.6, within(1e-6));
    SiteRig filled = rig("water: { evaporation-per-day: 1 %, top-off: 1 L/min }");
    assertThat(lagoon(filled, 86_400).value(Measure.LEVEL)).isCloseTo(210, within(1.01));
  }

  /** Skimmate made good with fresh water: the salt of a litre, 35 of 340 x 35, is gone in a day. */
  @Test
  void skimmateTakesSaltWhichTopOffDoesNotBringBack() {
    SiteRig rig =
        rig("water: { evaporation-per-day: 0 L, skimmate-per-day: 1 L, top-off: 1 L/min }");
    assertThat(35 - lagoon(rig, 86_400).value(Measure.SALINITY))
        .isCloseTo(35 * 1 / 340.0, within(1e-3));
  }

  @Test
  void whatComesDownRaisesTheSumpWhenTheReturnStops() {
    SiteRig rig = rig("water: { comes-down: 6 L, evaporation-per-day: 0 L }");
    lagoon(rig, 0).set(Measure.RUNNING, 0);
    assertThat(lagoon(rig, 600).value(Measure.LEVEL)).isCloseTo(210 + 6 / 0.12, within(1e-6));
  }

  /** A tenth less out and a tenth more in than 0.25 L/min for two minutes. */
  @Test
  void pumpsMoveWhatTheyTrulyMove() {
    SiteRig rig = rig("pumps: { drain: 90 %, fill: 110 % }, water: { evaporation-per-day: 0 L }");
    lagoon(rig, 0).pumps(0.25, 0.25);
    rig.tank("lagoon").tank().advanceTo(START + TimeUnit.MINUTES.toNanos(2));
    SimulatedTank water = rig.tank("lagoon").tank();
    assertThat(water.outLitres()).isCloseTo(0.45, within(1e-9));
    assertThat(water.inLitres()).isCloseTo(0.55, within(1e-9));
  }

  /**
   * One volume of a mixed tank flowing through leaves 1/e, the 63 % of ballast-water practice (IMO
   * D-1 takes three for 95 %); so of the nutrient, and of what salt the new water differs by.
   */
  @Test
  void newWaterThinsTheNutrientAndBringsItsOwnSalinity() {
    SiteRig rig =
        rig(
            "nutrient: { at-start: 20 mg/L, per-day: 0 mg/L }, new-water: { salinity: 33 PSU },"
                + " water: { evaporation-per-day: 0 L }");
    SimulatedTank water = lagoon(rig, 0);
    water.bin().fill(1000, 33);
    water.pumps(0.25, 0.25);
    water.advanceTo(START + TimeUnit.MINUTES.toNanos(1360));
    double left = Dilution.remainingContinuousFraction(1);
    assertThat(left).isCloseTo(0.368, within(5e-4));
    assertThat(water.nutrientMilligramsPerLitre()).isCloseTo(20 * left, within(1e-3));
    assertThat(water.value(Measure.SALINITY)).isCloseTo(33 + 2 * left, within(1e-3));
    assertThat(lagoon(rig("nutrient: { at-start: 4 mg/L, per-day: 0.6 mg/L }"), 5 * 86_400))
        .extracting(SimulatedTank::nutrientMilligramsPerLitre)
        .satisfies(mg -> assertThat((double) mg).isCloseTo(7, within(0.01)));
  }

  @Test
  void binWasteAndTemperatureAreAsSaid() {
    SiteRig rig =
        rig(
            "new-water: { at-start: 70 L }, waste: { holds: 5 L }, water: { temperature: 26.5 Cel,"
                + " evaporation-per-day: 0 L, skimmate-per-day: 4 L, top-off: 0 L/min },"
                + " skimmer: { air-flow: 7 L/min }");
    SimulatedTank water = lagoon(rig, 0);
    assertThat(water.bin().litres()).isEqualTo(70);
    assertThat(water.value(Measure.TEMPERATURE)).isEqualTo(26.5);
    assertThat(water.value(Measure.AIR_FLOW)).isEqualTo(7);
    assertThat(lagoon(rig, 86_400).value(Measure.FULL)).isZero();
    assertThat(lagoon(rig, 1.26 * 86_400).value(Measure.FULL)).isEqualTo(1);
    assertThat(water.value(Measure.LEAK)).isZero();
    assertThat(lagoon(rig, 1.3 * 86_400).value(Measure.LEAK)).as("it runs over").isEqualTo(1);
    water.water().waste().isEmptied();
    assertThat(water.value(Measure.FULL)).isZero();
    assertThat(water.value(Measure.LEAK)).isZero();
  }

  /** Skimmate goes where the drain goes; a keeper empties the cup in time. */
  @Test
  void aWasteThatIsFullFillsNoCup() throws ConfigException {
    SiteRig rig =
        rig(
            "waste: { holds: 5 L }, water: { skimmate-per-day: 4 L }",
            ConfigText.lab().withWaste().withSkimmer("{ cup: skimmer-cup }").read());
    assertThat(lagoon(rig, 2 * 86_400).value(Measure.FULL)).isEqualTo(1);
    assertThat(rig.readings(Instant.parse("2026-01-15T12:00:00Z")))
        .contains(new SiteRig.Message("lab/lagoon/waste", "1"))
        .contains(new SiteRig.Message("lab/lagoon/skimmer/cup", "0"));
  }

  // Room.

  /**
   * The well-mixed box: Css = G / (V (a + k)), a half of what escapes of 50 mg/h in 40 m3; with the
   * generator off it falls by e in 1 / (a + k) hours.
   */
  @Test
  void theRoomIsAWellMixedBox() {
    SiteRig rig =
        rig(
            "room: { volume: 40000 L, air-changes-per-hour: 50 %, decay-per-hour: 150 %,"
                + " escapes: 50 % }");
    SimulatedTank tank = dosed(rig, 100 * 3600);
    double settled = 25 / (40 * 2.0);
    assertThat(tank.value(Measure.OZONE_IN_AIR))
        .isCloseTo(OzoneUnits.ppb(settled, 25, 101_325), within(1e-6));
    double before = tank.value(Measure.OZONE_IN_AIR);
    tank.generator(0);
    tank.advanceTo(START + TimeUnit.MINUTES.toNanos(100 * 60 + 30));
    assertThat(tank.value(Measure.OZONE_IN_AIR)).isCloseTo(before / Math.E, within(1e-6));
  }

  // Devices.

  @Test
  void devicesAreWrongAllTheTime() {
    String on = "{\"on\":true,\"for\":30}";
    SiteRig deaf = rig("devices: { generator: deaf }");
    deaf.command(GENERATOR, on, START);
    assertThat(generator(deaf).on()).isFalse();
    SiteRig welded = rig("devices: { generator: welded }");
    welded.command(GENERATOR, on, START);
    lagoon(welded, 3600);
    generator(welded).fault(SimulatedDevice.Fault.WELDED, false);
    welded.command(GENERATOR, "{\"on\":false}", START + TimeUnit.HOURS.toNanos(1));
    assertThat(generator(welded).on()).as("nothing that heals mends it").isTrue();
    assertThat(generator(rig("devices: { generator: wakes-on }")).on()).isTrue();
    SiteRig dead = rig("devices: { generator: unpowered }");
    dead.tank("lagoon").power(true);
    dead.command(GENERATOR, on, START);
    assertThat(generator(dead).on()).isFalse();
    assertThat(dead.takeReports()).isEmpty();
    SiteRig mute = rig("devices: { generator: mute, drain: sound }");
    mute.command(GENERATOR, on, START);
    assertThat(generator(mute).on()).isTrue();
    assertThat(mute.takeReports()).isEmpty();
  }

  private static SimulatedDevice generator(SiteRig rig) {
    return rig.tank("lagoon").device("generator");
  }

  /** What says nothing changes nothing, to the last bit. */
  @Test
  void whatAFileDoesNotSayIsTypical() throws ConfigException {
    Configuration site = ConfigReader.read(Path.of(LAB));
    KeepersTanks tanks =
        new KeepersTanks(
            TankModelReader.read(
                Path.of("m.yaml"),
                "tanks: { lagoon: { } }".getBytes(StandardCharsets.UTF_8),
                site));
    for (TankSpec tank : site.site().tanks()) {
      TankModel typical = new KeepersTanks().apply(tank);
      TankModel own = tanks.apply(tank);
      assertThat(own.redox()).isEqualTo(typical.redox());
      assertThat(own.probes()).isEqualTo(typical.probes());
      assertThat(own.steady()).containsAllEntriesOf(typical.steady());
      assertThat(own.water()).isEqualTo(typical.water());
      assertThat(own.roomAir()).isEqualTo(typical.roomAir());
      assertThat(own.leakFraction()).isEqualTo(typical.leakFraction());
      assertThat(own.fittings()).isEqualTo(typical.fittings());
    }
  }

  /**
   * Nernst's slope of 59.16 mV a unit of pH (25 degC) makes 11.8 mV of a day between pH 8.0 and
   * 8.2; the higher the pH, the lower the redox, so it is highest before the lights.
   */
  @Test
  void theRedoxOfATypicalTankSwingsWithThePhOfItsDay() throws ConfigException {
    TankSpec lagoon = ConfigReader.read(Path.of(LAB)).site().tanks().get(0);
    DailyCourse course = new KeepersTanks().apply(lagoon).redox().course();
    double evening = course.millivolts(7 * 3600, 0);
    double morning = course.millivolts(19 * 3600, 0);
    assertThat(morning - evening)
        .isCloseTo(59.16 * (8.2 - 8.0) + course.driftMillivoltsPerDay() / 2, within(1e-3));
  }
}

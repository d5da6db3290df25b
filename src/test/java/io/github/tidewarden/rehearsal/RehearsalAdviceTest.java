package io.github.tidewarden.rehearsal;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.config.ConfigException;
import io.github.tidewarden.config.ConfigReader;
import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.TankSpec;
import java.nio.file.Path;
import java.time.Duration;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

/**
 * What a keeper is told to change. The lagoon: a band of 340 to 365 mV under a ceiling of 400, 60
 * min of ozone, 10.2 L a day, a level between 180 and 240 mm.
 */
class RehearsalAdviceTest {
  private static final LocalDate FIRST = LocalDate.of(2026, 1, 14);
  private final List<RehearsedNight> nights = new ArrayList<>();
  private final Map<LocalDate, List<String>> storms = new HashMap<>();

  @SuppressWarnings("NullAway.Init") // read before each test
  private SiteSpec site;

  @SuppressWarnings("NullAway.Init") // typical before each test
  private TankModel model;

  private Range redox = range(320, 366);
  private Range level = range(200, 220);
  private double minutes = 40;
  private double out = 10.2;
  private double in = 10.2;
  private Range psu = range(35, 35);
  private double psuAtEnd = 35;
  private double nutrient = 5;
  private Range room = range(0, 4);
  private Map<String, Map<String, Integer>> causes = Map.of();

  @BeforeEach
  void readTheFieldStation() throws ConfigException {
    site = ConfigReader.read(Path.of("config/harbour-lab.yaml")).site();
    model = TankModel.typical(lagoon());
  }

  private TankSpec lagoon() {
    return site.tanks().get(0);
  }

  private void breaks(String device, SimulatedDevice.Fault fault) {
    model =
        model.withFittings(
            new TankModel.Fittings(Map.of(), Map.of(device, fault), 0, Double.POSITIVE_INFINITY));
  }

  /** Without ozone it stays at this, but for the day's swing. */
  private void stands(double millivolts, double swing) {
    model =
        model.withRedox(
            new TankModel.Redox(
                millivolts, millivolts, 2, 1800, 180, new DailyCourse(swing, 0, 0), 0));
  }

  private static Range range(double least, double most) {
    return Range.NOTHING.with(least).with(most);
  }

  private void night() {
    nights.add(
        new RehearsedNight(
            FIRST.plusDays(nights.size()),
            (long) (minutes * TimeUnit.MINUTES.toNanos(1)),
            redox,
            redox,
            out,
            in,
            level,
            psu,
            range(nutrient, nutrient),
            room,
            psuAtEnd,
            nutrient,
            causes));
  }

  private List<String> advice() {
    if (nights.isEmpty()) {
      night();
    }
    Rehearsal.Outcome outcome =
        new Rehearsal.Outcome(Map.of("lagoon", nights), List.of(), 0, storms, 0);
    return RehearsalAdvice.of(lagoon(), model, outcome);
  }

  @Test
  void nothingIsToldWhereAllWentAsItShould() {
    assertThat(advice()).isEmpty();
  }

  @Test
  void redoxAtTheCeilingOrFarOverTheBand() {
    redox = range(320, 400);
    assertThat(advice()).singleElement().asString().startsWith("redox reaches the ceiling");
    nights.clear();
    redox = range(320, 385);
    assertThat(advice())
        .containsExactly("redox runs on for 20 mV after the dose: `stop-above` lower by that much");
  }

  @Test
  void ozoneThatIsNotNeededOrNotEnough() {
    redox = range(341, 350);
    minutes = 0;
    assertThat(advice()).singleElement().asString().startsWith("redox is never under");
    nights.clear();
    redox = range(320, 350);
    assertThat(advice()).singleElement().asString().startsWith("hardly any ozone");
    nights.clear();
    minutes = 60;
    assertThat(advice()).singleElement().asString().startsWith("all ozone of a night is given");
  }

  /** As a rehearsal with such a model gives it: on for a whole night, and over the ceiling. */
  @Test
  void aWeldedGeneratorIsNamedAndNoSettingIsBlamed() {
    breaks("generator", SimulatedDevice.Fault.WELDED);
    redox = range(310, 409);
    minutes = 1440;
    room = range(0, 70);
    causes =
        Map.of(
            "trip", Map.of("redox-ceiling", 1, "room-ozone", 1),
            "latched", Map.of("generator-on-unasked", 1));
    assertThat(advice())
        .containsExactly(
            "generator is broken, by the tank model: it ignores OFF, as a welded contact does, and"
                + " runs until its power is cut: cut it by hand, change its relay, and have a"
                + " second switch before it. No setting of ozone makes that good; rehearse again"
                + " with it mended",
            "generator-on-unasked: the device does not do what it is told: mend it before anything"
                + " else");
  }

  @Test
  void aPumpThatIsBrokenSpoilsTheWaterButNotTheOzone() {
    breaks("drain", SimulatedDevice.Fault.DEAF);
    out = 0;
    in = 0;
    redox = range(320, 385);
    causes = Map.of("latched", Map.of("drain-blocked", 1), "not-again", Map.of("share-missed", 1));
    assertThat(advice())
        .containsExactly(
            "drain is broken, by the tank model: it does not do what it is told: see to its topic,"
                + " its payloads and its network. It reports no `state`, so the daemon cannot tell:"
                + " give it one. No setting of exchange makes that good; rehearse again with it"
                + " mended",
            "redox runs on for 20 mV after the dose: `stop-above` lower by that much");
  }

  /** A device that need not report is none the worse for reporting nothing. */
  @Test
  void aMutePumpWithoutAStateIsNotBroken() {
    breaks("drain", SimulatedDevice.Fault.MUTE);
    assertThat(advice()).isEmpty();
  }

  @Test
  void redoxThatIsHighWithoutOzoneIsNoFaultOfTheDose() {
    stands(390, 6);
    redox = range(384, 396);
    minutes = 0;
    assertThat(advice())
        .singleElement()
        .asString()
        .startsWith("redox is 384 to 396 mV without any ozone, 4 mV under the ceiling")
        .contains("Measure it with a probe that you trust", "needs no ozone", "do not raise")
        .doesNotContain("stop-above", "after the dose", "too low");
    nights.clear();
    stands(398, 6);
    redox = range(392, 404);
    causes = Map.of("trip", Map.of("redox-ceiling", 1));
    assertThat(advice())
        .hasSize(2)
        .anyMatch(line -> line.contains("without any ozone, 4 mV over the ceiling"))
        .contains("redox-ceiling: redox is there without any ozone, see above")
        .noneMatch(line -> line.contains("stop-above"));
  }

  /** High by day alone, and by night lifted further by a dose: both are told, each by its cause. */
  @Test
  void aDoseThatLiftsRedoxOverWhatItIsAloneIsToldToo() {
    stands(350, 20);
    redox = range(330, 395);
    assertThat(advice())
        .hasSize(2)
        .anyMatch(line -> line.startsWith("redox is 330 to 370 mV without any ozone"))
        .contains("redox runs on for 25 mV after the dose: `stop-above` lower by that much");
  }

  @Test
  void ozoneInTheRoom() {
    room = range(0, 61);
    assertThat(advice()).singleElement().asString().contains("61 ppb", "air the room");
  }

  @Test
  void waterThatIsMissedApartOrAtTheWrongLevel() {
    out = 9;
    in = 9;
    assertThat(advice()).singleElement().asString().startsWith("11.8 % of the share is missed");
    nights.clear();
    out = 10.2;
    in = 9.8;
    assertThat(advice()).singleElement().asString().contains("10.20 L go out", "`calibrate`");
    nights.clear();
    in = 10.2;
    level = range(179, 220);
    assertThat(advice()).singleElement().asString().contains("the level leaves `keep-between`");
  }

  @Test
  void saltThatMoves() {
    psuAtEnd = 34.5;
    assertThat(advice()).singleElement().asString().startsWith("salinity falls by 0.50 PSU");
    nights.clear();
    psuAtEnd = 35.5;
    assertThat(advice()).singleElement().asString().startsWith("salinity rises by 0.50 PSU");
  }

  /** Source: mass balance, it settles at P / Q: 0.5 mg/L a day by 3 % a day, 16.7 mg/L. */
  @Test
  void aNutrientThatGrowsIsToldWithWhereItSettles() {
    for (int i = 0; i < 7; i++) {
      nutrient = 5 + 0.3 * i;
      night();
    }
    assertThat(advice())
        .containsExactly(
            "what feeding adds grows from 5.0 to 6.8 mg/L and settles at 16.7: a larger `per-day`,"
                + " or less food");
  }

  @Test
  void whatStoppedIsToldWithWhatToDoOnceForEachRemedy() {
    causes =
        Map.of(
            "trip", Map.of("level-low", 2, "probes-apart", 1),
            "notice", Map.of("probes-apart-notice", 3),
            "latched", Map.of("generator-unconfirmed", 1),
            "silent", Map.of("sump-silent", 1));
    assertThat(advice())
        .containsExactlyInAnyOrder(
            "level-low: see to top-off, or to `keep-between`",
            "probes-apart, probes-apart-notice: clean and calibrate the probes",
            "generator-unconfirmed: the device does not do what it is told: mend it before anything"
                + " else",
            "sump-silent: see to the sensor, its network and its `stale-after`");
  }

  @Test
  void nightsWithFaultsGiveNoAdvice() {
    causes = Map.of("trip", Map.of("leak", 1));
    storms.put(FIRST, List.of("a wet floor"));
    assertThat(advice()).singleElement().asString().contains("rehearse without them");
  }

  @Test
  void theTextTellsTripsByTheirCause() {
    causes = Map.of("trip", Map.of("level-low", 2), "notice", Map.of("redox-low", 1));
    night();
    Rehearsal.Outcome outcome =
        new Rehearsal.Outcome(Map.of("lagoon", nights, "nursery", nights), List.of(), 0, storms, 0);
    Rehearsal.Task task =
        new Rehearsal.Task(
            site,
            site,
            TankModel::typical,
            FIRST,
            1,
            1,
            Duration.ofSeconds(5),
            Duration.ofSeconds(5),
            false);
    assertThat(RehearsalText.of(task, outcome, 1, ""))
        .contains(
            "trips by cause: level-low 2x\n",
            "notice: redox-low 1x\n",
            "nights without incident: 0 of 1\n",
            "peak of a night: 366 to 366 mV",
            "air of the room: at most 4.0 ppb",
            "35.00 to 35.00 PSU, 35.00 at the end",
            "5.0 mg/L in the first night, 5.0 in the last, 5.0 at the end");
  }
}

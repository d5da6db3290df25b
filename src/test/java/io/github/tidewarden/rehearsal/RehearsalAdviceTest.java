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
    TankSpec lagoon = site.tanks().get(0);
    Rehearsal.Outcome outcome =
        new Rehearsal.Outcome(Map.of("lagoon", nights), List.of(), 0, storms, 0);
    return RehearsalAdvice.of(lagoon, TankModel.typical(lagoon), outcome);
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
    assertThat(RehearsalText.of(task, outcome, 1))
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

package io.github.tidewarden.config;

import static io.github.tidewarden.interlock.Arming.ALWAYS;
import static io.github.tidewarden.interlock.Arming.RUNNING;
import static io.github.tidewarden.interlock.Arming.WANTED;
import static io.github.tidewarden.interlock.TankFunction.EXCHANGE;
import static io.github.tidewarden.interlock.TankFunction.OZONE;
import static io.github.tidewarden.interlock.TankFunction.TOP_OFF;
import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.interlock.Condition;
import io.github.tidewarden.interlock.Condition.Above;
import io.github.tidewarden.interlock.Condition.AnyOf;
import io.github.tidewarden.interlock.Condition.Apart;
import io.github.tidewarden.interlock.Condition.Below;
import io.github.tidewarden.interlock.Condition.Is;
import io.github.tidewarden.interlock.Condition.Not;
import io.github.tidewarden.interlock.Condition.Outside;
import io.github.tidewarden.interlock.InterlockSpec;
import io.github.tidewarden.interlock.TankFunction;
import java.util.List;
import java.util.Set;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;

/** What the sensors of the shipped configuration bring with them; SAFETY.md prints the defaults. */
class StandardInterlocksTest {
  private static final Set<TankFunction> ALL = Set.of(OZONE, EXCHANGE, TOP_OFF);

  @Test
  void theLagoonHasEveryStandardInterlockInOrder() throws ConfigException {
    ConfigText full =
        ConfigText.lab().withSensorsInTheBin().withWaste().withSkimmer("{ cup: skimmer-cup }");

    assertThat(full.read().site().tanks().get(0).interlocks())
        .extracting(InterlockSpec::name)
        .containsExactlyElementsOf(StandardInterlocks.NAMES);
    assertThat(interlocks(0))
        .extracting(InterlockSpec::name)
        .doesNotContain(
            "new-water-salinity", "new-water-temperature", "waste-full", "skimmer-cup-full");
  }

  @Test
  void redoxAtTheCeilingRestsAtOnceAndLatchesTwentyMillivoltsOver() throws ConfigException {
    assertThat(interlock("redox-ceiling"))
        .isEqualTo(
            new InterlockSpec(
                "redox-ceiling",
                both(400),
                ALWAYS,
                false,
                0,
                new Not(both(340)),
                minutes(10),
                both(420),
                seconds(30),
                3,
                Set.of(OZONE)));
    assertThat(interlock("redox-low"))
        .isEqualTo(
            new InterlockSpec(
                "redox-low",
                new AnyOf(List.of(new Below("redox-a", 200), new Below("redox-b", 200))),
                WANTED,
                true,
                0,
                null,
                0,
                null,
                0,
                0,
                Set.of(OZONE)));
  }

  @Test
  void probesApartAreToldAtThirtyAndStopAtSixtyMillivolts() throws ConfigException {
    List<String> probes = List.of("redox-a", "redox-b");

    assertThat(interlock("probes-apart-notice"))
        .isEqualTo(
            new InterlockSpec(
                "probes-apart-notice",
                new Apart(probes, 30),
                WANTED,
                true,
                minutes(1),
                null,
                0,
                null,
                0,
                0,
                Set.of()));
    assertThat(interlock("probes-apart"))
        .isEqualTo(
            new InterlockSpec(
                "probes-apart",
                new Apart(probes, 60),
                WANTED,
                false,
                0,
                null,
                minutes(10),
                new Apart(probes, 60),
                minutes(10),
                0,
                Set.of(OZONE)));
  }

  @Test
  void airAndCirculationTripWhileRunning() throws ConfigException {
    Condition air = new Below("skimmer-air", 3);
    assertThat(interlock("air-lost"))
        .isEqualTo(
            new InterlockSpec(
                "air-lost",
                air,
                RUNNING,
                false,
                seconds(5),
                null,
                minutes(10),
                air,
                seconds(30),
                0,
                Set.of(OZONE)));
    assertThat(interlock("circulation-lost"))
        .isEqualTo(
            new InterlockSpec(
                "circulation-lost",
                new Is("circulation", false),
                RUNNING,
                false,
                seconds(5),
                null,
                minutes(10),
                null,
                0,
                0,
                ALL));
  }

  @Test
  void ozoneInTheRoomIsToldAtFiftyAndLatchesAtAHundredPpb() throws ConfigException {
    assertThat(interlock("room-ozone-notice"))
        .isEqualTo(
            new InterlockSpec(
                "room-ozone-notice",
                new Above("room-ozone", 50),
                ALWAYS,
                true,
                minutes(5),
                null,
                0,
                null,
                0,
                0,
                Set.of()));
    assertThat(interlock("room-ozone"))
        .isEqualTo(
            new InterlockSpec(
                "room-ozone",
                new Above("room-ozone", 100),
                ALWAYS,
                false,
                seconds(30),
                null,
                0,
                new Above("room-ozone", 100),
                seconds(30),
                0,
                Set.of(OZONE)));
  }

  @Test
  void leakAndHighLevelStopEverything() throws ConfigException {
    Condition wet = new Is("floor", true);
    assertThat(interlock("leak"))
        .isEqualTo(new InterlockSpec("leak", wet, ALWAYS, false, 0, null, 0, wet, 0, 0, ALL));
    Condition high = new Above("sump", 240);
    assertThat(interlock("level-high"))
        .isEqualTo(
            new InterlockSpec(
                "level-high",
                high,
                ALWAYS,
                false,
                0,
                null,
                0,
                new Condition.AllOf(List.of(high, new Is("circulation", true))),
                seconds(600),
                0,
                ALL));
  }

  @Test
  void withoutACirculationSensorAHighLevelLatchesAfterHalfAMinute() throws ConfigException {
    Condition high = new Above("sump", 130);
    assertThat(interlocks(1).stream().filter(spec -> spec.name().equals("level-high")).findFirst())
        .contains(
            new InterlockSpec(
                "level-high", high, ALWAYS, false, 0, null, 0, high, seconds(30), 0, ALL));
  }

  @Test
  void lowLevelNewWaterAndSalinityStopTheExchange() throws ConfigException {
    assertThat(interlock("level-low"))
        .isEqualTo(exchange("level-low", new Below("sump", 180), true));
    assertThat(interlock("new-water-low"))
        .isEqualTo(exchange("new-water-low", new Below("new-water", 5), false));
    assertThat(interlock("salinity-off"))
        .isEqualTo(exchange("salinity-off", new Outside("salinity", 33.5, 36.5), false));
  }

  /** F17 of the hazards: 2 K; the bin's salinity to 1 PSU is our choice. */
  @Test
  void newWaterOfTheWrongSalinityOrTemperatureStopsTheExchange() throws ConfigException {
    ConfigText text = ConfigText.lab().withSensorsInTheBin();

    assertThat(named(text, "new-water-salinity"))
        .isEqualTo(exchange("new-water-salinity", new Outside("bin-salinity", 34, 36), false));
    assertThat(named(text, "new-water-temperature"))
        .isEqualTo(
            exchange(
                "new-water-temperature", new Apart(List.of("bin-warmth", "warmth"), 2), false));
  }

  @Test
  void wasteThatIsFullStopsTheExchange() throws ConfigException {
    assertThat(named(ConfigText.lab().withWaste(), "waste-full"))
        .isEqualTo(exchange("waste-full", new Is("waste", true), true));
  }

  @Test
  void onlyASalinityThatIsKeptCanBeOff() throws ConfigException {
    ConfigText text = ConfigText.lab().withSensorsInTheBin();

    assertThat(named(text, "salinity-off").cause()).isEqualTo(new Outside("salinity", 33.5, 36.5));
    assertThat(
            named(
                    text.with(
                        "bin/salinity, measures: salinity, unit: PSU",
                        "bin/salinity, measures: salinity, unit: PSU, keep-between: [30 PSU, 40 PSU]"),
                    "salinity-off")
                .cause())
        .isEqualTo(
            new AnyOf(
                List.of(new Outside("salinity", 33.5, 36.5), new Outside("bin-salinity", 30, 40))));
  }

  @Test
  void aSensorThatIsNotThereBringsNothing() throws ConfigException {
    assertThat(interlocks(1))
        .extracting(InterlockSpec::name)
        .containsExactly("leak", "level-high", "level-low");
  }

  @Test
  void severalSensorsOfAKindShareOneInterlock() throws ConfigException {
    Configuration read =
        ConfigText.lab()
            .with(
                "      floor:       {",
                "      wall: { topic: lab/lagoon/wall, measures: leak, states: { wet: \"1\", dry:"
                    + " \"0\" } }\n      floor:       {")
            .read();

    assertThat(
            read.site().tanks().get(0).interlocks().stream()
                .filter(spec -> spec.name().equals("leak"))
                .map(InterlockSpec::cause))
        .containsExactly(new AnyOf(List.of(new Is("wall", true), new Is("floor", true))));
  }

  private static InterlockSpec exchange(String name, Condition cause, boolean always) {
    return new InterlockSpec(
        name,
        cause,
        always ? ALWAYS : RUNNING,
        false,
        0,
        null,
        minutes(10),
        null,
        0,
        0,
        Set.of(EXCHANGE));
  }

  private static Condition both(double millivolts) {
    return new AnyOf(List.of(new Above("redox-a", millivolts), new Above("redox-b", millivolts)));
  }

  private static InterlockSpec interlock(String name) throws ConfigException {
    return named(ConfigText.lab(), name);
  }

  private static InterlockSpec named(ConfigText text, String name) throws ConfigException {
    return text.read().site().tanks().get(0).interlocks().stream()
        .filter(spec -> spec.name().equals(name))
        .findFirst()
        .orElseThrow();
  }

  private static List<InterlockSpec> interlocks(int tank) throws ConfigException {
    return ConfigText.lab().read().site().tanks().get(tank).interlocks();
  }

  private static long seconds(long seconds) {
    return TimeUnit.SECONDS.toNanos(seconds);
  }

  private static long minutes(long minutes) {
    return TimeUnit.MINUTES.toNanos(minutes);
  }
}

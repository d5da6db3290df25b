package io.github.tidewarden.config;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.interlock.Condition;
import io.github.tidewarden.interlock.InterlockSpec;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.SensorSpec;
import java.nio.file.Path;
import java.time.DayOfWeek;
import java.time.LocalTime;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** What is read from values that are right. */
class ReadingValuesTest {
  private static final String REDOX_A = "{ topic: lab/lagoon/redox/a, measures: redox }";

  /** Published factors: SI Brochure, 9th edition, tables 7 and 8; UCUM for [ppb] and [ppm]. */
  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "level, unit: mm, pointer | level, unit: cm, pointer | sump | 10",
        "level, unit: mm, pointer | level, unit: m, pointer | sump | 1000",
        "unit: L/min | unit: L/h | skimmer-air | 0.016666666666666666",
        "unit: L/min | unit: mL/min | skimmer-air | 0.001",
        "unit: ppb | unit: ppm | room-ozone | 1000",
        "volume, unit: L | volume, unit: mL | new-water | 0.001"
      })
  void payloadUnitsAreScaledToTheCores(String old, String changed, String sensor, double scale)
      throws ConfigException {
    ConfigText text = ConfigText.lab().with(old, changed);

    assertThat(sensor(text, sensor).scale()).isEqualTo(scale);
  }

  @Test
  void redoxIsInMillivoltsUnlessItSaysVolts() throws ConfigException {
    assertThat(sensor(ConfigText.lab(), "redox-a").scale()).isEqualTo(1);
    assertThat(
            sensor(
                ConfigText.lab()
                    .with(
                        REDOX_A,
                        "{ topic: a, measures: redox, unit: V, plausible: [0.1 V, 650 mV] }"),
                "redox-a"))
        .satisfies(
            spec -> {
              assertThat(spec.scale()).isEqualTo(1000);
              assertThat(spec.plausibleLow()).isEqualTo(100);
              assertThat(spec.plausibleHigh()).isEqualTo(650);
            });
  }

  @Test
  void defaultsComeFromWhatIsMeasured() throws ConfigException {
    for (SensorSpec spec : ConfigText.lab().read().site().tanks().get(0).sensors()) {
      Measure measure = spec.measure();
      assertThat(spec.plausibleLow()).isEqualTo(measure.plausibleLow());
      assertThat(spec.plausibleHigh()).isEqualTo(measure.plausibleHigh());
      assertThat(spec.staleNanos()).isEqualTo(measure.staleNanos());
      assertThat(spec.latchWhenSilentNanos()).isZero();
      assertThat(spec.sequencePointer()).isEmpty();
      assertThat(spec.timePointer()).isEmpty();
    }
  }

  @Test
  void everythingOptionalOfASensorIsTaken() throws ConfigException {
    String full =
        "{ topic: lab/lagoon/redox/a, measures: redox, pointer: /value, stale-after: 20 s,"
            + " latch-when-silent: 10 min, sequence: /n, time: /at }";

    SensorSpec spec = sensor(ConfigText.lab().with(REDOX_A, full), "redox-a");

    assertThat(spec.pointer()).isEqualTo("/value");
    assertThat(spec.staleNanos()).isEqualTo(TimeUnit.SECONDS.toNanos(20));
    assertThat(spec.latchWhenSilentNanos()).isEqualTo(TimeUnit.MINUTES.toNanos(10));
    assertThat(spec.sequencePointer()).isEqualTo("/n");
    assertThat(spec.timePointer()).isEqualTo("/at");
    assertThat(sensor(ConfigText.lab(), "circulation").states())
        .isEqualTo(Map.of("1", true, "0", false));
  }

  @Test
  void theSameTopicMayBeReadAtTwoPointers() throws ConfigException {
    assertThat(
            sensor(ConfigText.lab().with("lab/lagoon/redox/b", "lab/lagoon/redox/a"), "redox-b")
                .topic())
        .isEqualTo("lab/lagoon/redox/a");
  }

  @Test
  void anExchangeIsReadInLitres() throws ConfigException {
    ExchangeSpec exchange =
        Objects.requireNonNull(ConfigText.lab().read().site().tanks().get(0).exchange());

    assertThat(exchange.kind()).isEqualTo(ExchangeSpec.Kind.PORTIONS);
    assertThat(exchange.litresPerDay()).isCloseTo(0.03 * 340, within(1e-9));
    assertThat(exchange.portionLitres()).isEqualTo(0.5);
    assertThat(exchange.drain()).isEqualTo(new ExchangeSpec.Pump("drain", 0.25));
    assertThat(exchange.fill()).isEqualTo(new ExchangeSpec.Pump("fill", 0.25));
    assertThat(exchange.level()).isEqualTo(new ExchangeSpec.Level("sump", 0.12, 180, 240));
    assertThat(exchange.bin())
        .isEqualTo(
            new ExchangeSpec.Bin(
                "lagoon", 120, 35, 1, 4 * 3_600_000_000_000L, "new-water", null, null));
    assertThat(exchange.imbalanceLitres()).isCloseTo(0.005 * 340, within(1e-9));
    assertThat(
            Objects.requireNonNull(
                    ConfigText.lab()
                        .with("      per-day: 3 %", "      kind: paired\n      per-day: 3 %")
                        .read()
                        .site()
                        .tanks()
                        .get(0)
                        .exchange())
                .kind())
        .isEqualTo(ExchangeSpec.Kind.PAIRED);
  }

  @Test
  void ozoneAndExchangeGoTogetherOnlyWhereAllowed() throws ConfigException {
    assertThat(exchange(ConfigText.lab()).whileOzone()).isFalse();
    assertThat(
            exchange(
                    ConfigText.lab()
                        .with("per-day: 3 %", "per-day: 3 %\n      while-ozone: allowed"))
                .whileOzone())
        .isTrue();
  }

  @Test
  void aSensorThatIsNamedStandsInTheBinAndNotInTheTank() throws ConfigException {
    ExchangeSpec exchange = exchange(ConfigText.lab().withSensorsInTheBin());

    assertThat(exchange.bin().salinitySensor()).isEqualTo("bin-salinity");
    assertThat(exchange.bin().temperatureSensor()).isEqualTo("bin-warmth");
    assertThat(exchange.bin().volumeSensor()).isEqualTo("new-water");
    assertThat(exchange.salinitySensor()).isEqualTo("salinity");
    assertThat(exchange.temperatureSensor()).isEqualTo("warmth");
  }

  @Test
  void theTemperatureOfTheRoomIsNotThatOfTheTank() throws ConfigException {
    String room = "  gallery:\n";
    ConfigText text =
        ConfigText.lab()
            .with(
                room,
                room
                    + "    warmth: { topic: lab/gallery/air, measures: temperature, unit: Cel }\n");

    assertThat(exchange(text).temperatureSensor()).isNull();
    assertThat(text.read().site().tanks().get(0).sensors())
        .extracting(SensorSpec::name)
        .contains("warmth");
  }

  @Test
  void newWaterMixesForFourHoursOrAsLongAsTheKeeperSays() throws ConfigException {
    assertThat(exchange(ConfigText.lab()).bin().mixNanos()).isEqualTo(TimeUnit.HOURS.toNanos(4));
    for (String mixed : List.of("0 s", "36 h", "7 d")) {
      assertThat(
              exchange(ConfigText.lab().with("holds: 120 L", "holds: 120 L, mixed-for: " + mixed))
                  .bin()
                  .mixNanos())
          .isEqualTo(
              mixed.equals("0 s") ? 0 : TimeUnit.HOURS.toNanos(mixed.equals("7 d") ? 168 : 36));
    }
  }

  /** Means over 40 s of at least three readings, as exchange.Gauge takes them. */
  @Test
  void aLevelThatMayBeOldIsToldHowOftenItMustReport() throws ConfigException {
    String told =
        "tank lagoon: the exchange goes by the level of sump, which needs a reading at least every"
            + " 10 s whatever its `stale-after`, else no pump runs";
    String sump = "pointer: /depth, volume-per-mm";

    assertThat(
            ConfigText.lab()
                .with(sump, "pointer: /depth, stale-after: 31 s, volume-per-mm")
                .read()
                .notices())
        .contains(told);
    assertThat(
            ConfigText.lab()
                .with(sump, "pointer: /depth, stale-after: 30 s, volume-per-mm")
                .read()
                .notices())
        .doesNotContain(told);
  }

  @Test
  void mostPerNightMayBeAMass() throws ConfigException {
    OzoneSpec ozone =
        ozone(ConfigText.lab().with("most-per-night: 60 min", "most-per-night: 25 mg"));

    assertThat(ozone.mostPerNightNanos()).isEqualTo(TimeUnit.MINUTES.toNanos(30));
  }

  @Test
  void aReservationIsNeverLargerThanTheNightsAllowance() throws ConfigException {
    OzoneSpec ozone =
        ozone(ConfigText.lab().with("most-per-night: 60 min", "most-per-night: 3 min"));

    assertThat(ozone.quantumNanos()).isEqualTo(TimeUnit.MINUTES.toNanos(3));
  }

  @Test
  void shortestTimesAndDaysAreTaken() throws ConfigException {
    OzoneSpec ozone =
        ozone(
            ConfigText.lab()
                .with(
                    "ceiling: 400 mV",
                    "ceiling: 400 mV\n      shortest-on: 2 min\n      shortest-off: 1 h\n     ")
                .with("to: \"03:00\" }", "to: \"03:00\", days: [fri, mon] }"));

    assertThat(ozone.shortestOnNanos()).isEqualTo(TimeUnit.MINUTES.toNanos(2));
    assertThat(ozone.shortestOffNanos()).isEqualTo(TimeUnit.HOURS.toNanos(1));
    assertThat(ozone.windows().get(0).days()).isEqualTo(Set.of(DayOfWeek.MONDAY, DayOfWeek.FRIDAY));
  }

  /** Doses end by the band alone unless a file says that they teach. */
  @Test
  void aTankLearnsWhereItIsAskedTo() throws ConfigException {
    assertThat(ozone(ConfigText.lab()).firstDoseNanos()).isZero();
    assertThat(
            ozone(
                    ConfigText.lab()
                        .with("ceiling: 400 mV", "ceiling: 400 mV\n      learning: {}\n     "))
                .firstDoseNanos())
        .isEqualTo(TimeUnit.SECONDS.toNanos(30));
    assertThat(
            ozone(
                    ConfigText.lab()
                        .with(
                            "ceiling: 400 mV",
                            "ceiling: 400 mV\n      learning: { first-dose: 1 min }\n     "))
                .firstDoseNanos())
        .isEqualTo(TimeUnit.MINUTES.toNanos(1));
  }

  /**
   * What a ceiling must be below, 450 mV against Ag/AgCl 3 M KCl (207 mV vs SHE at 25 degC), read
   * against the others: 206, 205, 199, 244, 283 and 0 mV vs SHE. Source: meter manuals and Sawyer,
   * Sobkowiak and Roberts 1995, as tabled in {@code science.Electrodes}.
   */
  @ParameterizedTest
  @CsvSource({
    "Ag/AgCl 3 M KCl, 450",
    "Ag/AgCl 3.33 M KCl, 451",
    "Ag/AgCl 3.5 M KCl, 452",
    "Ag/AgCl saturated KCl, 458",
    "calomel saturated KCl, 413",
    "calomel 1 M KCl, 374",
    "SHE, 657"
  })
  void theCeilingIsBoundedAgainstItsOwnReference(String reference, int most)
      throws ConfigException {
    String band =
        reference.equals("SHE")
            ? "start-below: 540 mV, stop-above: 565 mV"
            : "start-below: 340 mV, stop-above: 365 mV";
    ConfigText text =
        ConfigText.lab()
            .with("redox-ceiling: 430 mV", "redox-ceiling: 450 mV")
            .with("reference: Ag/AgCl 3 M KCl", "reference: " + reference)
            .with("start-below: 340 mV, stop-above: 365 mV", band);

    OzoneSpec highest = ozone(text.with("ceiling: 400 mV", "ceiling: " + (most - 1) + ".9 mV"));
    assertThat(highest.ceilingMillivolts()).isEqualTo(most - 0.1);
    assertThat(highest.reference()).isEqualTo(reference);
    assertThat(text.with("ceiling: 400 mV", "ceiling: " + most + " mV").complaints())
        .singleElement()
        .satisfies(
            complaint ->
                assertThat(complaint.right())
                    .isEqualTo("under " + most + " mV against this reference"));
  }

  @Test
  void redoxLowIsAgainstTheTanksReferenceToo() throws ConfigException {
    TankSpec tank =
        ConfigText.lab()
            .with("reference: Ag/AgCl 3 M KCl", "reference: SHE")
            .with(
                "start-below: 340 mV, stop-above: 365 mV",
                "start-below: 540 mV, stop-above: 565 mV")
            .with("ceiling: 400 mV", "ceiling: 600 mV")
            .read()
            .site()
            .tanks()
            .get(0);

    assertThat(tank.interlocks())
        .filteredOn(spec -> spec.name().equals("redox-low"))
        .extracting(InterlockSpec::cause)
        .containsExactly(
            new Condition.AnyOf(
                List.of(new Condition.Below("redox-a", 407), new Condition.Below("redox-b", 407))));
  }

  @Test
  void aProbeThatCannotBeBelievedAtTheLatchIsComplainedAbout() {
    ConfigText text =
        ConfigText.lab()
            .with(
                REDOX_A,
                "{ topic: lab/lagoon/redox/a, measures: redox, plausible: [50 mV, 420 mV] }")
            .with("ceiling: 400 mV", "ceiling: «400 mV");

    assertThat(text.complaints())
        .singleElement()
        .satisfies(
            complaint ->
                assertThat(complaint.wrong())
                    .isEqualTo("what is plausible for `redox-a` ends below the latch at 420 mV"));
  }

  @Test
  void warnsOfAStrongGeneratorOfASingleProbeAndOfStartsInQuickSuccession() throws ConfigException {
    assertThat(ConfigText.lab().with("50 mg/h", "51 mg/h").read().notices())
        .noneMatch(notice -> notice.contains("mg/h for each litre"));
    assertThat(ConfigText.lab().with("50 mg/h", "51.1 mg/h").read().notices())
        .anyMatch(
            notice ->
                notice.startsWith(
                    "tank lagoon: the generator makes 0.150 mg/h for each litre, over 0.15"));
    assertThat(ConfigText.lab().with("      redox-b:", "#").read().notices())
        .anyMatch(notice -> notice.startsWith("tank lagoon: one redox probe only"));
    ConfigText quick =
        ConfigText.lab()
            .with(
                "ceiling: 400 mV",
                "ceiling: 400 mV\n      shortest-on: 30 s\n      shortest-off: 45 s\n     ");
    assertThat(quick.read().notices())
        .contains("tank lagoon: a dose may start every 75 s, which is hard on relay and generator");
  }

  @Test
  void theBrokerAndTheClockAreTakenAsWritten() throws ConfigException {
    Configuration read =
        ConfigText.lab()
            .with("mqtt://localhost:1883", "mqtts://broker.example")
            .with("  user: tidewarden\n  password-file: /etc/tidewarden/broker.password\n", "")
            .with("trusted-when: synchronised", "trusted-when: synchronised, marker: /run/clock/ok")
            .with("\"07:00\"", "\"06:45\"")
            .read();

    assertThat(read.broker()).isEqualTo(new BrokerSpec("broker.example", 8883, true, "", null));
    assertThat(read.broker().url()).isEqualTo("mqtts://broker.example:8883");
    assertThat(read.clock())
        .isEqualTo(new ClockSpec(ClockSpec.TrustedWhen.SYNCHRONISED, Path.of("/run/clock/ok")));
    assertThat(read.reviewAt()).isEqualTo(LocalTime.of(6, 45));
    assertThat(
            ConfigText.lab()
                .with("trusted-when: synchronised", "trusted-when: battery-backed")
                .read()
                .clock()
                .trustedWhen())
        .isEqualTo(ClockSpec.TrustedWhen.BATTERY_BACKED);
  }

  @Test
  void windowsThatTouchOrLieOnOtherDaysDoNotOverlap() throws ConfigException {
    String old = "{ from: \"01:30\", to: \"03:00\" }";
    assertThat(
            ozone(
                    ConfigText.lab()
                        .with(
                            old,
                            old
                                + ", { from: \"03:00\", to: \"04:00\" }, { from: \"22:00\", to:"
                                + " \"01:30\" }"))
                .windows())
        .hasSize(3);
    assertThat(
            ozone(
                    ConfigText.lab()
                        .with(
                            old,
                            "{ from: \"01:30\", to: \"03:00\", days: [mon] }, { from: \"02:00\","
                                + " to: \"03:00\", days: [tue] }"))
                .windows())
        .hasSize(2);
  }

  private static OzoneSpec ozone(ConfigText text) throws ConfigException {
    OzoneSpec ozone = text.read().site().tanks().get(0).ozone();
    assertThat(ozone).isNotNull();
    return ozone;
  }

  private static ExchangeSpec exchange(ConfigText text) throws ConfigException {
    return Objects.requireNonNull(text.read().site().tanks().get(0).exchange());
  }

  private static SensorSpec sensor(ConfigText text, String name) throws ConfigException {
    return text.read().site().tanks().get(0).sensors().stream()
        .filter(spec -> spec.name().equals(name))
        .findFirst()
        .orElseThrow();
  }
}

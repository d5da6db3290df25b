package io.github.tidewarden.config;

import static org.assertj.core.api.Assertions.assertThat;
import static org.junit.jupiter.params.provider.Arguments.arguments;

import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.interlock.Condition.Below;
import io.github.tidewarden.interlock.Condition.Is;
import io.github.tidewarden.interlock.InterlockSpec;
import io.github.tidewarden.sensing.SensorSpec;
import java.util.List;
import java.util.Objects;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.Arguments;
import org.junit.jupiter.params.provider.MethodSource;

/** Equipment that several tanks use for their exchange. */
class SharedEquipmentTest {
  private static final String LAGOON_BIN = "      new-water: { holds: 120 L, salinity: 35 PSU }\n";
  private static final String NURSERY_BIN = "      new-water: { holds: 25 L, salinity: 35 PSU }\n";
  private static final String CELLAR_BIN = "    new-water: { holds: 200 L, salinity: 34 PSU }\n";

  private static ConfigText cellar() {
    return ConfigText.lab().withCellar();
  }

  @Test
  void eachTankThatSharesItHasItsSensorsItsBinAndItsInterlocks() throws ConfigException {
    Configuration read = cellar().read();
    List<TankSpec> tanks = read.site().tanks();

    for (TankSpec tank : tanks) {
      ExchangeSpec exchange = exchange(tank);
      assertThat(exchange.shares()).containsExactly("cellar");
      assertThat(exchange.bin())
          .isEqualTo(
              new ExchangeSpec.Bin(
                  "cellar", 200, 34, 1, TimeUnit.HOURS.toNanos(4), "cellar-volume", null, null));
      assertThat(tank.interlocks())
          .filteredOn(spec -> spec.name().equals("new-water-low"))
          .extracting(InterlockSpec::cause)
          .containsExactly(new Below("cellar-volume", 10));
      assertThat(tank.interlocks())
          .filteredOn(spec -> spec.name().equals("waste-full"))
          .extracting(InterlockSpec::cause)
          .containsExactly(new Is("cellar-waste", true));
    }
    assertThat(tanks.get(0).sensors())
        .extracting(SensorSpec::name)
        .startsWith("room-ozone", "cellar-volume", "cellar-waste", "redox-a");
    assertThat(tanks.get(1).sensors())
        .extracting(SensorSpec::name)
        .containsExactly("cellar-volume", "cellar-waste", "sump", "floor");
    assertThat(tanks.get(1).sensors().get(0)).isEqualTo(tanks.get(0).sensors().get(1));
    assertThat(read.notices()).noneMatch(notice -> notice.startsWith("shared"));
  }

  @Test
  void aTankThatSharesNoBinHasItsOwn() throws ConfigException {
    ConfigText text =
        ConfigText.lab()
            .with("\ntanks:\n", "\nshared: { drain-line: {} }\ntanks:\n")
            .with("    water: 340 L", "    shares: [drain-line]\n    water: 340 L");

    ExchangeSpec exchange = exchange(text.read().site().tanks().get(0));
    assertThat(exchange.shares()).containsExactly("drain-line");
    assertThat(exchange.bin().name()).isEqualTo("lagoon");
    assertThat(exchange(text.read().site().tanks().get(1)).shares()).isEmpty();
  }

  @Test
  void aSharedLevelIsThatOfTheSumpOfEachTank() throws ConfigException {
    ConfigText text =
        cellar()
            .with(
                "    sensors:\n      cellar-volume",
                "    sensors:\n      common: { topic: lab/common, measures: level, unit: mm,"
                    + " volume-per-mm: 60 mL, keep-between: [100 mm, 200 mm] }\n"
                    + "      cellar-volume")
            .with("      sump:  {", "#")
            .with("      per-day: 3 %", "      level-sensor: common\n      per-day: 3 %");

    for (TankSpec tank : text.read().site().tanks()) {
      assertThat(exchange(tank).level())
          .isEqualTo(new ExchangeSpec.Level("common", 0.06, 100, 200));
    }
  }

  @Test
  void aBinsSensorsAreThoseOfItsOwnEquipment() throws ConfigException {
    ConfigText text =
        cellar()
            .with(
                "      cellar-waste:",
                """
                      cellar-salt: { topic: lab/cellar/salt, measures: salinity, unit: PSU }
                      cellar-warmth: { topic: lab/cellar/warmth, measures: temperature, unit: Cel }
                """
                    + "      cellar-waste:")
            .with(
                "salinity: 34 PSU }",
                "salinity: 34 PSU, salinity-sensor: cellar-salt, temperature-sensor: cellar-warmth }")
            .with("      floor:       {", WARMTH + "      floor:       {")
            .with("      floor: {", WARMTH.replace("lagoon", "nursery") + "      floor: {");

    for (TankSpec tank : text.read().site().tanks()) {
      ExchangeSpec exchange = exchange(tank);
      assertThat(exchange.bin().salinitySensor()).isEqualTo("cellar-salt");
      assertThat(exchange.bin().temperatureSensor()).isEqualTo("cellar-warmth");
      assertThat(exchange.temperatureSensor()).isEqualTo("warmth");
    }
    assertThat(exchange(text.read().site().tanks().get(0)).salinitySensor()).isEqualTo("salinity");
    assertThat(exchange(text.read().site().tanks().get(1)).salinitySensor()).isNull();
    complainsOnce(
        text.with("      warmth: { topic: lab/nursery", "#").with(NURSERY_EXCHANGE, MARKED),
        "the tank has no temperature to compare that of its new water with",
        "or take `temperature-sensor` out");
  }

  private static final String WARMTH =
      "      warmth: { topic: lab/lagoon/warmth, measures: temperature, unit: Cel }\n";
  private static final String NURSERY_EXCHANGE = "    exchange:\n";
  private static final String MARKED = "    «exchange:\n";

  @Test
  void whatNoTankSharesIsTold() throws ConfigException {
    assertThat(
            ConfigText.lab()
                .with("\ntanks:\n", "\nshared: { drain-line: {} }\ntanks:\n")
                .read()
                .notices())
        .contains("shared drain-line: no tank shares it");
  }

  @Test
  void aDefaultThatIsLooserIsTold() throws ConfigException {
    assertThat(cellar().with("measures: full,", "measures: full, stale-after: 15 min,").read())
        .satisfies(
            read ->
                assertThat(read.notices())
                    .contains(
                        "shared cellar: `stale-after` of cellar-waste is 15 min, looser than the"
                            + " standard 10 min"));
  }

  static Stream<Arguments> mistakes() {
    String lagoon = "    shares: [cellar]\n    water: 340 L";
    return Stream.of(
        arguments(
            lagoon, lagoon.replace("cellar", "«celar"), "`shares` is \"celar\"", "write `cellar`"),
        arguments(
            lagoon,
            lagoon.replace("[cellar", "[cellar, «cellar"),
            "`cellar` stands twice",
            "each once"),
        arguments(lagoon, lagoon.replace("[cellar]", "«cellar"), "`shares` is a text", "list"),
        arguments("low: 10 L }", "low: 10 L, «loow: 1 L }", "unknown key `loow`", "write `low`"),
        arguments(
            "      cellar-waste:",
            "      «Waste: { topic: lab/more, measures: full, states: { full: f, empty: e } }\n"
                + "      cellar-waste:",
            "the name \"Waste\" cannot be used",
            "lower-case"),
        arguments(
            "lab/lagoon/floor",
            "«lab/cellar/waste",
            "\"lab/cellar/waste\" of floor of lagoon is already that of cellar-waste of shared cellar",
            "each has its own"),
        arguments(
            "measures: full",
            "measures: «redox",
            "`measures` is \"redox\"",
            "known here: running, level, salinity, volume, leak, full, temperature"),
        arguments(
            "      salinity:    {",
            "      «cellar-volume: { topic: lab/x, measures: volume, unit: L, low: 5 L }\n"
                + "      salinity:    {",
            "the shared `cellar` already has a sensor `cellar-volume`",
            "another name"),
        arguments(
            "# from the ledger",
            "      «new-water-sensor: counted from the ledger",
            "`without` names `new-water-sensor`, but the tank has it",
            "take it out"),
        arguments(
            CELLAR_BIN,
            CELLAR_BIN.replace("34 PSU", "34 PSU, temperature-sensor: «warmth"),
            "`temperature-sensor` is \"warmth\"",
            "nothing of the kind"),
        arguments(
            "    drain: { kind: pump, topic: lab/nursery",
            "    «new-water: { holds: 25 L, salinity: 35 PSU }\n"
                + "      drain: { kind: pump, topic: lab/nursery",
            "`new-water` stands here, and the tank shares that of `cellar`",
            "keep one of them"));
  }

  @ParameterizedTest
  @MethodSource("mistakes")
  void complainsOnceAtTheExactPlace(String old, String changed, String wrong, String right) {
    complainsOnce(cellar().with(old, changed), wrong, right);
  }

  @Test
  void somethingSharedIsNotNamedLikeATank() {
    complainsOnce(
        ConfigText.lab()
            .with("\ntanks:\n", "\nshared: { «lagoon: {} }\ntanks:\n")
            .with("    water: 340 L", "    shares: [lagoon]\n    water: 340 L"),
        "a tank is named `lagoon` too",
        "another name");
  }

  @Test
  void aSensorOfTheRoomKeepsItsName() {
    complainsOnce(
        cellar()
            .with("      cellar-waste:", "      room-ozone:")
            .with("    shares: [cellar]", "    shares: [«cellar]"),
        "`cellar` has a sensor `room-ozone`, and so has the room or what else is shared",
        "another name for one of them");
  }

  @Test
  void aTankHasOneBin() {
    complainsOnce(
        cellar()
            .with("\nshared:\n", "\nshared:\n  attic:\n" + CELLAR_BIN)
            .with("    shares: [cellar]", "    shares: [attic, «cellar]"),
        "`cellar` has `new-water`, and so has `attic`",
        "one bin of new water for a tank");
  }

  @Test
  void aVolumeIsThatOfABin() {
    complainsOnce(
        cellar()
            .with(CELLAR_BIN, "")
            .with("      cellar-volume", "      «cellar-volume")
            .with("      drain: { kind: pump, topic: lab/lagoon", LAGOON_BIN + DRAIN + "lagoon")
            .with("      drain: { kind: pump, topic: lab/nursery", NURSERY_BIN + DRAIN + "nursery"),
        "`cellar-volume` measures a bin, and `cellar` has no `new-water`",
        "add `new-water: { holds: 120 L, salinity: 35 PSU }` to `cellar`");
  }

  private static final String DRAIN = "      drain: { kind: pump, topic: lab/";

  /**
   * Worked by hand: the nursery's 9 portions of 200 mL at 100 mL/min take 2 + 2 + 4 min each, 72 in
   * all; the lagoon's 21 of 0.486 L at 250 mL/min take 1.94 + 1.94 + 4 min each, 165.6 in all. Each
   * has room in its own window, both together have not.
   */
  @Test
  void whatSharesSomethingFitsOneAfterAnother() throws ConfigException {
    String lagoon = "      windows: [ { from: \"13:00\", to: \"22:00\" } ]";
    String nursery = "      windows: [ { from: \"22:00\", to: \"06:00\" } ]";
    ConfigText together =
        cellar()
            .with(lagoon, "      windows: [ { from: \"13:00\", to: \"16:00\" } ]")
            .with(nursery, "      windows: [ { from: \"12:00\", to: \"16:00\" } ]");
    assertThat(together.complaints()).isEmpty();
    complainsOnce(
        together.with("from: \"12:00\"", "from: \"13:00\"").with("  cellar:\n", "  «cellar:\n"),
        "one after another the portions of lagoon, nursery take 238 min of a night, and their"
            + " windows are open for 180 min",
        "longer windows, or less `per-day`");
  }

  @Test
  void onlyAnExchangeSharesAnything() {
    ConfigText text =
        new ConfigText(
            """
            site: a
            zone: UTC
            state-dir: /a
            clock: { trusted-when: synchronised }
            broker: { url: "mqtt://a" }
            hard-limits: { redox-ceiling: 400 mV, ozone-per-24h: 60 min, longest-drop-out: 30 s, exchange-per-24h: 5 %, imbalance: 0.5 % }
            shared: { cellar: {} }
            tanks: { a: { water: 5 L, «shares: [cellar], sensors: {} } }
            """);

    complainsOnce(text, "`shares` without `exchange`", "give the tank an `exchange`");
    complainsOnce(
        ConfigText.lab().with("    water: 340 L", "    shares: «[]\n    water: 340 L"),
        "`shares` names nothing",
        "leave `shares` out");
    complainsOnce(
        ConfigText.lab().with("    water: 340 L", "    shares: [«cellar]\n    water: 340 L"),
        "`shares` is \"cellar\"",
        "nothing of the kind is declared");
  }

  private static void complainsOnce(ConfigText text, String wrong, String right) {
    List<Complaint> complaints = text.complaints();

    assertThat(complaints).as("one complaint").hasSize(1);
    assertThat(complaints.get(0).line() + ":" + complaints.get(0).column())
        .isEqualTo(text.expectedPlaces().get(0));
    assertThat(complaints.get(0).wrong()).contains(wrong);
    assertThat(complaints.get(0).right()).contains(right);
  }

  private static ExchangeSpec exchange(TankSpec tank) {
    return Objects.requireNonNull(tank.exchange());
  }
}

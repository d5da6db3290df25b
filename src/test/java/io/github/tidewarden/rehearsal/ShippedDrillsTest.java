package io.github.tidewarden.rehearsal;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.config.ConfigException;
import io.github.tidewarden.config.ConfigText;
import io.github.tidewarden.config.Configuration;
import io.github.tidewarden.config.Drill;
import io.github.tidewarden.config.DrillReader;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;

/** The drills that come with the project: each passes, and none that could not fail. */
class ShippedDrillsTest {
  private static final Path DRILLS = Path.of("config/drills");

  /** Drills for the second example stand one level lower. */
  private static final Path QUARANTINE = DRILLS.resolve("quarantine");

  /** What each drill is about: a place of the configuration, and what to make of it. */
  private static final Map<String, List<String>> LOOSENED =
      Map.ofEntries(
          Map.entry("redox-ceiling", List.of("ceiling: 400 mV", "ceiling: 401 mV")),
          Map.entry("redox-low", tightened("redox-low: { below: 202 mV }")),
          Map.entry("probes-apart", tightened("probes-apart: { apart: 59 mV }")),
          Map.entry("air-lost", List.of("low: 3 L/min", "low: 2.9 L/min")),
          Map.entry("room-ozone", List.of("unit: ppb }", "unit: ppb, high: 99 ppb }")),
          Map.entry("leak", List.of("stale-after: 10 min", "stale-after: 8 min")),
          Map.entry("level-high", List.of("[180 mm, 240 mm]", "[180 mm, 241 mm]")),
          Map.entry("level-low", List.of("[180 mm, 240 mm]", "[170 mm, 240 mm]")),
          Map.entry("circulation-lost", tightened("circulation-lost: { for: 2 s }")),
          Map.entry("new-water-low", List.of("low: 5 L }", "low: 4.9 L }")),
          Map.entry("salinity-off", List.of("36.5 PSU]", "36.6 PSU]")),
          Map.entry("dose", List.of("stop-above: 365 mV", "stop-above: 370 mV")),
          Map.entry("portion", List.of("from: \"13:00\"", "from: \"14:00\"")),
          Map.entry("nursery-portion", List.of("from: \"22:00\", to", "from: \"23:00\", to")),
          Map.entry("nursery-leak", List.of("[90 mm, 130 mm]", "[90 mm, 131 mm]")),
          Map.entry(
              "clock-stepped",
              List.of("trusted-when: synchronised", "trusted-when: battery-backed")),
          Map.entry("clock-unproven", List.of("from: \"01:30\"", "from: \"02:00\"")),
          Map.entry("broker-lost", List.of("drop-out: 30 s", "drop-out: 60 s")),
          Map.entry("generator-welded", List.of("stop-above: 365 mV", "stop-above: 370 mV")),
          Map.entry(
              "probe-silent",
              List.of(
                  "redox/a, measures: redox }", "redox/a, measures: redox, stale-after: 50 s }")),
          Map.entry("keeper-holds", List.of("from: \"01:30\"", "from: \"01:45\"")),
          Map.entry("new-water-salinity", List.of("60 L, salinity: 35", "60 L, salinity: 35.1")),
          Map.entry(
              "new-water-temperature", tightened("new-water-temperature: { apart: 1.8 Cel }")),
          Map.entry("skimmer-cup-full", tightened("skimmer-cup-full: { latch-after: 10 s }")),
          Map.entry("waste-full", tightened("waste-full: { rest: 12 min }")));

  private static List<String> tightened(String interlock) {
    return List.of("    # interlocks:\n", "    interlocks: { " + interlock + " }\n");
  }

  static List<Path> files() throws IOException {
    try (Stream<Path> all = Files.walk(DRILLS)) {
      return all.filter(Files::isRegularFile).sorted().toList();
    }
  }

  /** The example that a drill is for. */
  private static ConfigText site(Path file) {
    return file.startsWith(QUARANTINE) ? ConfigText.quarantine() : ConfigText.lab();
  }

  private static String name(Path file) {
    return Objects.requireNonNull(file.getFileName()).toString().replace(".yaml", "");
  }

  /** One play, judged as it is written and with each claim turned round: one or the other fails. */
  @ParameterizedTest
  @MethodSource("files")
  void passesAndEachOfItsClaimsCanFail(Path file) throws ConfigException {
    Configuration site = site(file).read();
    Drill drill = DrillReader.read(file, site);
    Drilling played = Drilling.played(site, drill);

    assertThat(played.judged(drill.expectations())).isEmpty();

    List<Drill.Expectation> turned =
        drill.expectations().stream().map(ShippedDrillsTest::turnedRound).toList();
    List<Drill.Spot> claims =
        turned.stream().flatMap(each -> each.claims().stream()).map(Drill.Claim::spot).toList();
    assertThat(played.judged(turned)).extracting(Drilling.Failure::spot).isEqualTo(claims);
  }

  private static Drill.Expectation turnedRound(Drill.Expectation expectation) {
    return new Drill.Expectation(
        expectation.span(),
        expectation.fromNanos(),
        expectation.toNanos(),
        expectation.claims().stream()
            .map(
                claim ->
                    new Drill.Claim(
                        claim.key(), claim.fact(), claim.name(), !claim.holds(), claim.spot()))
            .toList());
  }

  @ParameterizedTest
  @MethodSource("files")
  void failsWhenTheConfigurationIsNotWhatItIsAbout(Path file) throws ConfigException {
    List<String> change = LOOSENED.get(name(file));
    assertThat(change).as("a change that %s must notice", file).isNotNull();
    Configuration other = site(file).with(change.get(0), change.get(1)).read();

    Drill drill = DrillReader.read(file, site(file).read());
    Drilling.Outcome outcome = Drilling.of(other, drill);

    assertThat(outcome.failures()).as("with %s", change.get(1)).isNotEmpty();
  }

  @Test
  void eachDrillHasAChangeThatItNotices() throws IOException {
    assertThat(files().stream().map(ShippedDrillsTest::name))
        .containsExactlyInAnyOrderElementsOf(LOOSENED.keySet());
  }
}

package io.github.tidewarden.config;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.control.SkimmerSpec;
import io.github.tidewarden.control.SkimmerWork;
import io.github.tidewarden.interlock.Condition.Is;
import io.github.tidewarden.interlock.InterlockSpec;
import io.github.tidewarden.interlock.TankFunction;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Map;
import java.util.Set;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** What a configuration says of a skimmer, and the interlock that its cup brings. */
class SkimmerConfigTest {
  private static final Instant AFTERNOON = Instant.parse("2026-11-25T15:00:00Z");

  private static ConfigText with(String skimmer) {
    return ConfigText.lab().withSkimmer(skimmer);
  }

  private static ConfigText withCup() {
    return with("{ cup: skimmer-cup }");
  }

  private static SkimmerSpec skimmer(ConfigText text) throws ConfigException {
    return text.read().site().tanks().get(0).care().skimmer();
  }

  private static List<InterlockSpec> interlocks(ConfigText text) throws ConfigException {
    return text.read().site().tanks().get(0).interlocks();
  }

  @Test
  void everyKeyIsOptional() throws ConfigException {
    assertThat(skimmer(with("{}"))).isEqualTo(new SkimmerSpec(null, null, Map.of()));
    assertThat(
            skimmer(
                with(
                    "{ air: skimmer-air, clean-after: 170 h, tune-after: 30 d, empty-after: 72 h }")))
        .isEqualTo(
            new SkimmerSpec(
                "skimmer-air",
                null,
                Map.of(
                    SkimmerWork.CLEANED, Duration.ofHours(170).toNanos(),
                    SkimmerWork.TUNED, Duration.ofDays(30).toNanos(),
                    SkimmerWork.EMPTIED, Duration.ofHours(72).toNanos())));
    assertThat(skimmer(ConfigText.lab())).isNull();
  }

  /**
   * Hazard F27: at rest at once, and latched, for a cup that ran over wets what ozone goes through.
   */
  @Test
  void aCupThatIsFullStopsOzoneAndNothingElse() throws ConfigException {
    InterlockSpec cup =
        interlocks(withCup()).stream()
            .filter(spec -> spec.name().equals("skimmer-cup-full"))
            .findFirst()
            .orElseThrow();
    assertThat(cup.cause()).isEqualTo(new Is("skimmer-cup", true));
    assertThat(cup.stops()).isEqualTo(Set.of(TankFunction.OZONE));
    assertThat(cup.forNanos()).isZero();
    assertThat(cup.latchForNanos()).isEqualTo(Duration.ofSeconds(30).toNanos());
    assertThat(cup.restNanos()).isEqualTo(Duration.ofMinutes(10).toNanos());
    assertThat(CheckText.of(withCup().read(), AFTERNOON))
        .contains(
            "    skimmer-cup-full: skimmer-cup full: no ozone; trips at once; rests 10 min more;"
                + " latched after 30 s\n");
  }

  /** What takes up waste water is another contact, and stops the exchange. */
  @Test
  void theCupIsNoWasteAndAWasteIsNoCup() throws ConfigException {
    assertThat(interlocks(withCup())).extracting(InterlockSpec::name).doesNotContain("waste-full");
    assertThat(interlocks(withCup().withWaste()))
        .filteredOn(spec -> spec.name().equals("waste-full"))
        .singleElement()
        .satisfies(spec -> assertThat(spec.cause()).isEqualTo(new Is("waste", true)));
    assertThat(interlocks(with("{}")))
        .as("a contact that is not named as the cup takes waste")
        .extracting(InterlockSpec::name)
        .contains("waste-full")
        .doesNotContain("skimmer-cup-full");
  }

  @Test
  void checkTellsWhatIsReminded() throws ConfigException {
    assertThat(CheckText.of(with("{ air: skimmer-air, clean-after: 170 h }").read(), AFTERNOON))
        .contains(
            "  Skimmer: reminds of cleaning after 170 h (`tidewarden note skimmer cleaned`); what"
                + " cleaning does to its air is told by skimmer-air\n");
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "{ clean-after: 10 min } | clean-after | at least 1 h",
        "{ clean-after: 9000 h } | clean-after | at most 8760 h",
        "{ tune-after: 50 } | tune-after | ",
        "{ air: skimer-air } | skimer-air | skimmer-air",
        "{ air: room-ozone } | room-ozone | skimmer-air",
        "{ cup: floor } | floor | skimmer-cup",
        "{ cleen-after: 170 h } | cleen-after | clean-after",
      })
  void whatCannotBeMeantIsRefused(String skimmer, String wrong, String right) {
    ConfigText text = with(skimmer);
    assertThat(text.complaints())
        .singleElement()
        .satisfies(
            complaint -> {
              assertThat(complaint.wrong()).contains(wrong);
              assertThat(complaint.right()).contains(right == null ? "" : right);
              assertThat(complaint.line())
                  .isEqualTo(
                      1
                          + text.text()
                              .substring(0, text.text().indexOf("    skimmer: {"))
                              .lines()
                              .count());
            });
  }

  @Test
  void aCupWithoutAContactIsRefused() {
    ConfigText text =
        ConfigText.quarantine().with("skimmer: { cup: skimmer-cup }", "skimmer: { air: x }");
    assertThat(text.complaints())
        .singleElement()
        .satisfies(
            complaint ->
                assertThat(complaint.wrong())
                    .isEqualTo("the tank has no sensor that measures `air-flow`"));
  }
}

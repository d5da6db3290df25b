package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.time.Duration;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/**
 * New water, as a keeper mixes, confirms and forgets it, on the lagoon of the shipped
 * configuration. The figures are ours.
 */
class NewWaterStoriesTest {
  private static final Duration PORTION = Duration.ofMinutes(20);

  /** Connected, 20 min before the window opens, nothing confirmed. */
  private static WaterBench bench(long seed) {
    WaterBench bench = new WaterBench(seed, WaterBench.OPENS.minusSeconds(1200));
    bench.connects();
    bench.live(1190);
    return bench;
  }

  private static void untilDone(WaterBench bench, int portions) {
    assertThat(bench.liveUntil(() -> bench.records(Kind.FILLED).size() >= portions, PORTION))
        .as("portion %d is done: %s", portions, bench.why())
        .isTrue();
  }

  /** Hazard F18. */
  @Test
  void withoutAConfirmedBatchNothingIsExchanged() {
    WaterBench bench = bench(1);
    bench.live(1800);
    assertThat(bench.records(Kind.PORTION)).isEmpty();
    assertThat(bench.drainedLitres).isZero();
    assertThat(bench.why()).contains("no batch of new water is confirmed");
    bench.confirmsBatch();
    untilDone(bench, 1);
  }

  /** Hazard F73. */
  @Test
  void aBatchThatIsDrawnAtOnceWaitsUntilItHasMixed() {
    WaterBench bench = bench(2);
    assertThat(
            bench
                .asks(
                    "batch", "salinity", "35 PSU", "temperature", "25 Cel", "mixed-for", "210 min")
                .done())
        .isTrue();
    bench.live(1750);
    assertThat(bench.records(Kind.PORTION)).isEmpty();
    assertThat(bench.why()).matches("the new water has mixed for 2[0-9]+ min of 4 h");
    bench.live(60);
    untilDone(bench, 1);
  }

  @Test
  void aRestartForgetsNoBatchAndAnUntrustedPastConfirmsNone() {
    WaterBench bench = bench(3);
    bench.confirmsBatch();
    bench.restarts(5);
    bench.connects();
    untilDone(bench, 1);
    assertThat(bench.state.remembered().bin("lagoon").drawnMillilitres())
        .isCloseTo(Math.round(bench.filledLitres * 1000), within(150L));
    SiteMemory past = bench.state.remembered();
    assertThat(
            past.apply(
                    AuditRecord.of(
                        bench.now(),
                        "",
                        Kind.RECOVERED,
                        "",
                        java.util.Map.of(Fields.NIGHT, "2026-01-14", Fields.LATCHED, true)))
                .bin("lagoon"))
        .isEqualTo(BinMemory.BLANK);
  }

  /** Hazard F70: 22 L in the bin become 118 L, and nobody confirms it. */
  @Test
  void aBinThatWasFilledWithoutAWordStopsEverythingUntilItIsConfirmed() {
    WaterBench bench = bench(4);
    bench.binLitres = 22;
    bench.live(5);
    bench.confirmsBatch();
    untilDone(bench, 1);
    bench.binLitres = 118;
    bench.live(120);
    assertThat(bench.records(Kind.NEW_WATER)).hasSize(1);
    assertThat(bench.last(Kind.NEW_WATER).why()).contains("holds 118 L where 2");
    bench.binLitres = 21; // what nobody knows of is not forgotten
    bench.live(3600);
    assertThat(bench.records(Kind.PORTION)).hasSize(1);
    bench.restarts(5);
    bench.connects();
    bench.live(1800);
    assertThat(bench.records(Kind.PORTION)).hasSize(1);
    bench.confirmsBatch();
    untilDone(bench, 2);
  }

  /** Hazard F70: fresh water where salt water was confirmed; 0.05 PSU less with each portion. */
  @Test
  void newWaterOfAnotherSalinityIsFoundBeforeTheTankIsOutOfItsRange() {
    WaterBench bench = bench(5);
    bench.confirmsBatch();
    bench.binPsu = 0;
    assertThat(bench.liveUntil(() -> !bench.latches().isEmpty(), Duration.ofHours(9))).isTrue();
    assertThat(bench.latches()).containsOnlyKeys("new-water-wrong");
    assertThat(bench.last(Kind.TRIP).why())
        .contains("lower than the exchange explains")
        .contains("less salty than confirmed");
    assertThat(bench.psu()).isBetween(34.4, 34.8);
    int portions = bench.records(Kind.FILLED).size();
    assertThat(portions).isLessThanOrEqualTo(10);
    bench.live(1800);
    assertThat(bench.records(Kind.PORTION)).hasSize(portions);
    bench.binPsu = 35;
    bench.confirmsBatch();
    bench.asks("reset", "name", "new-water-wrong");
    untilDone(bench, portions + 1);
    assertThat(bench.latches()).isEmpty();
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "36.1 PSU | 25 Cel | 4 h | a salinity of 36.1 PSU is more than 1 PSU off the 35 PSU that"
            + " `new-water` wants; mend the water, or the configuration",
        "35       | 25 Cel | 4 h | salinity: \"35\" has no unit; a practical salinity in PSU",
        "35 PSU   | 33 Cel | 4 h | 33.00 °C is not between 18 and 32 °C",
        "35 PSU   | 25 Cel | 4 L | mixed-for: \"4 L\" is a volume, not a time; a time in",
        "35 PSU   | 25 Cel | 61 d | mixed for 61 d is not between 0 and 60 days",
      })
  void aBatchThatIsNotFitIsRefused(String psu, String celsius, String mixed, String why) {
    WaterBench bench = bench(6);
    Effect.Answer answer =
        bench.asks("batch", "salinity", psu, "temperature", celsius, "mixed-for", mixed);
    assertThat(answer.done()).isFalse();
    assertThat(answer.what()).startsWith(why);
    assertThat(bench.records(Kind.ACT)).isEmpty();
  }
}

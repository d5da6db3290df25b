package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.exchange.NewWater;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Quality;
import io.github.tidewarden.sensing.Signal;
import java.time.Duration;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

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

  /** The clock goes back by half an hour while water goes out: what has mixed has mixed. */
  @Test
  void aClockThatIsSetBackInMidPortionLeavesNoTankHalfDrained() {
    WaterBench bench = bench(9);
    bench.asks("batch", "salinity", "35 PSU", "temperature", "25 Cel", "mixed-for", "1 h");
    assertThat(bench.liveUntil(() -> bench.on("drain"), Duration.ofHours(4))).isTrue();
    assertThat(bench.state.remembered().bin("lagoon").mixed()).isTrue();
    bench.live(60);
    bench.wall = bench.wall.minusSeconds(1800);
    bench.live(60);
    bench.restarts(5);
    bench.connects();
    untilDone(bench, 1);
    bench.asks("batch", "salinity", "35 PSU", "temperature", "25 Cel", "mixed-for", "1 h");
    bench.live(1800);
    assertThat(bench.why()).startsWith("the new water has mixed for ");
    assertThat(bench.records(Kind.PORTION)).hasSize(1);
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
                        Map.of(Fields.NIGHT, "2026-01-14", Fields.LATCHED, true)))
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

  /** Hazard F70: emptied by hand, and filled with less than there was. */
  @Test
  void aBinThatWasEmptiedAndFilledWithLessStopsEverythingToo() {
    WaterBench bench = bench(7);
    bench.confirmsBatch();
    untilDone(bench, 1);
    bench.binLitres = 8;
    bench.live(90);
    AuditRecord taken = bench.last(Kind.NOTICE);
    assertThat(taken.fields()).containsEntry(Fields.NAME, "new-water-taken");
    assertThat(taken.why())
        .matches("the bin holds 8 L where 11[0-9.]+ L were left: .* took some .*");
    assertThat(bench.state.remembered().bin("lagoon").batch()).isNotNull();
    bench.restarts(5);
    bench.connects();
    bench.binLitres = 60;
    bench.live(90);
    assertThat(bench.last(Kind.NEW_WATER).why()).contains("holds 60 L where 8 L were left");
    bench.live(3600);
    assertThat(bench.records(Kind.PORTION)).hasSize(1);
  }

  /** Hazard F70: 10 L of fresh water poured into 12 L, and the pump's latch reset soon after. */
  @ParameterizedTest
  @ValueSource(ints = {5, 30, 90})
  void aResetConfirmsNothingThatIsInTheBin(int secondsLater) {
    WaterBench bench = new WaterBench(3, WaterBench.OPENS.minusSeconds(1200));
    bench.binLitres = 12;
    bench.connects();
    bench.live(1190);
    bench.confirmsBatch();
    bench.fillLitresPerMinute = 0;
    assertThat(bench.liveUntil(() -> bench.latches().containsKey("fill-dry"), PORTION)).isTrue();
    bench.fillLitresPerMinute = 0.25;
    bench.binPsu = 35.0 * 12 / 22;
    bench.binLitres = 22;
    bench.live(secondsLater);
    bench.sumpLitres += 0.5;
    assertThat(bench.asks("reset", "name", "fill-dry").done()).isTrue();
    bench.live(3600);
    assertThat(bench.filledLitres).as("water that nobody confirmed").isZero();
    assertThat(bench.records(Kind.NEW_WATER)).hasSize(1);
    assertThat(bench.last(Kind.NEW_WATER).why()).contains("holds 22 L where 12 L were left");
    assertThat(bench.latches()).isEmpty();
    bench.binPsu = 35;
    bench.confirmsBatch();
    untilDone(bench, 1);
  }

  /** What a dry pump did not take is not in the ledger either; what a sensor says is gone is. */
  @Test
  void aPortionThatWasGivenUpIsCountedAsTheBinSaysAndNeverBackwards() {
    BinMemory bin = BinMemory.BLANK.apply(act("batch", 100_000), "boot-1");
    assertThat(bin.apply(act("reset", 99_600), "boot-1").drawnMillilitres()).isEqualTo(400);
    BinMemory more = bin.apply(act("reset", 108_000), "boot-1");
    assertThat(more.leftMillilitres()).isEqualTo(100_000);
    assertThat(more.drawnMillilitres()).isZero();
    assertThat(bin.apply(act("reset", BinMemory.UNKNOWN), "boot-1").drawnMillilitres())
        .isEqualTo(500);
  }

  private static AuditRecord act(String act, long binMillilitres) {
    return AuditRecord.of(
        new Moment(WaterBench.OPENS, 7_000_000L, true),
        "lagoon",
        Kind.ACT,
        "",
        Map.of(
            Fields.ACT,
            act,
            Fields.NIGHT,
            "2026-01-14",
            Fields.BY,
            "rosa",
            Fields.SALINITY_UPSU,
            35_000_000L,
            Fields.MIXED_MS,
            14_400_000L,
            Fields.VOLUME_ML,
            100_000L,
            Fields.PORTION_ML,
            500L,
            Fields.BIN_ML,
            binMillilitres));
  }

  /** The ledger goes on from what is left after some was taken by hand. */
  @Test
  void whatIsTakenByHandIsNoPortionAndUnconfirmsNothing() {
    WaterBench bench = bench(8);
    bench.confirmsBatch();
    untilDone(bench, 1);
    bench.binLitres -= 20;
    double left = bench.binLitres;
    assertThat(
            bench.liveUntil(() -> bench.records(Kind.FILLED).size() == 3, PORTION.multipliedBy(3)))
        .isTrue();
    assertThat(bench.records(Kind.NEW_WATER)).isEmpty();
    BinMemory bin = bench.state.remembered().bin("lagoon");
    assertThat(bin.batch().millilitres() - bin.drawnMillilitres())
        .isCloseTo(Math.round(1000 * (left - 2 * 0.5)), within(500L));
  }

  /** Hazard F73: a sensor sees how salty the water is, and not whether it has mixed. */
  @Test
  void aMeasuredBinThatWasFilledWaitsUntilItHasMixed() {
    NewWater.World filled = measured(90, 40, null);
    assertThat(NewWater.filled(filled)).isTrue();
    assertThat(NewWater.stop(filled))
        .isEqualTo("the bin holds 90 L where 40 L were left: it was filled");
    assertThat(NewWater.stop(measured(90, 90, Duration.ofHours(3))))
        .isEqualTo("the new water has mixed for 180 min of 4 h");
    assertThat(NewWater.stop(measured(90, 90, Duration.ofHours(4)))).isNull();
    assertThat(NewWater.stop(measured(90, 90, null))).as("nobody filled it").isNull();
    AuditRecord record =
        AuditRecord.of(
            new Moment(WaterBench.OPENS, 7_000_000L, true),
            "lagoon",
            Kind.NEW_WATER,
            "",
            Map.of(Fields.NIGHT, "2026-01-14", Fields.BIN, "lagoon", Fields.BIN_ML, 90_000L));
    BinMemory bin = BinMemory.BLANK.apply(record, "boot-1");
    assertThat(bin.leftMillilitres()).isEqualTo(90_000);
    assertThat(
            bin.filled()
                .age(
                    "boot-2",
                    new Moment(WaterBench.OPENS.plus(Duration.ofHours(3)), 5_000_000L, true)))
        .isEqualTo(Duration.ofHours(3));
  }

  private static NewWater.World measured(double litres, double last, Duration mixed) {
    ExchangeSpec.Bin bin =
        new ExchangeSpec.Bin(
            "lagoon", 120, 35, 1, Duration.ofHours(4).toNanos(), "volume", "salt", null);
    Signal volume = new Signal("volume", Measure.VOLUME, litres, Quality.GOOD, "", 0, true, 1);
    return new NewWater.World(bin, false, mixed, 0, volume, last);
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

package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import io.github.tidewarden.config.ConfigText;
import java.time.Duration;
import java.time.Instant;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** A portion begins from a level at rest (hazards F39, F41), and counts only if a pump ran. */
class PortionBeginsTest {
  private static final Duration PORTION = Duration.ofMinutes(20);

  /**
   * What tops off runs until the portion is due: it is held first, and the level is looked at for
   * two minutes from then on; that it rose before is no fault.
   */
  @Test
  void topOffIsHeldForTwoMinutesBeforeAPortion() {
    WaterBench bench = new WaterBench(31, WaterBench.OPENS.minusSeconds(1200));
    bench.sumpLitres -= 1;
    bench.topsOff = false;
    bench.connects();
    bench.live(1130);
    bench.confirmsBatch();
    bench.topsOff = true;
    bench.topOffLitresPerMinute = 0.1; // 0.8 mm a minute: by its slope at rest
    assertThat(bench.liveUntil(() -> bench.phase().equals("HOLDING"), PORTION)).isTrue();
    assertThat(bench.toppedLitres).isPositive();
    assertThat(bench.records(Kind.PORTION)).isEmpty();
    double topped = bench.toppedLitres;
    long began = bench.mono;
    assertThat(bench.liveUntil(() -> bench.phase().equals("DRAINING"), PORTION)).isTrue();
    assertThat(bench.toppedLitres).isCloseTo(topped, within(0.01));
    assertThat(Duration.ofNanos(bench.mono - began).toSeconds()).isBetween(119L, 130L);
    double before = (Long) bench.last(Kind.PORTION).fields().get(Fields.BEFORE_UM) / 1000.0;
    assertThat(bench.levelMm()).isCloseTo(before, within(0.9)); // 1 mm of noise in the mean
    assertThat(bench.latches()).isEmpty();
  }

  /**
   * With so large a share each portion is due just when top-off has made good what evaporated. Once
   * the level was taken too low then, and 0.7 L more went out than came in each night.
   */
  @ParameterizedTest
  @CsvSource({"portions, 4.3 %", "paired, 5.3 %"})
  void portionsThatFollowTopOffAtOnceStayEven(String kind, String share) {
    ConfigText text =
        WaterBench.withoutSalinity()
            .with("      per-day: 3 %", "      kind: " + kind + "\n      per-day: " + share);
    WaterBench bench =
        new WaterBench(WaterBench.lagoon(text), 5, WaterBench.OPENS.minusSeconds(1200));
    bench.connects();
    for (int night = 0; night < 4; night++) {
      bench.binLitres = 120;
      bench.live(1190);
      bench.confirmsBatch();
      Instant end = WaterBench.OPENS.plus(Duration.ofDays(night)).plus(Duration.ofHours(9));
      while (bench.wall.isBefore(end.plusSeconds(900))) {
        bench.passes(bench.memory().portion() != null || bench.on("fill") ? 1 : 5);
      }
      bench.jumpsTo(end.plus(Duration.ofHours(15)).minusSeconds(1200));
    }
    assertThat(bench.records(Kind.FILLED)).hasSizeGreaterThan(100);
    assertThat(bench.drainedLitres - bench.filledLitres).isCloseTo(0, within(1.4));
    assertThat(bench.latches()).isEmpty();
  }

  /** A keeper's hold comes while the portion is on its way to the disk: no pump runs for it. */
  @ParameterizedTest
  @ValueSource(booleans = {false, true})
  void pairedHeadsThatDidNotRunAreNotBooked(boolean linkLost) {
    ConfigText text =
        WaterBench.withoutSalinity()
            .with("      per-day: 3 %", "      kind: paired\n      per-day: 3 %");
    WaterBench bench =
        new WaterBench(WaterBench.lagoon(text), 5, WaterBench.OPENS.minusSeconds(1200));
    bench.connects();
    bench.live(1190);
    bench.confirmsBatch();
    bench.diskSlow = true;
    assertThat(bench.liveUntil(() -> !bench.records(Kind.PORTION).isEmpty(), PORTION)).isTrue();
    if (linkLost) {
      bench.event(new Event.LinkDown("gone"));
      bench.live(2);
      bench.connects();
    } else {
      bench.asks("hold", "name", "exchange", "for", "1 min", "text", "feeding");
      bench.live(2);
    }
    bench.diskSlow = false;
    assertThat(bench.liveUntil(() -> !bench.records(Kind.FILLED).isEmpty(), PORTION)).isTrue();
    double booked = (Long) bench.last(Kind.FILLED).fields().get(Fields.OUT_ML) / 1000.0;
    assertThat(booked).isCloseTo(bench.drainedLitres, within(0.1));
    assertThat(bench.drainedLitres > 0).isEqualTo(linkLost);
  }

  /** What one tank lacks is no reason to keep its turn: others that share anything go on. */
  @Test
  void aTankWhoseOwnBinIsLowIsNotInTurn() {
    ConfigText text =
        WaterBench.withoutSalinity()
            .with("salinity-sensor: by hand", "salinity-sensor: by hand, new-water-sensor: counted")
            .with(
                "      new-water:   { topic: lab/lagoon/new-water, measures: volume, unit: L, low: 5 L }\n",
                "")
            .with("holds: 120 L", "holds: 2 L");
    WaterBench bench =
        new WaterBench(WaterBench.lagoon(text), 32, WaterBench.OPENS.minusSeconds(1200));
    bench.connects();
    bench.live(1190);
    bench.confirmsBatch();
    assertThat(bench.liveUntil(() -> bench.why().contains("new-water-low"), Duration.ofHours(3)))
        .isTrue();
    for (int second = 0; second < 300; second++) {
      bench.live(1);
      assertThat(bench.water().rule().inTurn()).as(bench.why()).isFalse();
    }
    assertThat(bench.memory().portion()).isNull();
    assertThat(bench.records(Kind.FILLED)).isNotEmpty();
  }
}

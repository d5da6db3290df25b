package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import io.github.tidewarden.config.ConfigText;
import java.time.Duration;
import java.time.Instant;
import java.util.function.BooleanSupplier;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/**
 * Hazards F39 and F40: the program ends in mid-portion and is away for longer than top-off stays
 * held. Fresh water may take the place of what was drained, and nobody saw it.
 */
class CutOffTest {
  private static final Duration SOON = Duration.ofMinutes(40);

  /** The window of the lagoon. */
  private static final int WINDOW_SECONDS = 9 * 3600;

  /** Of the lagoon, L; its portions are of 0.5 L. */
  private static final double IMBALANCE = 1.7;

  private static WaterBench bench(ConfigText text) {
    WaterBench bench =
        new WaterBench(WaterBench.lagoon(text), 21, WaterBench.OPENS.minusSeconds(1200));
    bench.connects();
    bench.live(1190);
    bench.confirmsBatch();
    return bench;
  }

  /** Its drain pump moves so many times what it should, and its fill pump so much less. */
  private static WaterBench benchWithPumpsOff(double off) {
    WaterBench bench = bench(WaterBench.withoutSalinity());
    bench.drainLitresPerMinute *= off;
    bench.fillLitresPerMinute /= off;
    return bench;
  }

  /** The exchange waits for its keeper, and came to that before its limit was passed. */
  private static void nothingIsHidden(WaterBench bench) {
    assertThat(bench.latches()).isNotEmpty();
    assertThat(apart(bench)).isLessThan(IMBALANCE);
  }

  /**
   * In each portion once, as soon as something is so, until something latches or the night ends.
   */
  private static void isCutOff(WaterBench bench, int awaySeconds, BooleanSupplier when) {
    long cut = 0;
    for (int second = 0; second < WINDOW_SECONDS && bench.latches().isEmpty(); second++) {
      bench.live(1);
      if (bench.memory().portion() != null
          && bench.memory().lastPortion() > cut
          && when.getAsBoolean()) {
        cut = bench.memory().lastPortion();
        bench.restarts(awaySeconds);
        bench.connects();
        second += awaySeconds;
      }
    }
  }

  private static ConfigText pairedAndCounted() {
    return WaterBench.withoutSalinity()
        .with(
            "      new-water:   { topic: lab/lagoon/new-water, measures: volume, unit: L, low: 5 L }\n",
            "")
        .with("salinity-sensor: by hand", "salinity-sensor: by hand, new-water-sensor: counted")
        .with("      per-day: 3 %", "      kind: paired\n      per-day: 3 %");
  }

  private static double apart(WaterBench bench) {
    return Math.abs(bench.drainedLitres - bench.filledLitres);
  }

  /** What the level shows is booked, but out and in are not taken to be together for that. */
  @ParameterizedTest
  @CsvSource({"DRAINED, false", "DRAINED, true", "FILLING, false", "FILLING, true"})
  void portionsThatWereCutOffCountAgainstImbalance(String phase, boolean probe) {
    WaterBench bench = bench(probe ? ConfigText.lab() : WaterBench.withoutSalinity());
    isCutOff(bench, 200, () -> bench.phase().equals(phase) && !bench.on("drain"));
    assertThat(bench.latches()).containsOnlyKeys("out-and-in-apart");
    assertThat(apart(bench)).isBetween(0.5, IMBALANCE);
  }

  /** The inrush of the pump resets the board, each time; top-off is quick. */
  @Test
  void aFillPumpThatResetsTheBoardDoesNotMakeTheTankFresh() {
    WaterBench bench = bench(WaterBench.withoutSalinity());
    bench.topOffLitresPerMinute = 1;
    isCutOff(
        bench,
        75,
        () -> {
          boolean on = bench.on("fill");
          if (on) {
            bench.onUntil.put("fill", 0L);
          }
          return on;
        });
    assertThat(bench.latches()).containsOnlyKeys("out-and-in-apart");
    assertThat(apart(bench)).isBetween(0.5, IMBALANCE);
  }

  /** Pumps that are off by as much as is not stopped, and one that moves nothing at all. */
  @ParameterizedTest
  @CsvSource({
    "DRAINED, 60, 1.25, 1",
    "DRAINED, 200, 1.25, 1",
    "DRAINED, 60, 1.1, 1",
    "FILLING, 60, 1, 0.9",
    "FILLING, 60, 1, 0.75",
    "FILLING, 75, 1, 0",
    "FILLING, 105, 1, 0"
  })
  void pumpsThatAreOffHideNothing(String phase, int away, double drain, double fill) {
    WaterBench bench = bench(WaterBench.withoutSalinity());
    bench.drainLitresPerMinute *= drain;
    bench.fillLitresPerMinute *= fill;
    isCutOff(
        bench,
        away,
        () ->
            bench.phase().equals(phase)
                && !bench.on("drain")
                && (phase.equals("DRAINED") || bench.on("fill")));
    nothingIsHidden(bench);
  }

  /** Top-off levels what one head did not bring, and the level shows nothing. */
  @ParameterizedTest
  @ValueSource(ints = {75, 200})
  void pairedHeadsOfWhichOneMovesNothingAreFound(int away) {
    WaterBench bench = bench(pairedAndCounted());
    bench.fillLitresPerMinute = 0;
    isCutOff(bench, away, () -> bench.phase().equals("DRAINED") && !bench.on("drain"));
    nothingIsHidden(bench);
  }

  /** The link is away in each portion, and the program begins anew between them. */
  @ParameterizedTest
  @CsvSource({"90, 1.1", "100, 1.25", "180, 1.25"})
  void startsBetweenPortionsThatWereToppedOffForgetNothing(int gone, double off) {
    WaterBench bench = benchWithPumpsOff(off);
    long lost = 0;
    long started = 0;
    for (int second = 0; second < WINDOW_SECONDS && bench.latches().isEmpty(); second++) {
      bench.live(1);
      long portion = bench.memory().lastPortion();
      boolean open = bench.memory().portion() != null;
      if (open && portion > lost && bench.phase().equals("DRAINED") && !bench.on("drain")) {
        lost = portion;
        bench.event(new Event.LinkDown("gone"));
        bench.live(gone);
        bench.connects();
      } else if (!open && portion > started && !bench.on("fill")) {
        started = portion;
        bench.restarts(3);
        bench.connects();
      }
    }
    assertThat(bench.latches()).containsOnlyKeys("out-and-in-apart");
    assertThat(apart(bench)).isLessThan(IMBALANCE);
  }

  private static void losesTheLink(WaterBench bench, int seconds) {
    bench.event(new Event.LinkDown("gone"));
    bench.live(seconds);
    bench.connects();
  }

  private static void startsAgain(WaterBench bench, int awaySeconds) {
    bench.restarts(awaySeconds);
    bench.connects();
  }

  /** In each portion, until something latches or the night ends: what happens once it is time. */
  private static void inEachPortion(WaterBench bench, BooleanSupplier when, Runnable what) {
    long struck = 0;
    Instant end = bench.wall.plusSeconds(WINDOW_SECONDS);
    while (bench.wall.isBefore(end) && bench.latches().isEmpty()) {
      bench.live(1);
      if (bench.memory().portion() != null
          && bench.memory().lastPortion() > struck
          && when.getAsBoolean()) {
        struck = bench.memory().lastPortion();
        what.run();
      }
    }
  }

  /** The level from which this run fills hides what top-off brought before the start. */
  @ParameterizedTest
  @CsvSource({"100, 3, 1", "100, 20, 1.1", "150, 3, 1.1", "150, 20, 1"})
  void aLostLinkAndThenAQuickStartHideNothing(int gone, int away, double off) {
    WaterBench bench = benchWithPumpsOff(off);
    inEachPortion(
        bench,
        () -> bench.phase().equals("DRAINED") && !bench.on("drain"),
        () -> {
          losesTheLink(bench, gone);
          bench.liveUntil(() -> bench.on("fill"), SOON);
          startsAgain(bench, away);
        });
    nothingIsHidden(bench);
  }

  /** Nor does the rate of the pump tell what a second filling brought. */
  @ParameterizedTest
  @CsvSource({"100, 3, 1", "100, 20, 1.1", "180, 3, 1.1", "180, 20, 1"})
  void aQuickStartAndThenALostLinkHideNothing(int gone, int away, double off) {
    WaterBench bench = benchWithPumpsOff(off);
    inEachPortion(
        bench,
        () -> bench.on("fill"),
        () -> {
          startsAgain(bench, away);
          bench.liveUntil(() -> bench.on("fill") && bench.phase().equals("FILLING"), SOON);
          bench.live(5);
          losesTheLink(bench, gone);
        });
    nothingIsHidden(bench);
  }

  /** The pump's time brings nothing where the pump is dry, and top-off levels it. */
  @ParameterizedTest
  @CsvSource({"60, 0.2, 1", "150, 1, 1", "250, 1, 1.1", "150, 0.2, 1.1"})
  void aDryPumpAndALostLinkHideNothing(int gone, double topOff, double off) {
    WaterBench bench = bench(WaterBench.withoutSalinity());
    bench.fillLitresPerMinute = 0;
    bench.drainLitresPerMinute *= off;
    bench.topOffLitresPerMinute = topOff;
    inEachPortion(bench, () -> bench.phase().equals("FILLED"), () -> losesTheLink(bench, gone));
    nothingIsHidden(bench);
  }

  /** Nothing has power, top-off and return neither: what evaporates is filled with salt water. */
  @ParameterizedTest
  @CsvSource({"DRAINED, 170", "DRAINED, 120", "FILLING, 170", "FILLING, 120"})
  void aPowerCutOfTheWholeHouseEachNightHidesNothing(String phase, int minutes) {
    WaterBench bench = bench(WaterBench.withoutSalinity());
    for (int night = 0; night < 8 && bench.latches().isEmpty(); night++) {
      Instant opens = WaterBench.OPENS.plus(Duration.ofDays(night));
      if (night > 0) {
        bench.jumpsTo(opens.minusSeconds(1200));
        bench.binLitres = 120;
        bench.live(1190);
        bench.confirmsBatch();
      }
      bench.liveUntil(() -> bench.phase().equals(phase) && !bench.on("drain"), SOON);
      isWithoutAnyPower(bench, Duration.ofMinutes(minutes));
      while (bench.latches().isEmpty() && bench.wall.isBefore(opens.plusSeconds(WINDOW_SECONDS))) {
        bench.live(1);
      }
      assertThat(apart(bench)).as("night " + night).isLessThan(IMBALANCE);
    }
    assertThat(bench.latches()).isNotEmpty();
  }

  /**
   * What evaporates in hours without power, early in the draining and again before the filling, is
   * neither taken for drained nor made good with salt water.
   */
  @Test
  void twoLongPowerCutsInOnePortionOfANightHideNothing() {
    WaterBench bench = bench(WaterBench.withoutSalinity());
    for (int night = 0; night < 4 && bench.latches().isEmpty(); night++) {
      if (night > 0) {
        bench.jumpsTo(WaterBench.OPENS.plus(Duration.ofDays(night)).minusSeconds(1200));
        bench.binLitres = 120;
        bench.live(1190);
        bench.confirmsBatch();
      }
      bench.liveUntil(() -> bench.on("drain"), SOON);
      bench.live(10);
      isWithoutAnyPower(bench, Duration.ofMinutes(330));
      bench.liveUntil(() -> bench.phase().equals("WAITING") || bench.on("fill"), SOON);
      isWithoutAnyPower(bench, Duration.ofMinutes(65));
      bench.liveUntil(() -> bench.memory().portion() == null, SOON.multipliedBy(3));
      assertThat(apart(bench)).as("night " + night).isLessThan(IMBALANCE);
    }
    assertThat(bench.latches()).isNotEmpty();
    assertThat(apart(bench)).isLessThan(1.4);
  }

  private static void isWithoutAnyPower(WaterBench bench, Duration time) {
    bench.topsOff = false;
    bench.returnRuns = false;
    bench.isWithoutPower(time);
    bench.topsOff = true;
    bench.returnRuns = true;
    bench.live(25);
    bench.connects();
  }

  /** A keeper who resets another latch in mid-portion has measured nothing. */
  @Test
  void aResetOfABlockedDrainDoesNotMakeOutAndInEven() {
    WaterBench bench = bench(WaterBench.withoutSalinity());
    for (int round = 0; round < 5 && !bench.latches().containsKey("out-and-in-apart"); round++) {
      long before = bench.memory().lastPortion();
      bench.liveUntil(
          () ->
              bench.memory().lastPortion() > before
                  && bench.phase().equals("DRAINED")
                  && !bench.on("drain"),
          SOON.multipliedBy(2));
      losesTheLink(bench, 240);
      bench.liveUntil(() -> bench.memory().portion() == null, SOON);
      double drains = bench.drainLitresPerMinute;
      bench.drainLitresPerMinute = 0;
      bench.liveUntil(() -> !bench.latches().isEmpty(), SOON.multipliedBy(2));
      bench.drainLitresPerMinute = drains;
      if (bench.latches().containsKey("drain-blocked")) {
        assertThat(bench.asks("reset", "name", "drain-blocked").done()).isTrue();
      }
      assertThat(apart(bench)).as("round " + round).isLessThan(IMBALANCE);
    }
    assertThat(bench.latches()).containsOnlyKeys("out-and-in-apart");
  }

  /** One that was measured in between tells nothing of those before; a keeper does. */
  @Test
  void whatNobodySawCountsOverStartsUntilAKeeperHasMeasured() {
    WaterBench bench = bench(ConfigText.lab());
    bench.liveUntil(() -> bench.phase().equals("DRAINED") && !bench.on("drain"), SOON);
    bench.restarts(200);
    bench.connects();
    bench.liveUntil(() -> bench.records(Kind.FILLED).size() == 2, SOON.multipliedBy(3));
    assertThat(bench.memory().unseenMillilitres()).as("a portion of 0.5 L").isBetween(400L, 660L);
    bench.restarts(5);
    assertThat(bench.memory().unseenMillilitres()).isBetween(400L, 660L);
    bench.connects();
    isCutOff(bench, 200, () -> bench.phase().equals("DRAINED") && !bench.on("drain"));
    assertThat(bench.latches()).containsOnlyKeys("out-and-in-apart");
    bench.live(1200);
    assertThat(bench.asks("reset", "name", "out-and-in-apart").done()).isTrue();
    assertThat(bench.latches()).isEmpty();
    assertThat(bench.memory().unseenMillilitres()).isZero();
  }

  @Test
  void aStartWithNothingUnderWayCountsNothing() {
    WaterBench bench = bench(ConfigText.lab());
    bench.liveUntil(() -> !bench.records(Kind.FILLED).isEmpty(), SOON);
    bench.restarts(200);
    bench.connects();
    bench.liveUntil(() -> bench.records(Kind.FILLED).size() == 2, SOON.multipliedBy(3));
    assertThat(bench.memory().unseenMillilitres()).isZero();
  }

  /** The start took away what was known of the drain; of the fill this run knows all. */
  @ParameterizedTest
  @ValueSource(ints = {45, 70, 110, 180})
  void whatTopOffBroughtAfterAStartIsNotBookedAsExchange(int seconds) {
    WaterBench bench = bench(ConfigText.lab());
    bench.liveUntil(() -> bench.phase().equals("DRAINED") && !bench.on("drain"), SOON);
    bench.restarts(3);
    bench.connects();
    bench.liveUntil(() -> bench.on("fill"), SOON);
    bench.live(5);
    bench.event(new Event.LinkDown("gone"));
    bench.live(seconds);
    bench.connects();
    assertThat(bench.liveUntil(() -> !bench.records(Kind.FILLED).isEmpty(), SOON)).isTrue();
    double in = (Long) bench.last(Kind.FILLED).fields().get("in-ml") / 1000.0;
    assertThat(in).isCloseTo(bench.filledLitres, within(0.07));
  }

  /** As quick as a pump may be: 0.32 L of a portion of 0.5 L by one command, delivered late. */
  @ParameterizedTest
  @ValueSource(strings = {"drain", "fill"})
  void aBlipOfTheLinkIsNoBlockedPump(String pump) {
    WaterBench bench =
        bench(
            ConfigText.lab()
                .with("lagoon/drain/set, rate: 250 mL", "lagoon/drain/set, rate: 1200 mL")
                .with("lagoon/fill/set,  rate: 250 mL", "lagoon/fill/set,  rate: 1200 mL"));
    bench.drainLitresPerMinute = 1.2;
    bench.fillLitresPerMinute = 1.2;
    bench.liveUntil(() -> bench.on(pump), SOON);
    bench.live(1);
    bench.event(new Event.LinkDown("gone"));
    bench.live(3);
    bench.connects();
    bench.liveUntil(
        () -> !bench.records(Kind.FILLED).isEmpty() || !bench.latches().isEmpty(), SOON);
    assertThat(bench.latches()).isEmpty();
  }
}

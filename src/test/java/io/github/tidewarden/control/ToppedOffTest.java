package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import io.github.tidewarden.config.ConfigText;
import java.time.Duration;
import java.util.Objects;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/**
 * Hazard F39: what holds top-off lets go in mid-portion, and fresh water takes the place of what
 * was drained. The hold drops out 30 s after its last word, and top-off brings 0.2 L/min.
 */
class ToppedOffTest {
  private static final Duration SOON = Duration.ofMinutes(40);

  private static WaterBench bench(long seed) {
    return begun(new WaterBench(seed, WaterBench.OPENS.minusSeconds(1200)));
  }

  private static WaterBench begun(WaterBench bench) {
    bench.connects();
    bench.live(1190);
    bench.confirmsBatch();
    return bench;
  }

  private static void untilPumpsRestIn(WaterBench bench, String phase) {
    assertThat(
            bench.liveUntil(
                () -> bench.phase().equals(phase) && !bench.on("drain") && !bench.on("fill"), SOON))
        .isTrue();
  }

  private static void losesLink(WaterBench bench, int seconds) {
    bench.event(new Event.LinkDown("gone"));
    bench.live(seconds);
    bench.connects();
  }

  private static double booked(WaterBench bench, String field) {
    return (Long) bench.last(Kind.FILLED).fields().get(field) / 1000.0;
  }

  /** The books tell what the pumps moved, and not what the level shows. */
  @ParameterizedTest
  @ValueSource(ints = {20, 45, 70, 110, 120, 180})
  void whatTopOffBroughtWhileTheBrokerWasAwayIsNotBookedAsExchange(int seconds) {
    WaterBench bench = bench(3);
    double before = bench.toppedLitres;
    untilPumpsRestIn(bench, "DRAINED");
    losesLink(bench, seconds);
    assertThat(bench.liveUntil(() -> !bench.records(Kind.FILLED).isEmpty(), SOON)).isTrue();
    double fresh = bench.toppedLitres - before;
    assertThat(booked(bench, "out-ml")).as("out").isCloseTo(bench.drainedLitres, within(0.06));
    assertThat(booked(bench, "in-ml")).as("in").isCloseTo(bench.filledLitres, within(0.06));
    assertThat(bench.latches()).isEmpty();
    assertThat(bench.records(Kind.NOTICE).stream().map(r -> r.fields().get(Fields.NAME)))
        .as(fresh + " L of fresh water")
        .hasSize(fresh > 0.14 ? 1 : 0)
        .allMatch("topped-off"::equals);
  }

  /**
   * The program is held up, and the pump drops out when its lease is over, and so does the hold: no
   * more is booked than the lease let out, and the rest of the share is exchanged.
   */
  @ParameterizedTest
  @CsvSource({"drain, 35", "drain, 60", "drain, 190", "drain, 464", "fill, 60", "fill, 464"})
  void aPumpThatDroppedOutInAStandstillIsBookedNoLongerThanItsLease(String pump, int seconds) {
    WaterBench bench = bench(5);
    assertThat(bench.liveUntil(() -> bench.on(pump), SOON)).isTrue();
    bench.live(25);
    bench.standsStill(seconds);
    assertThat(bench.liveUntil(() -> !bench.records(Kind.FILLED).isEmpty(), SOON)).isTrue();
    assertThat(booked(bench, "out-ml")).as("out").isCloseTo(bench.drainedLitres, within(0.08));
    assertThat(booked(bench, "in-ml")).as("in").isCloseTo(bench.filledLitres, within(0.08));
    assertThat(bench.latches()).isEmpty();
  }

  /** The relay of the hold lets go by itself, with the link up. */
  @ParameterizedTest
  @CsvSource({"DRAINED, 60", "DRAINED, 100"})
  void whatItBroughtWhileTheHoldItselfLetGoIsNotEither(String phase, int seconds) {
    WaterBench bench = bench(4);
    untilPumpsRestIn(bench, phase);
    bench.holdMute = true;
    for (int second = 0; second < seconds; second++) {
      bench.onUntil.put("top-off-hold", 0L);
      bench.says("lab/lagoon/top-off/state", "{\"on\":false}");
      bench.live(1);
    }
    bench.holdMute = false;
    assertThat(bench.liveUntil(() -> !bench.records(Kind.FILLED).isEmpty(), SOON)).isTrue();
    assertThat(bench.toppedLitres).isPositive();
    assertThat(booked(bench, "out-ml")).isCloseTo(bench.drainedLitres, within(0.06));
    assertThat(booked(bench, "in-ml")).isCloseTo(bench.filledLitres, within(0.06));
  }

  /** A link that goes for a minute and more every ten minutes of the night, for three nights. */
  @ParameterizedTest
  @ValueSource(ints = {60, 75})
  void aLinkThatGoesAllNightLongDoesNotMakeTheTankFresh(int gap) {
    WaterBench bench =
        begun(
            new WaterBench(
                WaterBench.lagoon(WaterBench.withoutSalinity()),
                7,
                WaterBench.OPENS.minusSeconds(1200)));
    for (int night = 1; night <= 3; night++) {
      for (int second = 0; second < 9 * 3600; second++) {
        bench.live(1);
        if (second % 555 == 140) {
          losesLink(bench, gap);
          second += gap;
        }
      }
      assertThat(bench.psu()).as("night " + night).isCloseTo(35, within(0.1));
      assertThat(Math.abs(bench.drainedLitres - bench.filledLitres))
          .as("out and in apart after night " + night + ", " + bench.latches())
          .isLessThan(1.7);
      bench.jumpsTo(WaterBench.OPENS.plus(Duration.ofDays(night)).minusSeconds(1200));
      bench.binLitres = 120;
      bench.live(1190);
      bench.confirmsBatch();
    }
  }

  /**
   * The link goes while a pump runs, which goes on until its lease is over: that counts as well.
   */
  @ParameterizedTest
  @CsvSource({"drain, 45", "fill, 28"})
  void whatAPumpMovesAfterTheLinkWentIsBooked(String pump, int seconds) {
    WaterBench bench = bench(8);
    int gone = 0;
    long portion = 0;
    for (int second = 0; second < 9 * 3600; second++) {
      bench.live(1);
      long open = bench.memory().portion() == null ? 0 : bench.memory().lastPortion();
      gone = open == portion ? gone : 0;
      portion = open;
      if (open > 0 && gone < 2 && bench.on(pump) && second % 40 == 0) {
        gone++;
        losesLink(bench, seconds);
        second += seconds;
      }
    }
    assertThat(Math.abs(bench.drainedLitres - bench.filledLitres))
        .as("out and in apart, " + bench.latches())
        .isLessThan(0.9);
    assertThat(bench.psu()).isCloseTo(35, within(0.1));
    assertThat(bench.drainedLitres).as("of 10.2 L owed").isLessThan(10.7);
    assertThat(bench.levelMm()).isLessThan(216);
  }

  /** The last lease holds top-off while the link is away for less. */
  @ParameterizedTest
  @ValueSource(ints = {3, 10, 18})
  void aShortBlipLetsNothingInAndTheLevelIsTheMeasure(int seconds) {
    WaterBench bench = bench(9);
    bench.drainLitresPerMinute = 0.2;
    untilPumpsRestIn(bench, "DRAINED");
    losesLink(bench, seconds);
    assertThat(bench.liveUntil(() -> !bench.records(Kind.FILLED).isEmpty(), SOON)).isTrue();
    assertThat(bench.records(Kind.NOTICE)).isEmpty();
    assertThat(booked(bench, "out-ml")).isCloseTo(bench.drainedLitres, within(0.05));
    assertThat(bench.memory().drain().learnt())
        .as("it teaches that the pump is slow")
        .isLessThan(PumpMemory.microlitres(0.25));
  }

  /** A pair of which one head is blocked is found out, whatever the link does. */
  @ParameterizedTest
  @ValueSource(ints = {20, 70, 110})
  void pairedHeadsApartAreFoundInTheFirstPortionAllTheSame(int seconds) {
    ConfigText text =
        ConfigText.lab().with("      per-day: 3 %", "      kind: paired\n      per-day: 3 %");
    WaterBench bench =
        begun(new WaterBench(WaterBench.lagoon(text), 10, WaterBench.OPENS.minusSeconds(1200)));
    bench.drainLitresPerMinute = 0;
    assertThat(bench.liveUntil(() -> bench.on("fill"), SOON)).isTrue();
    bench.live(30);
    losesLink(bench, seconds);
    assertThat(bench.liveUntil(() -> !bench.latches().isEmpty(), SOON)).isTrue();
    assertThat(bench.latches()).containsOnlyKeys("pumps-apart");
    assertThat(bench.filledLitres).isLessThan(0.7);
  }

  /** A fill pump that brings little, and an outage in each portion that hides it. */
  @ParameterizedTest
  @ValueSource(doubles = {0.08, 0.15})
  void portionsInARowThatNobodyCanMeasureWaitForTheKeeper(double litresPerMinute) {
    WaterBench bench = losingItsLinkInEachPortion(litresPerMinute, 75);
    assertThat(bench.latches()).containsOnlyKeys("out-and-in-apart");
    assertThat(bench.drainedLitres - bench.filledLitres).isLessThan(1.7);
    assertThat(bench.asks("reset", "name", "out-and-in-apart").done()).isTrue();
    bench.live(30);
    assertThat(bench.latches()).as("a reset begins the sum anew").isEmpty();
  }

  /** One that brings nothing is found in the first portion. */
  @Test
  void aDryFillPumpIsFoundWhateverTheLinkDoes() {
    WaterBench bench = losingItsLinkInEachPortion(0, 110);
    assertThat(bench.latches()).containsOnlyKeys("fill-dry");
    assertThat(bench.records(Kind.PORTION)).hasSize(1);
  }

  /** Each time the drain pump has come to rest, for so long, until something is latched. */
  private static WaterBench losingItsLinkInEachPortion(double fillLitresPerMinute, int seconds) {
    WaterBench bench = bench(11);
    bench.fillLitresPerMinute = fillLitresPerMinute;
    boolean before = false;
    for (int second = 0; second < 9 * 3600 && bench.latches().isEmpty(); second++) {
      bench.live(1);
      boolean rests = bench.phase().equals("DRAINED") && !bench.on("drain") && !bench.on("fill");
      if (rests && !before) {
        losesLink(bench, seconds);
        second += seconds;
      }
      before = rests;
    }
    return bench;
  }

  /** A step fails in a portion: nobody watches it any more, and the hold lets go. */
  @ParameterizedTest
  @ValueSource(strings = {"DRAINING", "DRAINED", "FILLING", "FILLED"})
  void aPortionInWhichAStepFailedWaitsForItsKeeper(String phase) {
    WaterBench bench = bench(6);
    assertThat(bench.liveUntil(() -> bench.phase().equals(phase), SOON)).isTrue();
    bench.live(20);
    bench.state = Broken.of(bench.state, "lagoon");
    bench.live(600);
    assertThat(bench.latches()).containsOnlyKeys("internal-fault", "top-off-released");
    double drained = bench.drainedLitres;
    double filled = bench.filledLitres;
    bench.restarts(5);
    bench.connects();
    assertThat(bench.asks("reset", "name", "internal-fault").done()).isTrue();
    bench.live(900);
    assertThat(bench.latches()).containsOnlyKeys("top-off-released");
    assertThat(bench.records(Kind.FILLED)).as("nothing is booked as new water").isEmpty();
    assertThat(bench.drainedLitres).isEqualTo(drained);
    assertThat(bench.filledLitres).isEqualTo(filled);
    assertThat(bench.asks("reset", "name", "top-off-released").done()).isTrue();
    assertThat(bench.memory().portion())
        .as("it is given up")
        .matches(p -> p == null || p.number() > 1);
    assertThat(bench.memory().drainedIn24h(bench.state.remembered().boot(), bench.now()))
        .as("it counts whole, mL")
        .isGreaterThanOrEqualTo(Math.round(1000 * drained) - 10);
  }

  /** It fails while the reservation is on its way: live and recovered memory stay one. */
  @Test
  void aStepThatFailsWhileAReservationIsOnItsWayIsRememberedAsAfterACrash() {
    WaterBench bench = bench(7);
    bench.diskSlow = true;
    assertThat(
            bench.liveUntil(
                () -> Objects.requireNonNull(bench.state.tanks().get("lagoon")).pending() != null,
                SOON))
        .isTrue();
    bench.state = Broken.of(bench.state, "lagoon");
    bench.live(2);
    bench.diskSlow = false;
    bench.live(5);
    assertThat(bench.latches()).containsKey("internal-fault");
    assertThat(bench.on("drain")).isFalse();
  }
}

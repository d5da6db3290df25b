package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import io.github.tidewarden.exchange.Exchange;
import io.github.tidewarden.exchange.ExchangeSpec;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import org.junit.jupiter.params.provider.ValueSource;

/** Several tanks at one bin: one portion at a time, in order, and nobody starves. */
class SharedWaterTest {

  /** Tanks that all use one bin; see {@link SharedBench}. */
  private static SharedBench bench(int tanks) {
    SharedBench bench = new SharedBench(tanks);
    bench.live(1190);
    bench.confirms("tank-0");
    return bench;
  }

  @Test
  void onePortionAtATimeAndEveryTankGetsItsShare() {
    SharedBench bench = bench(4);
    bench.live((int) Duration.ofHours(9).toSeconds());
    assertThat(bench.mostAtOnce).isEqualTo(1);
    for (String tank : bench.tanks()) {
      assertThat(bench.portions(tank)).as(tank).isBetween(9L, 13L);
    }
    // At first all are due at once: in the order of the configuration.
    List<String> first = new ArrayList<>();
    bench.records.stream()
        .filter(record -> record.kind() == Kind.PORTION)
        .limit(8)
        .forEach(record -> first.add(record.tank()));
    assertThat(first.subList(0, 4)).isEqualTo(bench.tanks());
    assertThat(first.subList(4, 8)).isEqualTo(bench.tanks());
  }

  @Test
  void aTankThatWaitsForItsKeeperHoldsNobodyUp() {
    SharedBench bench = bench(2);
    bench.stuck = "tank-0";
    bench.live((int) Duration.ofHours(2).toSeconds());
    assertThat(bench.state.remembered().tank("tank-0").latches()).isNotEmpty();
    assertThat(bench.portions("tank-1")).isPositive();
  }

  /** The level of one falls silent in mid-portion: the others wait for half an hour and go on. */
  @ParameterizedTest
  @EnumSource(names = {"DRAINING", "DRAINED", "FILLING"})
  void aPortionThatStandsStillGivesWayAndIsFilledLater(Exchange.Phase phase) {
    SharedBench bench = bench(3);
    bench.livesUntil("tank-1", phase);
    bench.live(30);
    bench.silent = "tank-1";
    long before = bench.portions("tank-2");
    bench.live(1900);
    assertThat(bench.portions("tank-2")).isEqualTo(before);
    assertThat(bench.pumped("tank-1", "drain")).isPositive();
    AuditRecord told = bench.records(Kind.NOTICE).get(0);
    assertThat(told.tank()).isEqualTo("tank-1");
    assertThat(told.fields()).containsEntry(Fields.NAME, "portion-waits");
    assertThat(told.why())
        .startsWith(
            "the portion under way has stood still for 30 min, and others go on meanwhile:");
    bench.live(4 * 3600);
    assertThat(bench.portions("tank-0")).isGreaterThan(3);
    assertThat(bench.portions("tank-2")).isGreaterThan(3);
    assertThat(bench.records(Kind.NOTICE)).as("told once").hasSize(1);
    double out = bench.pumped("tank-1", "drain");
    assertThat(bench.portions("tank-1")).isZero();

    bench.livesUntil("tank-0", Exchange.Phase.DRAINING);
    bench.silent = null;
    int from = bench.records.size();
    while (bench.portions("tank-1") == 0) {
      bench.live(1);
    }
    assertThat(bench.records.subList(from, bench.records.size()).stream())
        .filteredOn(record -> List.of(Kind.FILLED, Kind.PORTION).contains(record.kind()))
        .extracting(AuditRecord::tank)
        .as("the one under way, and this before another begins")
        .startsWith("tank-0", "tank-1");
    assertThat(bench.pumped("tank-1", "drain")).as("never drained again").isEqualTo(out);
    assertThat(bench.litres("tank-1")).isCloseTo(20, within(0.1));
    assertThat(bench.mostPumping).isEqualTo(1);
    assertThat(bench.latches()).isEmpty();
  }

  /**
   * Killed while one stands still and another is in its portion. Of a portion that a start cut off
   * nobody knows what came in: of half a litre, two would pass the limit of one.
   */
  @Test
  void aRestartLetsNobodyStarveEither() {
    SharedBench bench = bench(2);
    bench.livesUntil("tank-1", Exchange.Phase.FILLING);
    bench.silent = "tank-1";
    bench.livesUntil("tank-0", Exchange.Phase.FILLING);
    bench.restarts();
    bench.live(3 * 3600);
    assertThat(bench.portions("tank-0")).as("the one under way").isEqualTo(2);
    assertThat(bench.state.remembered().tank("tank-0").latches())
        .containsOnlyKeys("out-and-in-apart");
    bench.silent = null;
    bench.live(1800);
    assertThat(bench.portions("tank-1")).isPositive();
    assertThat(bench.mostPumping).isEqualTo(1);
    assertThat(bench.state.remembered().tank("tank-1").latches())
        .containsOnlyKeys("out-and-in-apart");
  }

  /** A latch that stops ozone stops no pump, so the tank is not one that waits for its keeper. */
  @Test
  void aTankWithALatchOfItsOzoneIsStillServedAlone() {
    SharedBench bench = new SharedBench(2);
    bench.ozoneInAirOf = "tank-0";
    bench.live(1190);
    assertThat(bench.state.remembered().tank("tank-0").latches()).containsOnlyKeys("room-ozone");
    bench.confirms("tank-0");
    bench.live((int) Duration.ofHours(2).toSeconds());
    assertThat(bench.mostPumping).isEqualTo(1);
    assertThat(bench.portions("tank-0")).isPositive();
    assertThat(bench.portions("tank-1")).isPositive();
  }

  @Test
  void oneBatchIsForAllAndWhatEachDrawsIsCounted() {
    SharedBench bench = bench(3);
    bench.live((int) Duration.ofHours(1).toSeconds());
    long drawn =
        bench.records.stream()
            .filter(record -> record.kind() == Kind.FILLED)
            .mapToLong(record -> (Long) record.fields().get(Fields.IN_ML))
            .sum();
    assertThat(drawn).isPositive();
    assertThat(bench.state.remembered().bins()).containsOnlyKeys("cellar");
    assertThat(bench.state.remembered().bin("cellar").drawnMillilitres()).isEqualTo(drawn);
  }

  /** Hazard F17: confirmed through one tank at 25 degrees, and the other has 19. */
  @Test
  void aSharedBatchIsHeldAgainstTheTemperatureOfEachTank() {
    SharedBench bench = SharedBench.withProbes(2);
    bench.celsius.put("tank-0", 25.0);
    bench.celsius.put("tank-1", 19.0);
    bench.live(1190);
    bench.confirms("tank-0");
    bench.live(1200);
    bench.restarts();
    bench.live(2400);
    assertThat(bench.portions("tank-0")).isPositive();
    assertThat(bench.records(Kind.PORTION)).extracting(AuditRecord::tank).doesNotContain("tank-1");
    assertThat(bench.why("tank-1"))
        .isEqualTo(
            "the new water as it was confirmed: 25.00 °C is more than 2 K off the tank, which has"
                + " 19.00 °C");
    bench.celsius.put("tank-1", 23.5);
    bench.live(1800);
    assertThat(bench.portions("tank-1")).isPositive();
  }

  /** Judged before a portion, and what is out comes in whatever the probe says then. */
  @Test
  void aProbeThatFallsSilentInMidPortionHindersTheNextOneOnly() {
    SharedBench bench = SharedBench.withProbes(1);
    bench.celsius.put("tank-0", 25.0);
    bench.live(1190);
    bench.confirms("tank-0");
    bench.livesUntil("tank-0", Exchange.Phase.DRAINING);
    bench.celsius.clear();
    bench.live(2 * 3600);
    assertThat(bench.portions("tank-0")).isEqualTo(1);
    assertThat(bench.why("tank-0")).endsWith("so nobody knows whether it is as warm");
  }

  /** A level that others move is no leak. */
  @Test
  void tanksOfOneSumpTakeTurnsAndNoneSeesALeakInTheOthers() {
    SharedBench bench = SharedBench.oneSump();
    bench.live(1190);
    bench.confirms("tank-0");
    bench.live((int) Duration.ofHours(9).toSeconds());
    assertThat(bench.mostAtOnce).isEqualTo(1);
    for (String tank : bench.tanks()) {
      assertThat(bench.state.remembered().tank(tank).latches()).as(tank).isEmpty();
      assertThat(bench.portions(tank)).as(tank).isBetween(9L, 13L);
    }
  }

  /** One valve tops off the sump of both: it is held for whoever has a portion on it. */
  @Test
  void topOffOfACommonSumpIsHeldForThePortionsOfAll() {
    SharedBench bench = SharedBench.toppedOffSump();
    while (bench.portions("tank-1") == 0) {
      bench.live(1);
    }
    bench.live(590);
    assertThat(bench.held()).as("10 min after a portion of the other").isTrue();
    bench.dry = "tank-1";
    while (bench.state.remembered().tank("tank-1").latches().isEmpty()) {
      bench.live(1);
    }
    bench.live(3600);
    assertThat(bench.held()).isTrue();
    assertThat(bench.topped).isZero();
  }

  /** A batch that comes late, so that much is due at once: nobody outruns the two hours. */
  @ParameterizedTest
  @ValueSource(ints = {3, 5})
  void portionsThatFollowEachOtherOnACommonSumpAllHaveTopOffHeld(int tanks) {
    SharedBench bench = SharedBench.oneSump(tanks);
    bench.topsOff = true;
    bench.live((int) Duration.ofHours(3).plusMinutes(20).toSeconds());
    bench.confirms("tank-0");
    bench.live((int) Duration.ofHours(6).toSeconds());
    for (String tank : bench.tanks()) {
      assertThat(bench.portions(tank)).as(tank).isGreaterThanOrEqualTo(3);
      assertThat(bench.state.remembered().tank(tank).latches()).as(tank).isEmpty();
    }
    assertThat(bench.records(Kind.NOTICE)).isEmpty();
    assertThat(bench.unheldPumping).isZero();
    assertThat(bench.toppedInPortion).isZero();
  }

  /** The sensor of the sump falls silent in a portion of the tank that has no hold of its own. */
  @Test
  void topOffThatIsReleasedInAPortionOfAnotherLatchesThatOne() {
    SharedBench bench = SharedBench.toppedOffSump();
    while (bench.state.tanks().get("tank-1").water().rule().phase() != Exchange.Phase.FILLING) {
      bench.live(1);
    }
    bench.silent = "tank-0";
    bench.live((int) Duration.ofMinutes(170).toSeconds());
    assertThat(bench.state.remembered().tank("tank-1").latches())
        .containsOnlyKeys("top-off-released");
    assertThat(bench.state.remembered().tank("tank-0").latches()).isEmpty();
    assertThat(bench.toppedInPortion).isZero();
    assertThat(bench.topped).as("what was drained, or most of it").isPositive();
    long before = bench.portions("tank-0");
    bench.silent = null;
    bench.live(3600);
    assertThat(bench.portions("tank-0")).as("the other goes on").isGreaterThan(before);
    assertThat(bench.portions("tank-1")).isZero();
    assertThat(bench.unheldPumping).isZero();
  }

  /** The tank that has the hold fails, and top-off is let go in a portion of the other. */
  @ParameterizedTest
  @EnumSource(names = {"DRAINED", "FILLING"})
  void aTankThatFailsLetsGoOfTopOffAndLatchesThePortionOfAnother(Exchange.Phase phase) {
    SharedBench bench = SharedBench.toppedOffSump();
    bench.livesUntil("tank-1", phase);
    bench.live(10);
    bench.breaks("tank-0");
    bench.live(3600);
    assertThat(bench.latches()).containsExactly("internal-fault", "top-off-released");
    assertThat(bench.topped).as("fresh water came in").isPositive();
    assertThat(bench.toppedInPortion).as("and none into a portion that may go on").isZero();
    assertThat(bench.portions("tank-1")).as("it is not booked as new water").isZero();
    assertThat(bench.unheldPumping).isZero();
    bench.live(2 * 3600);
    assertThat(bench.records(Kind.PORTION)).as("nobody begins another").hasSize(2);
  }

  /** What holds top-off for it is another tank's, and lets go in its portion. */
  @Test
  void whatAnotherTanksTopOffBroughtIsNotBookedAsExchange() {
    SharedBench bench = SharedBench.toppedOffSump();
    bench.livesUntil("tank-1", Exchange.Phase.DRAINED);
    bench.live(10);
    bench.losesLink(110);
    while (bench.portions("tank-1") == 0) {
      bench.live(1);
    }
    AuditRecord filled =
        bench.records(Kind.FILLED).stream()
            .filter(record -> record.tank().equals("tank-1"))
            .findFirst()
            .orElseThrow();
    assertThat(bench.topped).isGreaterThan(0.1);
    assertThat((Long) filled.fields().get("out-ml") / 1000.0)
        .isCloseTo(bench.pumped("tank-1", "drain"), within(0.03));
  }

  /** The tank without the hold fails, and the daemon starts again before its keeper comes. */
  @Test
  void aTankThatFailsInAPortionIsLatchedOverAStartToo() {
    SharedBench bench = SharedBench.toppedOffSump();
    bench.livesUntil("tank-1", Exchange.Phase.FILLING);
    bench.live(10);
    bench.breaks("tank-1");
    bench.live(2 * 3600 + 1200);
    bench.restarts();
    bench.live(60);
    bench.resets("tank-1", "internal-fault");
    bench.live(1200);
    assertThat(bench.state.remembered().tank("tank-1").latches())
        .containsOnlyKeys("top-off-released");
    assertThat(bench.portions("tank-1")).isZero();
  }

  /**
   * A portion that stood still, and may go on, comes before the next portion of another that has
   * waited for longer.
   */
  @Test
  void whoGaveWayGoesOnBeforeAnotherBegins() {
    SharedBench bench = new SharedBench(3);
    bench.live(1190);
    bench.confirms("tank-0");
    bench.livesUntil("tank-2", Exchange.Phase.FILLING);
    bench.live(5);
    bench.silent = "tank-2";
    bench.live(40 * 60);
    bench.livesUntil("tank-0", Exchange.Phase.FILLING);
    bench.silent = null;
    long portions = bench.records(Kind.PORTION).size();
    while (bench.portions("tank-2") == 0) {
      bench.live(1);
    }
    assertThat(bench.records(Kind.PORTION)).as("nobody began another").hasSize((int) portions);
    assertThat(bench.latches()).isEmpty();
  }

  /**
   * A portion that waits for its keeper gives way at once, untold, and goes on after the portion
   * that another began meanwhile.
   */
  @Test
  void aPortionThatWaitsForItsKeeperIsNotToldAsOneThatStandsStill() {
    SharedBench bench = SharedBench.oneSump();
    bench.live(1190);
    bench.confirms("tank-0");
    bench.livesUntil("tank-0", Exchange.Phase.FILLING);
    bench.live(5);
    bench.dry = "tank-0";
    bench.live(3 * 3600);
    assertThat(bench.latches()).contains("level-stuck");
    assertThat(bench.records(Kind.NOTICE))
        .extracting(notice -> notice.fields().get(Fields.NAME))
        .doesNotContain("portion-waits");
    assertThat(bench.portions("tank-1")).isPositive();
  }

  /**
   * The hold on the top-off of one tank fails while a portion of it is under way: the others have
   * its turns after half an hour, and not only once it is released after two.
   */
  @ParameterizedTest
  @EnumSource(
      value = Exchange.Phase.class,
      names = {"DRAINING", "DRAINED", "FILLING"})
  void aPortionWhoseTopOffCannotBeHeldGivesWay(Exchange.Phase phase) {
    SharedBench bench = SharedBench.withHolds(2);
    bench.live(1190);
    bench.confirms("tank-0");
    bench.livesUntil("tank-0", phase);
    bench.deaf = "tank-0/hold";
    bench.live(35 * 60);
    assertThat(bench.records(Kind.NOTICE))
        .extracting(notice -> notice.fields().get(Fields.NAME))
        .containsExactly("portion-waits");
    bench.live(65 * 60);
    assertThat(bench.portions("tank-1")).isGreaterThanOrEqualTo(2);
    assertThat(bench.records(Kind.NOTICE)).as("told once").hasSize(1);
    assertThat(bench.mostPumping).isEqualTo(1);
  }

  /** A portion that waits for its keeper for good has no use of the hold; the others still have. */
  @Test
  void aTankOfACommonSumpThatWaitsForItsKeeperLeavesTheHoldToTheOthers() {
    SharedBench bench = SharedBench.oneSump();
    bench.topsOff = true;
    bench.stuck = "tank-0";
    bench.live(1190);
    bench.confirms("tank-0");
    bench.live((int) Duration.ofHours(8).toSeconds());
    assertThat(bench.state.remembered().tank("tank-0").latches())
        .containsOnlyKeys("level-stuck", "top-off-released");
    assertThat(bench.state.remembered().tank("tank-1").latches()).isEmpty();
    assertThat(bench.portions("tank-1")).isGreaterThanOrEqualTo(5);
    assertThat(bench.unheldPumping).isZero();
  }

  /** By the ledger alone: 20 L are confirmed, and 5 % of 120 L stay in the bin. */
  @Test
  void aBinWithoutASensorRunsLowByItsLedger() {
    SharedBench bench = new SharedBench(3);
    bench.live(1190);
    bench.confirms("tank-1", "volume", "8 L");
    bench.live((int) Duration.ofHours(5).toSeconds());
    long drawn = bench.state.remembered().bin("cellar").drawnMillilitres();
    assertThat(drawn).isBetween(1_000L, 2_000L);
    assertThat(bench.why("tank-0")).contains("by the ledger").contains("of new water are left");
    bench.confirms("tank-2");
    bench.live(3600);
    assertThat(bench.state.remembered().bin("cellar").drawnMillilitres()).isPositive();
  }

  @Test
  void whoSharesNothingWaitsForNobody() {
    ExchangeSpec alone = SharedBench.exchange("alone", List.of());
    assertThat(alone.shares()).isEmpty();
    SharedBench bench = new SharedBench(List.of(List.of("a"), List.of("a", "b"), List.of("c")));
    bench.live(1190);
    bench.confirms("tank-0");
    bench.live(1200);
    assertThat(bench.records(Kind.PORTION).stream().map(AuditRecord::tank).limit(2))
        .containsExactlyInAnyOrder("tank-0", "tank-2");
  }

  /**
   * A portion that stands still gives way to nobody whose water the same sensor measures: each
   * would take what the other moved for its own.
   */
  @Test
  void onACommonSumpNobodyBeginsBesideAHalfDonePortion() {
    SharedBench bench = SharedBench.oneSump();
    bench.live(1190);
    bench.confirms("tank-0");
    bench.livesUntil("tank-1", Exchange.Phase.FILLING);
    bench.live(5);
    double drained = bench.pumped("tank-0", "drain");
    bench.stopped.add("tank-1");
    bench.live(50 * 60);
    assertThat(bench.pumped("tank-0", "drain")).isEqualTo(drained);
    bench.stopped.remove("tank-1");
    long before = bench.portions("tank-1");
    bench.live(30 * 60);
    assertThat(bench.portions("tank-1")).isGreaterThan(before);
    assertThat(bench.latches()).isEmpty();
  }
}

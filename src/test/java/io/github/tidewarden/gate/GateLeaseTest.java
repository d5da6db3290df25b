package io.github.tidewarden.gate;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Leases and reservations as timed stories (DEVELOPERS.md, D10 to D14 and D57). */
class GateLeaseTest {
  private static final long SECOND = GateBench.SECOND;
  private static final long MINUTE = GateBench.MINUTE;
  private static final String NO_WINDOW_LEFT = "too little is left of the window";
  private static final String SPENT = "the allowance is spent";

  private final GateBench bench = new GateBench();

  /** With its expiry the lease is over before the window is; under 1 s means rest. */
  @ParameterizedTest
  @CsvSource({
    "40000, 30",
    "39999, 29",
    "39000, 29",
    "38000, 29",
    "3000, 2",
    "2999, 1",
    "2000, 1",
    "1999, 0",
    "1000, 0",
    "1, 0"
  })
  void aLeaseIsCutToTheWindow(long leftMillis, int lease) {
    bench.grant = 5 * MINUTE;
    bench.leftInWindow(Duration.ofMillis(leftMillis));
    assertLease(bench.decide(), lease, NO_WINDOW_LEFT);
  }

  @ParameterizedTest
  @CsvSource({
    "40000, 30",
    "39999, 29",
    "39000, 29",
    "38000, 29",
    "3000, 2",
    "2999, 1",
    "2000, 1",
    "1999, 0",
    "1000, 0",
    "1, 0"
  })
  void aLeaseIsCutToTheReservation(long grantedMillis, int lease) {
    bench.grant = Duration.ofMillis(grantedMillis).toNanos();
    assertLease(bench.decide(), lease, SPENT);
  }

  private static void assertLease(Gate.Decision decision, int lease, String why) {
    if (lease == 0) {
      assertThat(decision.command()).isNull();
      assertThat(decision.lease()).isNull();
      assertThat(decision.reserveNanos()).isZero();
      assertThat(decision.denials()).containsExactly(why);
    } else {
      assertThat(decision.command().leaseSeconds()).isEqualTo(lease);
      assertThat(decision.denials()).isEmpty();
    }
  }

  /** Such a device always runs its whole drop-out time, so all of it must fit. */
  @ParameterizedTest
  @CsvSource({"40000, 30", "39999, 0", "2000, 0"})
  void aDeviceWhoseMessageCarriesNoLeaseNeedsItsWholeDropOut(long leftMillis, int lease) {
    bench.gate = GateBench.gate(30, GateBench.WITHOUT_LEASE, GateBench.limits());
    bench.grant = 5 * MINUTE;
    bench.leftInWindow(Duration.ofMillis(leftMillis));
    Gate.Decision decision = bench.decide();
    assertLease(decision, lease, NO_WINDOW_LEFT);
    if (lease > 0) {
      assertThat(decision.command().payload()).isEqualTo("on");
      assertThat(decision.command().expirySeconds()).isEqualTo(10);
    }
  }

  @Test
  void itIsRenewedAtAThirdAndNotBefore() {
    bench.running().passes(Duration.ofSeconds(10).minusNanos(1));
    Gate.Decision before = bench.decide();
    assertThat(before.command()).isNull();
    assertThat(before.lease()).isNotNull();
    bench.passes(Duration.ofNanos(1));
    Gate.Decision at = bench.decide();
    assertThat(at.command().leaseSeconds()).isEqualTo(30);
    assertThat(at.lease().startedNanos()).isEqualTo(before.lease().startedNanos());
    assertThat(at.lease().boundNanos()).isEqualTo(bench.mono + 40 * SECOND);
  }

  @Test
  void aLateRenewalStillCountsWhileTheLeaseLives() {
    bench.running().passes(Duration.ofSeconds(30).minusNanos(1));
    assertThat(bench.decide().command().runs()).isTrue();
  }

  @Test
  void aLeaseThatRanOutIsNotRenewedButRests() {
    bench.running().passes(Duration.ofSeconds(30));
    Gate.Decision decision = bench.decide();
    assertThat(decision.command().runs()).isFalse();
    assertThat(decision.denials()).containsExactly("its lease ran out before it was renewed");
  }

  /** 45 s of standstill in the middle of a dose: nothing is continued. */
  @Test
  void aStandstillEndsTheRun() {
    bench.running().passes(Duration.ofSeconds(45));
    assertThat(bench.decide().command().runs()).isFalse();
    assertThat(bench.lease).isNull();
  }

  /** The last 30 s of a window, second by second: what is sent, with lease and expiry. */
  @Test
  void aRunFadesOutBeforeTheWindowCloses() {
    bench.grant = 5 * MINUTE;
    bench.leftInWindow(Duration.ofSeconds(30));
    StringBuilder told = new StringBuilder();
    for (int left = 30; left > 0; left--) {
      Gate.Decision decision = bench.decide();
      Command command = decision.command();
      if (command != null) {
        told.append(left).append(command.runs() ? ": " + command.leaseSeconds() : ": rest");
        told.append(command.runs() ? "+" + command.expirySeconds() + "  " : "");
      }
      if (decision.lease() != null) {
        assertThat(decision.lease().boundNanos() - bench.mono).isLessThanOrEqualTo(left * SECOND);
      } else {
        bench.asked = false;
      }
      bench.passes(Duration.ofSeconds(1));
    }
    assertThat(told.toString())
        .isEqualTo("30: 23+7  22: 17+5  16: 12+4  12: 9+3  9: 7+2  6: 5+1  1: rest");
  }

  @Test
  void theReservationIsRefilledAheadOfTimeWhileTheRunGoesOn() {
    bench.running();
    long started = bench.lease.startedNanos();
    for (int second = 0; second < 250; second++) {
      assertThat(bench.decide().reserveNanos()).isZero();
      bench.passes(Duration.ofSeconds(1));
    }
    assertThat(bench.decide().reserveNanos()).as("a lease and 10 s are left").isZero();
    bench.passes(Duration.ofNanos(1));
    assertThat(bench.decideAndReserve().reserveNanos()).isEqualTo(250 * SECOND);
    assertThat(bench.decide().reserveNanos()).isZero();
    for (int second = 0; second < 250; second++) {
      assertThat(bench.decide().lease().startedNanos()).isEqualTo(started);
      bench.passes(Duration.ofSeconds(1));
    }
    assertThat(bench.decide().reserveNanos()).isEqualTo(250 * SECOND);
  }

  /** A full disk: no refill comes, and the device is at rest with its quantum at the latest. */
  @Test
  void withoutARefillTheRunEndsWithItsQuantum() {
    bench.running();
    long end = bench.lease.startedNanos() + 5 * MINUTE;
    long bound = bench.lease.boundNanos();
    Gate.Decision decision = bench.decide();
    while (bench.lease != null) {
      bound = bench.lease.boundNanos();
      bench.passes(Duration.ofSeconds(1));
      decision = bench.decide();
    }
    assertThat(decision.command().runs()).isFalse();
    assertThat(bound).isLessThanOrEqualTo(end).isGreaterThan(end - 10 * SECOND);
  }

  @Test
  void theLastReservationTakesTheWholeSecondsThatAreLeft() {
    bench.spentInNight = 59 * MINUTE - 1;
    assertThat(bench.decide().reserveNanos()).isEqualTo(MINUTE);
    bench.spentInNight = 59 * MINUTE + 1;
    assertThat(bench.decide().reserveNanos()).isEqualTo(59 * SECOND);
  }

  @Test
  void theHardLimitOf24HoursBoundsAReservation() {
    bench.spentIn24h = 119 * MINUTE;
    assertThat(bench.decide().reserveNanos()).isEqualTo(MINUTE);
  }

  /** What the window cannot hold would only be lost to the night in a crash. */
  @Test
  void theWindowBoundsAReservation() {
    bench.leftInWindow(Duration.ofMillis(12_900));
    assertThat(bench.decide().reserveNanos()).isEqualTo(12 * SECOND);
  }

  @Test
  void nothingIsReservedForARunThatTheWindowEndsFirst() {
    bench.grant = 45 * SECOND;
    bench.leftInWindow(Duration.ofSeconds(40));
    assertThat(bench.decide().command().runs()).isTrue();
    for (int second = 0; second < 30; second++) {
      assertThat(bench.decide().reserveNanos()).isZero();
      bench.passes(Duration.ofSeconds(1));
    }
  }

  @Test
  void nothingIsReservedWhereTheWindowHoldsNoFurtherLease() {
    bench.gate = GateBench.gate(30, GateBench.WITHOUT_LEASE, GateBench.limits());
    bench.grant = 41 * SECOND;
    bench.leftInWindow(Duration.ofSeconds(42));
    bench.decide();
    bench.passes(Duration.ofSeconds(3));
    for (int second = 3; second < 30; second++) {
      assertThat(bench.decide()).isEqualTo(new Gate.Decision(bench.lease, null, List.of(), 0));
      bench.passes(Duration.ofSeconds(1));
    }
    assertThat(bench.decide().denials()).containsExactly(NO_WINDOW_LEFT);
  }

  /** What was counted against the allowance is also given: no rest before its time. */
  @Test
  void aDeviceWhoseMessageCarriesNoLeaseRunsItsLastDropOutToTheEnd() {
    bench.gate = GateBench.gate(30, GateBench.WITHOUT_LEASE, GateBench.limits());
    bench.spentInNight = 58 * MINUTE;
    bench.decideAndReserve();
    bench.decide();
    long started = bench.mono;
    Gate.Decision decision = bench.decide();
    while (bench.lease != null) {
      bench.passes(Duration.ofSeconds(1));
      decision = bench.decide();
    }
    assertThat(bench.mono - started).as("80 s and the last drop-out").isEqualTo(110 * SECOND);
    assertThat(decision.denials()).containsExactly(SPENT);
  }

  /** 9 s hold a lease of 7 s; when it is over, one of 1 s would fit, and nobody was late. */
  @Test
  void theLastLeaseOfAWindowEndsItsRunInOrder() {
    bench.grant = 5 * MINUTE;
    bench.leftInWindow(Duration.ofSeconds(9));
    assertThat(bench.decide().command().leaseSeconds()).isEqualTo(7);
    bench.passes(Duration.ofSeconds(7));
    assertThat(bench.decide().denials()).containsExactly(NO_WINDOW_LEFT);
  }

  /** What is reserved up to the end of a window is less than it by parts of a second. */
  @ParameterizedTest
  @CsvSource({
    "11000, no more time could be reserved for it",
    "10999, too little is left of the window"
  })
  void whatIsReservedUpToTheEndOfAWindowEndsWithIt(long leftMillis, String why) {
    bench.grant = 9 * SECOND;
    bench.leftInWindow(Duration.ofMillis(leftMillis));
    assertThat(bench.decide().command().leaseSeconds()).isEqualTo(7);
    bench.passes(Duration.ofSeconds(7));
    assertThat(bench.decide().denials()).containsExactly(why);
  }

  /** 1 s of the reservation is left and 22 s of the window: it is not the window that ends it. */
  @ParameterizedTest
  @CsvSource({"0, no more time could be reserved for it", "60, the allowance is spent"})
  void aReservationThatIsUsedUpIsToldThoughTheWindowIsNearlyOver(long spentMinutes, String why) {
    bench.grant = 9 * SECOND;
    bench.spentInNight = spentMinutes * MINUTE;
    bench.leftInWindow(Duration.ofSeconds(30));
    assertThat(bench.decide().command().leaseSeconds()).isEqualTo(7);
    bench.passes(Duration.ofSeconds(8));
    assertThat(bench.decide().denials()).containsExactly(why);
  }

  @ParameterizedTest
  @CsvSource({"0, no more time could be reserved for it", "60, the allowance is spent"})
  void theLastLeaseOfAReservationEndsItsRunInOrder(long spentMinutes, String why) {
    bench.grant = 9 * SECOND;
    bench.spentInNight = spentMinutes * MINUTE;
    assertThat(bench.decide().command().leaseSeconds()).isEqualTo(7);
    bench.passes(Duration.ofSeconds(7));
    assertThat(bench.decide().denials()).containsExactly(why);
  }

  @Test
  void saysSoWhenTheDiskGaveNoMoreTime() {
    bench.running();
    Gate.Decision decision = bench.decide();
    while (bench.lease != null) {
      bench.passes(Duration.ofSeconds(1));
      decision = bench.decide();
    }
    assertThat(decision.denials()).containsExactly("no more time could be reserved for it");
  }

  @ParameterizedTest
  @CsvSource({"2000, 2000", "2999, 2000", "1999, 0", "0, 0"})
  void tooLittleAllowanceStartsNothing(long leftMillis, long reservedMillis) {
    bench.spentInNight = 60 * MINUTE - Duration.ofMillis(leftMillis).toNanos();
    Gate.Decision decision = bench.decide();
    assertThat(decision.reserveNanos()).isEqualTo(Duration.ofMillis(reservedMillis).toNanos());
    assertThat(decision.denials()).hasSize(reservedMillis == 0 ? 1 : 0).allMatch(SPENT::equals);
  }

  @Test
  void tooLittleWindowReservesNothing() {
    bench.leftInWindow(Duration.ofMillis(1999));
    Gate.Decision decision = bench.decide();
    assertThat(decision.reserveNanos()).isZero();
    assertThat(decision.denials()).containsExactly(NO_WINDOW_LEFT);
  }

  /** A quantum shorter than a lease: short leases, refilled as they go, and no more than is. */
  @Test
  void aSmallAllowanceIsGivenInShortLeases() {
    bench.gate =
        GateBench.gate(
            30,
            GateBench.WITH_LEASE,
            new Gate.OzoneLimits(
                "generator", GateBench.CEILING, 20 * SECOND, 120 * MINUTE, 20 * SECOND));
    assertThat(bench.decideAndReserve().reserveNanos()).isEqualTo(20 * SECOND);
    assertThat(bench.decide().command().leaseSeconds()).isEqualTo(15);
    long end = bench.lease.startedNanos() + 20 * SECOND;
    Gate.Decision decision = bench.decide();
    while (bench.lease != null) {
      assertThat(bench.lease.boundNanos()).isLessThanOrEqualTo(end);
      bench.passes(Duration.ofMillis(250));
      decision = bench.decide();
      assertThat(decision.reserveNanos()).isZero();
    }
    assertThat(decision.denials()).containsExactly(SPENT);
    assertThat(decision.command().runs()).isFalse();
  }

  @Test
  void aRunWhoseReservationIsSpentWaitsForTheRefillThatIsOnItsWay() {
    bench.gate =
        GateBench.gate(
            30,
            GateBench.WITH_LEASE,
            new Gate.OzoneLimits("generator", 400, 60 * MINUTE, 120 * MINUTE, 20 * SECOND));
    bench.decideAndReserve();
    bench.decide();
    bench.passes(Duration.ofSeconds(14));
    bench.decide();
    bench.passes(Duration.ofMillis(500));
    Gate.Decision waiting = bench.decide();
    assertThat(waiting.lease()).isNotNull();
    assertThat(waiting.command()).isNull();
    assertThat(waiting.reserveNanos()).isEqualTo(14 * SECOND);
  }
}

package io.github.tidewarden.gate;

import static org.assertj.core.api.Assertions.assertThat;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** A lease in whole seconds, and an expiry of a third of it (DEVELOPERS.md, D10 and D14). */
class LeaseTest {
  private static final long SECOND = 1_000_000_000L;

  @ParameterizedTest
  @CsvSource({"1,1", "2,1", "3,1", "5,1", "6,2", "8,2", "9,3", "30,10", "119,39", "120,40"})
  void expiryIsAThirdInWholeSecondsAndAtLeastOne(int lease, int expiry) {
    assertThat(Lease.expirySeconds(lease)).isEqualTo(expiry);
    assertThat(Lease.boundSeconds(lease)).isEqualTo(lease + expiry);
  }

  @ParameterizedTest
  @CsvSource({
    "-1, 0",
    "0, 0",
    "999999999, 0",
    "1999999999, 0", // a lease of 1 s and an expiry of 1 s need two
    "2000000000, 1",
    "2999999999, 1",
    "3000000000, 2",
    "39999999999, 29",
    "40000000000, 30",
    "40000000001, 30",
    "9223372036854775807, 30",
    "-9223372036854775808, 0"
  })
  void theLongestLeaseIsOverWithItsExpiryWithinWhatIsLeft(long leftNanos, int lease) {
    assertThat(Lease.longest(30, leftNanos)).isEqualTo(lease);
  }

  @Test
  void theLongestLeaseIsTheLongestThereIs() {
    for (int most = 0; most <= 120; most++) {
      for (int left = 0; left <= 170; left++) {
        int expected = 0;
        for (int lease = 1; lease <= most; lease++) {
          if (lease + Math.max(1, lease / 3) <= left) {
            expected = lease;
          }
        }
        assertThat(Lease.longest(most, left * SECOND)).isEqualTo(expected);
        assertThat(Lease.longest(most, (left + 1) * SECOND - 1)).isEqualTo(expected);
      }
    }
  }

  /** Wherever the monotonic clock has its origin, even where it overflows. */
  @ParameterizedTest
  @ValueSource(longs = {0, -1, -5_000_000_000L, Long.MAX_VALUE - 3_000_000_000L, Long.MIN_VALUE})
  void isRenewedAtAThirdAndRunsOutAtItsEnd(long start) {
    Lease lease = Lease.first(start, 30);
    assertThat(lease.boundNanos()).isEqualTo(start + 40 * SECOND);
    assertThat(lease.due(start + 10 * SECOND - 1)).isFalse();
    assertThat(lease.due(start + 10 * SECOND)).isTrue();
    assertThat(lease.ranOut(start)).isFalse();
    assertThat(lease.ranOut(start + 30 * SECOND - 1)).isFalse();
    assertThat(lease.ranOut(start + 30 * SECOND)).isTrue();
  }

  @Test
  void aClockThatRanBackwardsEndsTheLease() {
    assertThat(Lease.first(100, 30).ranOut(99)).isTrue();
  }

  @Test
  void aLeaseOfASecondIsRenewedWithinIt() {
    Lease lease = Lease.first(0, 1);
    assertThat(lease.due(SECOND / 3 - 1)).isFalse();
    assertThat(lease.due(SECOND / 3)).isTrue();
  }

  @ParameterizedTest
  @ValueSource(longs = {0, -SECOND, Long.MAX_VALUE - 20 * SECOND})
  void aRenewalKeepsTheStartAndMovesTheBoundOn(long start) {
    Lease renewed = Lease.first(start, 30).renewed(start + 10 * SECOND, 30);
    assertThat(renewed).isEqualTo(new Lease(start, start + 10 * SECOND, 30, start + 50 * SECOND));
  }

  @ParameterizedTest
  @ValueSource(longs = {0, -SECOND, Long.MAX_VALUE - 45 * SECOND})
  void aShorterRenewalDoesNotShortenWhatTheEarlierMessageMayStillDo(long start) {
    Lease renewed = Lease.first(start, 30).renewed(start + 10 * SECOND, 21);
    assertThat(renewed.seconds()).isEqualTo(21);
    assertThat(renewed.boundNanos()).isEqualTo(start + 40 * SECOND);
  }

  @ParameterizedTest
  @CsvSource({"20, false", "21, true", "30, true"})
  void extendsOnlyWhenTheDeviceWouldRunASecondLonger(int seconds, boolean extends_) {
    assertThat(Lease.first(-7, 30).extendedBy(10 * SECOND - 7, seconds)).isEqualTo(extends_);
  }

  /** Told to run for 30 s, and again after 10 s: out at 40 s, for certain at 50 s. */
  @ParameterizedTest
  @CsvSource({"15, 15, 15", "40, 40, 40", "45, 40, 45", "500, 40, 50"})
  void aDeviceThatIsNotToldAgainLastsNoLongerThanItsLease(int now, int lasted, int most) {
    for (long start : new long[] {0, -SECOND, Long.MAX_VALUE - 45 * SECOND}) {
      Lease lease = Lease.first(start, 30).renewed(start + 10 * SECOND, 30);
      assertThat(lease.lastedNanos(start + now * SECOND)).isEqualTo(lasted * SECOND);
      assertThat(lease.mostNanos(start + now * SECOND)).isEqualTo(most * SECOND);
    }
  }
}

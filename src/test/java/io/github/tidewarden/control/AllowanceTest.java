package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.time.LocalDate;
import java.util.List;
import org.junit.jupiter.api.Test;

/**
 * Invariant 3 of DEVELOPERS.md, and SAFETY.md F32: the night's allowance and the rolling 24 h hold
 * for what the generator really ran, over restarts and boots.
 */
class AllowanceTest {
  private static final LocalDate NIGHT = LocalDate.parse("2026-01-14");
  private static final long DAY = Duration.ofHours(24).toNanos();

  private static double onMinutes(Bench bench) {
    return bench.generator().onNanos / 60e9;
  }

  /** The most that ran in any 24 h, by looking at each span's end, minutes. */
  private static double mostIn24hMinutes(Bench bench) {
    double most = 0;
    List<long[]> spans = bench.generator().spans;
    for (long[] last : spans) {
      double sum = 0;
      for (long[] span : spans) {
        long from = Math.max(span[0], last[1] - DAY);
        sum += Math.max(0, Math.min(span[1], last[1]) - from);
      }
      most = Math.max(most, sum / 60e9);
    }
    return most;
  }

  private static TankSpec hasty(Duration perNight, String from, String to) {
    return Specs.with(
        Specs.lagoon(), Specs.ozone(perNight, Duration.ofSeconds(60), Specs.window(from, to)));
  }

  @Test
  void twentyKillsInANightDoNotPassTheAllowance() {
    Bench bench =
        new Bench(
            Specs.site(hasty(Duration.ofMinutes(60), "01:30", "07:00")),
            Bench.WINDOW_OPENS.minusSeconds(60));
    bench.connect();
    bench.windowOpens();
    for (int kill = 0; kill < 20; kill++) {
      bench.live(100 + 7 * kill);
      bench.restarts(Duration.ofSeconds(kill % 3));
      bench.connect();
    }
    bench.live(3600);
    assertThat(onMinutes(bench)).isBetween(15.0, 60.0);
    assertThat(bench.memory().spentInNightMillis(NIGHT))
        .isBetween((long) (onMinutes(bench) * 60_000), 3_600_000L);
    assertThat(bench.records(Kind.RUN)).as("kills spent the rest").hasSizeBetween(10, 20);
  }

  @Test
  void bootsInANightDoNotPassItEither() {
    Bench bench =
        new Bench(
            Specs.site(hasty(Duration.ofMinutes(20), "01:30", "07:00")),
            Bench.WINDOW_OPENS.minusSeconds(60));
    bench.connect();
    bench.windowOpens();
    for (int boot = 0; boot < 6; boot++) {
      bench.live(200);
      bench.trusted = boot % 2 == 0;
      bench.reboots(Duration.ofSeconds(50));
      bench.connect();
      bench.live(30);
      bench.trustsClock();
    }
    bench.live(1800);
    assertThat(onMinutes(bench)).isBetween(3.0, 20.0);
    assertThat(bench.memory().spentInNightMillis(NIGHT)).isEqualTo(1_200_000);
    assertThat(bench.runs()).isFalse();
  }

  @Test
  void theNextNightHasItsOwnAllowanceButTheRolling24hHolds() {
    Bench bench =
        new Bench(
            Specs.site(Duration.ofMinutes(50), hasty(Duration.ofMinutes(40), "01:30", "03:00")),
            Bench.WINDOW_OPENS.minusSeconds(60));
    bench.connect();
    for (int night = 0; night < 3; night++) {
      bench.passesUntil(Bench.WINDOW_OPENS.plus(Duration.ofDays(night)).minusSeconds(10));
      bench.live(5410);
    }
    assertThat(mostIn24hMinutes(bench)).isBetween(40.0, 50.0);
    assertThat(onMinutes(bench)).as("three nights of at most 40 min").isBetween(90.0, 120.0);
  }

  @Test
  void whatWasSpentWhileTheClockWasNotTrustedAgesFromTheNextTrustedBootOn() {
    Bench bench =
        new Bench(
            Specs.site(Duration.ofMinutes(30), hasty(Duration.ofMinutes(30), "01:30", "09:00")),
            Bench.WINDOW_OPENS.minusSeconds(60));
    bench.connect();
    bench.windowOpens();
    bench.live(100);
    bench.trusted = false;
    bench.reboots(Duration.ofSeconds(20));
    bench.trusted = false;
    bench.reboots(Duration.ofHours(30));
    bench.connect();
    bench.live(10);
    bench.trustsClock();
    assertThat(bench.memory().spentIn24hMillis(bench.boot(), bench.now()))
        .as("its end cannot be dated")
        .isEqualTo(300_000);
  }

  @Test
  void theShortestRestBeginsAgainAtBoot() {
    Bench bench = Bench.lagoon();
    bench.windowOpens();
    bench.restarts(Duration.ofSeconds(1));
    bench.connect();
    bench.live(596);
    assertThat(bench.runs()).isFalse();
    bench.live(2);
    assertThat(bench.runs()).isTrue();
  }

  @Test
  void aRunThatWasStoppedRestsForItsShortestTime() {
    Bench bench = Bench.lagoon();
    bench.windowOpens();
    bench.live(60);
    bench.steady(1, 366, 340);
    bench.steady(598 + 238, 320, 322);
    assertThat(bench.runs()).as("10 min, and 15 min from start to start").isFalse();
    bench.live(5);
    assertThat(bench.runs()).isTrue();
  }
}

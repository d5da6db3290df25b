package io.github.tidewarden.schedule;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.quantity.Moment;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

/** Weeks of runs, restarts, suspends and wrong clocks, of which the test knows the true times. */
class RollingTotalPropertyTest {

  private static final Duration DAY = Duration.ofHours(24);
  private static final ZoneId ZONE = ZoneId.of("Europe/Lisbon");
  private static final Instant BEGIN = Instant.parse("2026-03-20T12:00:00Z");

  /** A run as it truly was. */
  private record TrueRun(Instant end, LocalDate night, long millis) {}

  /** A board whose clock is right when it is trusted, and may be anything when it is not. */
  private static final class Board {

    private final SplittableRandom random;
    private Instant trueTime = BEGIN;
    private long monoNanos;
    private Duration wallError = Duration.ZERO;
    private int boot;

    Board(SplittableRandom random) {
      this.random = random;
    }

    void live() {
      Duration time = Duration.ofMillis(random.nextInt(14_400_000));
      trueTime = trueTime.plus(time);
      switch (random.nextInt(12)) {
        case 0 -> reboot();
        case 1 -> wallError = Duration.ofMinutes(random.nextInt(-200_000, 200_000));
        case 2, 3, 4, 5 -> {
          wallError = Duration.ZERO;
          monoNanos += time.toNanos();
        }
        case 6 -> {} // suspended: the monotonic clock stands still
        default -> monoNanos += time.toNanos();
      }
    }

    private void reboot() {
      boot++;
      monoNanos = random.nextInt(1_000_000_000);
    }

    String boot() {
      return "boot-" + boot;
    }

    Moment now() {
      return new Moment(trueTime.plus(wallError), monoNanos, wallError.isZero());
    }
  }

  @Test
  void neverCountsLessThanWasSpent() {
    int exact = 0;
    int looks = 0;
    for (int seed = 0; seed < 500; seed++) {
      Board board = new Board(new SplittableRandom(seed));
      RollingTotal total = RollingTotal.NOTHING;
      List<TrueRun> runs = new ArrayList<>();
      for (int event = 0; event < 200; event++) {
        board.live();
        LocalDate trueNight = Nights.nightOf(board.trueTime, ZONE);
        if (board.random.nextInt(3) == 0) {
          long nanos = board.random.nextLong(300_000_000_000L);
          runs.add(new TrueRun(board.trueTime, trueNight, nanos / 1_000_000));
          total = total.plus(Spend.endingAt(board.now(), board.boot(), trueNight, nanos));
        }
        total = RollingTotal.of(total.pruned(board.boot(), board.now()).spends());

        Instant dayAgo = board.trueTime.minus(DAY);
        long spent =
            runs.stream().filter(r -> r.end().isAfter(dayAgo)).mapToLong(TrueRun::millis).sum();
        long counted = total.spentWithin(DAY, board.boot(), board.now());
        String context = "seed " + seed + " event " + event;
        assertThat(counted).as(context).isGreaterThanOrEqualTo(spent);
        assertThat(total.spentInNight(trueNight))
            .as(context)
            .isGreaterThanOrEqualTo(
                runs.stream()
                    .filter(r -> r.night().equals(trueNight))
                    .mapToLong(TrueRun::millis)
                    .sum());
        looks++;
        exact += counted - spent < 1_000 ? 1 : 0;
      }
    }
    assertThat(exact).as("and often counts no more").isGreaterThan(looks / 20);
  }

  @Test
  void letsGoOfEverythingAfterThreeTrustedDays() {
    for (int seed = 0; seed < 200; seed++) {
      Board board = new Board(new SplittableRandom(seed));
      RollingTotal total = RollingTotal.NOTHING;
      for (int event = 0; event < 100; event++) {
        board.live();
        total =
            total
                .plus(
                    Spend.endingAt(
                        board.now(), board.boot(), Nights.nightOf(board.trueTime, ZONE), 1_000))
                .pruned(board.boot(), board.now());
      }
      board.wallError = Duration.ZERO;
      Moment healed = board.now();
      Duration later = RollingTotal.KEPT.plus(RollingTotal.LONGEST_AHEAD).plusMillis(1);
      Moment end =
          new Moment(healed.wall().plus(later), healed.monoNanos() + later.toNanos(), true);
      assertThat(total.pruned(board.boot(), healed).pruned(board.boot(), end).spends())
          .as("seed %d", seed)
          .isEmpty();
    }
  }
}

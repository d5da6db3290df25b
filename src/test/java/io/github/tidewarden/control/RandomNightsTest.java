package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.EnumSet;
import java.util.Set;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.stream.LongStream;
import org.junit.jupiter.api.Test;

/**
 * Invariants 1 to 5, 7, 8 and 10 to 12 of DEVELOPERS.md in random stories; see {@link RandomNight}
 * and {@link Oracle}. A failure names its seed.
 */
class RandomNightsTest {
  private static final int SEEDS = Integer.getInteger("tidewarden.seeds", 200);
  private static final int STEPS = Integer.getInteger("tidewarden.steps", 10_000);

  @Test
  void noStoryBreaksAnInvariant() {
    AtomicInteger runs = new AtomicInteger();
    Set<Kind> seen = java.util.Collections.synchronizedSet(EnumSet.noneOf(Kind.class));
    long first = Long.getLong("tidewarden.seed", 1);
    LongStream.range(first, first + SEEDS)
        .parallel()
        .forEach(
            seed -> {
              RandomNight night = new RandomNight(seed);
              try {
                night.takes(STEPS);
              } catch (RuntimeException | AssertionError e) {
                throw new AssertionError(
                    "seed " + seed + ", step " + night.lab.steps + ": " + e, e);
              }
              runs.addAndGet(night.runs());
              night.lab.log.forEach(record -> seen.add(record.kind()));
            });
    assertThat(runs.get())
        .as("runs, so that the invariants are about something")
        .isGreaterThan(2 * SEEDS);
    assertThat(seen)
        .contains(
            Kind.RESERVED,
            Kind.RUN,
            Kind.REST,
            Kind.SETTLED,
            Kind.TRIP,
            Kind.LATCHED,
            Kind.SILENT,
            Kind.ACT,
            Kind.ACT_REFUSED,
            Kind.WINDOW_OPENED,
            Kind.WINDOW_CLOSED,
            Kind.DEVICE);
  }

  @Test
  void theSameStoryGivesTheSameCommandsAndRecords() {
    for (long seed = 1; seed <= 5; seed++) {
      RandomNight once = new RandomNight(seed);
      once.takes(STEPS / 2);
      RandomNight again = new RandomNight(seed);
      again.takes(STEPS / 2);
      assertThat(again.lab.digest).as("seed " + seed).isEqualTo(once.lab.digest);
      assertThat(again.lab.log).isEqualTo(once.lab.log);
    }
  }
}

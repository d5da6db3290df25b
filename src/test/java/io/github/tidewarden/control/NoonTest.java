package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import org.junit.jupiter.api.Test;

/** Two windows that overlap at noon, where one night ends and the next begins. */
class NoonTest {

  @Test
  void eachNightPaysForItsOwnDoseAndNoneForMoreThanItsAllowance() {
    TankSpec lagoon =
        Specs.with(
            Specs.lagoon(),
            Specs.ozone(
                Duration.ofMinutes(60),
                Specs.window("11:30", "13:00"),
                Specs.window("12:00", "14:00")));
    Bench bench = new Bench(Specs.site(lagoon), Instant.parse("2026-01-15T11:00:00Z"));
    bench.connect();
    bench.liveUntil(Instant.parse("2026-01-15T11:59:58Z"));
    assertThat(bench.runs()).isTrue();
    bench.live(4);
    assertThat(bench.runs()).as("the next night's dose is a new one, after a rest").isFalse();
    bench.liveUntil(Instant.parse("2026-01-15T14:00:10Z"));
    assertThat(minutes(bench, "2026-01-14")).isBetween(29.0, 31.0);
    assertThat(minutes(bench, "2026-01-15")).isBetween(59.0, 60.0);
  }

  private static double minutes(Bench bench, String night) {
    return bench.memory().spentInNightMillis(LocalDate.parse(night)) / 60_000.0;
  }
}

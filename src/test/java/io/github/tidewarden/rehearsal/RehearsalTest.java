package io.github.tidewarden.rehearsal;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import io.github.tidewarden.config.ConfigException;
import io.github.tidewarden.config.ConfigReader;
import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.TankSpec;
import java.nio.file.Path;
import java.time.Duration;
import java.time.LocalDate;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;

/** Nights of the shipped configurations on typical tanks. */
class RehearsalTest {
  private static final LocalDate FIRST = LocalDate.of(2026, 1, 14);

  private static SiteSpec lab() throws ConfigException {
    return ConfigReader.read(Path.of("config/harbour-lab.yaml")).site();
  }

  private static Rehearsal.Outcome rehearsed(SiteSpec site, int nights, long seed) {
    return Rehearsal.of(
        new Rehearsal.Task(
            site, site, TankModel::typical, FIRST, nights, seed, Duration.ofSeconds(5)),
        done -> {});
  }

  @Test
  void aNightOfTheFieldStationGoesAsConfigured() throws ConfigException {
    SiteSpec site = lab();
    Rehearsal.Outcome outcome = rehearsed(site, 1, 7);
    for (TankSpec tank : site.tanks()) {
      List<RehearsedNight> nights = Objects.requireNonNull(outcome.nights().get(tank.name()));
      RehearsedNight night = nights.get(0);
      assertThat(outcome.broken()).isEmpty();
      assertThat(night.incidents()).as(tank.name()).isEqualTo(Map.of());
      double share = Objects.requireNonNull(tank.exchange()).litresPerDay();
      assertThat(night.outLitres()).as(tank.name()).isCloseTo(share, within(0.02 * share));
      assertThat(night.psu().least()).as(tank.name()).isGreaterThan(34.5);
      assertThat(night.psu().most()).as(tank.name()).isLessThan(35.5);
    }
    RehearsedNight lagoon = outcome.nights().get("lagoon").get(0);
    assertThat(lagoon.ozoneNanos())
        .isBetween(TimeUnit.MINUTES.toNanos(20), TimeUnit.MINUTES.toNanos(60));
    assertThat(lagoon.probeMillivolts().most()).isBetween(360.0, 400.0);
    assertThat(lagoon.levelMillimetres().least()).isGreaterThan(180);
    assertThat(lagoon.roomPpb().most()).isLessThan(50);
    assertThat(rehearsed(site, 1, 7)).as("the same seed").isEqualTo(outcome);
    assertThat(rehearsed(site, 1, 8)).as("another seed").isNotEqualTo(outcome);
  }
}

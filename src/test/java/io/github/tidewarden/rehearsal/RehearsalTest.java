package io.github.tidewarden.rehearsal;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import io.github.tidewarden.config.ConfigException;
import io.github.tidewarden.config.ConfigReader;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.TankSpec;
import java.nio.file.Path;
import java.time.Duration;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.temporal.ChronoUnit;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Nights of the shipped configurations on typical tanks. */
class RehearsalTest {
  private static final LocalDate FIRST = LocalDate.of(2026, 1, 14);

  private static SiteSpec lab() throws ConfigException {
    return ConfigReader.read(Path.of("config/harbour-lab.yaml")).site();
  }

  private static Rehearsal.Outcome rehearsed(SiteSpec site, int nights, long seed) {
    return rehearsed(site, FIRST, nights, seed);
  }

  private static Rehearsal.Outcome rehearsed(
      SiteSpec site, LocalDate first, int nights, long seed) {
    return Rehearsal.of(task(site, TankModel::typical, first, nights, seed), done -> {});
  }

  private static Rehearsal.Task task(
      SiteSpec site, TankModels tanks, LocalDate first, int nights, long seed) {
    Duration five = Duration.ofSeconds(5);
    return new Rehearsal.Task(site, site, tanks, first, nights, seed, five, five, false);
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

  /** What a keeper sees who says nothing of the tanks: pumps that are off, a day that swings. */
  @Test
  void nightsOfTypicalTanksBreakNothingAndGiveTheShare() throws ConfigException {
    SiteSpec site = lab();
    Rehearsal.Outcome outcome =
        Rehearsal.of(task(site, new KeepersTanks(), FIRST, 2, 7), done -> {});
    assertThat(outcome.broken()).isEmpty();
    for (TankSpec tank : site.tanks()) {
      double share = Objects.requireNonNull(tank.exchange()).litresPerDay();
      for (RehearsedNight night : outcome.nights().get(tank.name())) {
        assertThat(night.incidents()).as(tank.name()).isEqualTo(Map.of());
        assertThat(night.outLitres()).as(tank.name()).isCloseTo(share, within(0.05 * share));
        assertThat(night.psu().least()).as(tank.name()).isGreaterThan(34.5);
        assertThat(night.psu().most()).as(tank.name()).isLessThan(35.5);
      }
    }
    assertThat(outcome.nights().get("lagoon").get(1).ozoneNanos())
        .isBetween(TimeUnit.MINUTES.toNanos(20), TimeUnit.MINUTES.toNanos(60));
  }

  /** In Lisbon 01:30 does not come on 29 March and comes twice on 25 October (IANA tz database). */
  @ParameterizedTest
  @ValueSource(strings = {"2026-03-28", "2026-10-24"})
  void aNightOnWhichTheClocksChangeBreaksNothing(LocalDate first) throws ConfigException {
    Rehearsal.Outcome outcome = rehearsed(lab(), first, 1, 7);
    assertThat(outcome.broken()).isEmpty();
    assertThat(outcome.nights().get("lagoon").get(0).ozoneNanos())
        .isGreaterThan(TimeUnit.MINUTES.toNanos(20));
  }

  /**
   * The last lease of a window is cut to fit, and the device drops out by it: the end of the dose,
   * not a device that did not obey.
   */
  @Test
  void aDoseThatLastsToTheEndOfItsWindowEndsInOrder() {
    SiteSpec site =
        StormSite.site(
            "Europe/Lisbon",
            StormSite.window(LocalTime.of(1, 30), 15),
            StormSite.window(LocalTime.of(14, 0), 60),
            StormSite.window(LocalTime.of(22, 0), 60));
    List<String> ends = new ArrayList<>();
    Rehearsal.Outcome outcome =
        Rehearsal.of(
            task(site, TankModel::typical, FIRST, 1, 1),
            List.of(),
            record -> {
              if (record.kind() == Kind.REST && "lagoon".equals(record.tank())) {
                ends.add(record.at().truncatedTo(ChronoUnit.MINUTES) + " " + record.why());
              }
            },
            done -> {});
    assertThat(outcome.nights().get("lagoon").get(0).incidents()).isEqualTo(Map.of());
    assertThat(ends).last().isEqualTo("2026-01-15T01:44:00Z too little is left of the window");
  }
}

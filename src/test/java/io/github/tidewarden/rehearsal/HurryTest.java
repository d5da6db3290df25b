package io.github.tidewarden.rehearsal;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.config.ConfigException;
import io.github.tidewarden.config.ConfigReader;
import io.github.tidewarden.config.Configuration;
import io.github.tidewarden.config.TankModelReader;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/**
 * A rehearsal that hurries decides what one decides in which the daemon hears every reading: the
 * same configuration, tanks and seed give the same records at the same times.
 */
class HurryTest {
  private static final Duration FIVE = Duration.ofSeconds(5);
  private static final LocalDate FIRST = LocalDate.of(2026, 1, 14);

  @TempDir private Path directory;

  /** What it came to, as a keeper is told, and all that was recorded. */
  private record Lived(String text, List<String> records, Rehearsal.Outcome outcome) {}

  private Lived lives(
      Configuration site, TankModels tanks, LocalDate first, int nights, boolean hurried) {
    List<String> records = new ArrayList<>();
    Rehearsal.Task task =
        new Rehearsal.Task(
            site.site(), site.site(), tanks, first, nights, 11, FIVE, FIVE, false, hurried);
    Rehearsal.Outcome outcome =
        Rehearsal.of(task, List.of(), record -> records.add(record.toString()), done -> {});
    String text = RehearsalText.of(task, outcome, 1, "");
    return new Lived(text.substring(0, text.indexOf("\nrun: ")), records, outcome);
  }

  /**
   * Tanks at which something happens while no window is near, too: a room that fills, a sump that
   * runs low, redox that a day lifts over its ceiling, or that is there always, so that nothing can
   * be spared.
   */
  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "harbour-lab | 2026-01-14 | 1 | 0.9 | all-tanks: { room: { escapes: 50 %, volume: 9000 L } }",
        "harbour-lab | 2026-03-28 | 1 | 0.9 | tanks: { nursery: { water: { level-at-start: 92 mm } } }",
        "smallest | 2026-10-24 | 2 | 0.4 | all-tanks: {}",
        "smallest | 2026-01-14 | 2 | 0.4 | all-tanks: { redox: { gain: 300 mV, time-constant: 4 h } }",
        "smallest | 2026-01-14 | 2 | 0.9 | all-tanks: { redox: { without-ozone: 375 mV } }",
        "smallest | 2026-01-14 | 2 | 1.01 | all-tanks: { redox: { without-ozone: 390 mV } }",
        "quarantine | 2026-01-14 | 1 | 0.7 | all-tanks: { waste: { holds: 12 L } }",
      })
  void decidesTheSameAtTheSameTimes(
      String name, LocalDate first, int nights, double atMost, String model)
      throws ConfigException, IOException {
    Configuration site = ConfigReader.read(Path.of("config", name + ".yaml"));
    Path file = Files.writeString(directory.resolve("mine.yaml"), model);
    Lived whole =
        lives(site, new KeepersTanks(TankModelReader.read(file, site)), first, nights, false);
    Lived hurried =
        lives(site, new KeepersTanks(TankModelReader.read(file, site)), first, nights, true);
    assertThat(hurried.records()).isEqualTo(whole.records());
    assertThat(hurried.text()).isEqualTo(whole.text());
    assertThat(hurried.outcome().broken()).isEmpty();
    assertThat(hurried.outcome().events())
        .as("of %d events", whole.outcome().events())
        .isLessThan((long) (atMost * whole.outcome().events()));
  }

  /** What is wrong with a device may act at any time: nobody is spared anything. */
  @ParameterizedTest
  @CsvSource({"false, welded", "true, sound"})
  void sparesNothingWhereADeviceIsBrokenOrAnythingMayFail(boolean faults, String generator)
      throws ConfigException, IOException {
    Configuration site = ConfigReader.read(Path.of("config/smallest.yaml"));
    String model = "tanks: { lagoon: { devices: { generator: " + generator + " } } }";
    Path file = Files.writeString(directory.resolve("mine.yaml"), model);
    TankModels tanks = new KeepersTanks(TankModelReader.read(file, site));
    List<Rehearsal.Outcome> both = new ArrayList<>();
    for (boolean hurried : List.of(false, true)) {
      Rehearsal.Task task =
          new Rehearsal.Task(
              site.site(), site.site(), tanks, FIRST, 1, 11, FIVE, FIVE, faults, hurried);
      both.add(Rehearsal.of(task, done -> {}));
    }
    assertThat(both.get(1)).isEqualTo(both.get(0));
  }
}

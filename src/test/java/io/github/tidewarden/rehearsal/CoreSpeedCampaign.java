package io.github.tidewarden.rehearsal;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.config.ConfigException;
import io.github.tidewarden.config.ConfigReader;
import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.TankSpec;
import java.io.IOException;
import java.lang.management.ManagementFactory;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/**
 * How many events the core takes in a second on one core of the machine, readings coming every 5 s
 * from every sensor: what a site gave it is given to it once more, and the processor time of the
 * thread is taken. It runs on request only, see DEVELOPERS.md; {@code CoreWorkTest} sees in every
 * build that a step's work does not grow with the number of tanks.
 */
class CoreSpeedCampaign {
  private static final Path LAB = Path.of("config/harbour-lab.yaml");
  private static final Path FIGURES = Path.of("target", "core-speed.txt");

  /** The compiler of the virtual machine has done its work by then. */
  private static final int ROUNDS = 9;

  /** What the core is to take, events a second. */
  private static final double BAR = 300_000;

  @Test
  void theFieldStationIsTakenFastEnough() throws Exception {
    SiteSpec site = ConfigReader.read(LAB).site();
    List<Double> rates = rates(new RecordedEvents(site, Duration.ofHours(24)));
    double rate = rates.get(rates.size() / 2);
    note(
        "the field station for a day: %.0f events a second, the median of %s"
            .formatted(rate, rates.stream().map(each -> "%.0f".formatted(each)).toList()));
    if (Boolean.getBoolean("tidewarden.quiet")) {
      assertThat(rate).isGreaterThan(BAR);
    }
  }

  @ParameterizedTest
  @ValueSource(ints = {1, 10, 100, 1000})
  void tellsWhatAnEventCostsWithSoManyTanks(int tanks) throws Exception {
    // In an hour in which water is due in every tank; the more tanks, the shorter.
    Duration time = Duration.ofSeconds(Math.max(150, 36_000 / tanks));
    RecordedEvents events = new RecordedEvents(copies(tanks), time);
    List<Double> rates = rates(events);
    double rate = rates.get(rates.size() / 2);
    note(
        "%d tanks: %.2f us an event, %.2f us a tank's step, %d events"
            .formatted(
                tanks,
                1e6 / rate,
                1e6 / rate * events.count() / events.tankSteps(),
                events.count()));
  }

  /** Events a second in the later half of the rounds, sorted. */
  private static List<Double> rates(RecordedEvents events) {
    List<Double> rates = new ArrayList<>();
    for (int round = 0; round < ROUNDS; round++) {
      long began = ManagementFactory.getThreadMXBean().getCurrentThreadCpuTime();
      events.again();
      long took = ManagementFactory.getThreadMXBean().getCurrentThreadCpuTime() - began;
      if (round >= ROUNDS / 2) {
        rates.add(events.count() * 1e9 / took);
      }
    }
    return rates.stream().sorted().toList();
  }

  /** The lagoon so often, each with topics, a bin and a room of its own. */
  private static SiteSpec copies(int tanks) throws IOException, ConfigException {
    String text = Files.readString(LAB);
    List<TankSpec> specs = new ArrayList<>();
    SiteSpec site = ConfigReader.read(LAB).site();
    for (int tank = 0; tank < tanks; tank++) {
      String copy = text.replace("lagoon", "tank-" + tank).replace("gallery", "room-" + tank);
      specs.add(
          ConfigReader.read(LAB, copy.getBytes(StandardCharsets.UTF_8)).site().tanks().get(0));
    }
    return new SiteSpec(site.name(), site.zone(), site.hardLimits(), specs);
  }

  private static void note(String figures) throws IOException {
    System.out.println(figures);
    Files.writeString(
        FIGURES,
        String.format(Locale.ROOT, "%s%n", figures),
        StandardOpenOption.CREATE,
        StandardOpenOption.APPEND);
  }
}

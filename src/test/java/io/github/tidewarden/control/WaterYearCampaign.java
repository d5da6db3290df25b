package io.github.tidewarden.control;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.time.Duration;
import java.util.Locale;
import org.junit.jupiter.api.parallel.Execution;
import org.junit.jupiter.api.parallel.ExecutionMode;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/**
 * The bar of the exchange, for the whole core: 365 days in which the pumps are 10 % off, 1 % of the
 * water evaporates a day and is replaced while nothing is exchanged, the level has 1 mm of noise,
 * and for a week, from the middle of a portion on, there is no daemon. {@code ExchangeYearTest}
 * lives such years with the rule alone. It runs on request only, see DEVELOPERS.md.
 */
@Execution(ExecutionMode.CONCURRENT)
class WaterYearCampaign {
  private static final Path FIGURES = Path.of("target", "water-year.txt");

  @ParameterizedTest
  @CsvSource({
    "PORTIONS, 1.1, 0.9",
    "PORTIONS, 0.9, 1.1",
    "PAIRED, 1.1, 0.9",
    "PAIRED, 0.9, 1.1",
    "PAIRED_UNMEASURED, 1.1, 0.9",
    "PAIRED_UNMEASURED, 0.9, 1.1",
    "PAIRED_CALIBRATED, 1.1, 0.9",
    "PAIRED_CALIBRATED, 0.9, 1.1",
  })
  void keepsLevelSalinityShareAndBalanceForAYear(
      WaterYear.Lagoon lagoon, double drains, double fills) throws IOException {
    long began = System.nanoTime();
    WaterYear year = new WaterYear(lagoon, drains, fills);
    try {
      weeks(year, 14);
      year.outage(Duration.ofDays(7));
      weeks(year, 37);
    } finally {
      note(lagoon, drains, fills, Duration.ofNanos(System.nanoTime() - began), year);
    }
  }

  private static void weeks(WaterYear year, int weeks) {
    for (int week = 0; week < weeks; week++) {
      year.gives(7);
    }
  }

  private static synchronized void note(
      WaterYear.Lagoon lagoon, double drains, double fills, Duration took, WaterYear year)
      throws IOException {
    Files.writeString(
        FIGURES,
        String.format(
            Locale.ROOT,
            "%s, drain %.1f, fill %.1f, %d s: %s%n",
            lagoon,
            drains,
            fills,
            took.toSeconds(),
            year),
        StandardOpenOption.CREATE,
        StandardOpenOption.APPEND);
  }
}

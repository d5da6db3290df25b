package io.github.tidewarden.control;

import java.time.Duration;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** The beginning of a year of exchange through the whole core; see {@link WaterYearCampaign}. */
class WaterWeekTest {

  @ParameterizedTest
  @CsvSource({"PORTIONS, 1.1, 0.9", "PAIRED, 0.9, 1.1"})
  void keepsLevelSalinityShareAndBalanceOverAnOutageInMidPortion(
      WaterYear.Lagoon lagoon, double drains, double fills) {
    WaterYear year = new WaterYear(lagoon, drains, fills);
    year.gives(3);
    year.outage(Duration.ofDays(1));
    year.gives(2);
  }
}

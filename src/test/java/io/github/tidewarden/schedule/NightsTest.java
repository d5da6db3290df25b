package io.github.tidewarden.schedule;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Zone facts: IANA tz database as in the tzdata of JDK 17 (2025a). */
class NightsTest {

  private static final ZoneId LISBON = ZoneId.of("Europe/Lisbon");

  @Test
  void bearsTheDateOfItsEveningUntilNoon() {
    LocalDate tenth = LocalDate.of(2026, 1, 10);
    assertThat(night("2026-01-10T11:59:59.999999999Z")).isEqualTo(tenth.minusDays(1));
    assertThat(night("2026-01-10T12:00:00Z")).isEqualTo(tenth);
    assertThat(night("2026-01-11T00:00:00Z")).isEqualTo(tenth);
    assertThat(night("2026-01-11T11:59:59.999999999Z")).isEqualTo(tenth);
    assertThat(night("2026-01-11T12:00:00Z")).isEqualTo(tenth.plusDays(1));
  }

  private static LocalDate night(String instant) {
    return Nights.nightOf(Instant.parse(instant), LISBON);
  }

  @ParameterizedTest(name = "{0} {1}")
  @CsvSource({
    // no change of offset
    "Europe/Lisbon,        2026-01-10, 2026-01-10T12:00:00Z, 2026-01-11T12:00:00Z",
    // spring forward and fall back by an hour
    "Europe/Lisbon,        2025-03-29, 2025-03-29T12:00:00Z, 2025-03-30T11:00:00Z",
    "Europe/Lisbon,        2025-10-25, 2025-10-25T11:00:00Z, 2025-10-26T12:00:00Z",
    // 23 h 30 min and 24 h 30 min
    "Australia/Lord_Howe,  2025-10-04, 2025-10-04T01:30:00Z, 2025-10-05T01:00:00Z",
    "Australia/Lord_Howe,  2025-04-05, 2025-04-05T01:00:00Z, 2025-04-06T01:30:00Z",
    // a date that never was: noon of the 30th (the 21st) is the transition
    "Pacific/Apia,         2011-12-29, 2011-12-29T22:00:00Z, 2011-12-30T10:00:00Z",
    "Pacific/Apia,         2011-12-30, 2011-12-30T10:00:00Z, 2011-12-30T22:00:00Z",
    "Pacific/Fakaofo,      2011-12-29, 2011-12-29T23:00:00Z, 2011-12-30T11:00:00Z",
    "Pacific/Fakaofo,      2011-12-30, 2011-12-30T11:00:00Z, 2011-12-30T23:00:00Z",
    "Pacific/Kwajalein,    1993-08-20, 1993-08-21T00:00:00Z, 1993-08-21T12:00:00Z",
    "Pacific/Kwajalein,    1993-08-21, 1993-08-21T12:00:00Z, 1993-08-22T00:00:00Z",
    // a day that was lived twice: of two noons of the 30th the first counts
    "Pacific/Kwajalein,    1969-09-29, 1969-09-29T01:00:00Z, 1969-09-30T01:00:00Z",
    "Pacific/Kwajalein,    1969-09-30, 1969-09-30T01:00:00Z, 1969-10-02T00:00:00Z",
  })
  void goesFromNoonToNoon(String zone, LocalDate night, Instant start, Instant end) {
    assertThat(Nights.interval(night, ZoneId.of(zone))).isEqualTo(new Interval(start, end));
  }

  @Test
  void isNotLeftAgainWhenTheClocksArePutBackOverItsNoon() {
    ZoneId kwajalein = ZoneId.of("Pacific/Kwajalein");
    LocalDate thirtieth = LocalDate.of(1969, 9, 30);
    Instant putBack = Instant.parse("1969-09-30T13:00:00Z");
    assertThat(putBack.atZone(kwajalein).toLocalDateTime())
        .isEqualTo(thirtieth.atTime(1, 0)); // before noon of the 30th, a second time
    assertThat(Nights.nightOf(putBack.minusNanos(1), kwajalein)).isEqualTo(thirtieth);
    assertThat(Nights.nightOf(putBack, kwajalein)).isEqualTo(thirtieth);
  }
}

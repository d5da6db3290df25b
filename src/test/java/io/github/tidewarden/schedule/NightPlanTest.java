package io.github.tidewarden.schedule;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.DayOfWeek;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class NightPlanTest {

  private static final ZoneId LISBON = ZoneId.of("Europe/Lisbon");

  /** A Saturday in winter, when Lisbon's clocks show UTC. */
  private static final LocalDate NIGHT = LocalDate.of(2026, 1, 10);

  @Test
  void opensOverMidnightOnceOnItsEvening() {
    NightPlan plan = NightPlan.of(NIGHT, LISBON, List.of(daily("23:00", "02:30")));
    assertThat(plan.night()).isEqualTo(NIGHT);
    assertThat(plan.interval()).isEqualTo(span("2026-01-10T12:00:00Z", "2026-01-11T12:00:00Z"));
    OpenWindow window =
        new OpenWindow(0, NIGHT, span("2026-01-10T23:00:00Z", "2026-01-11T02:30:00Z"));
    assertThat(plan.windows()).containsExactly(window);
    assertThat(plan.openAt(at("2026-01-10T22:59:59.999999999Z"))).isNull();
    assertThat(plan.openAt(at("2026-01-10T23:00:00Z"))).isEqualTo(window);
    assertThat(plan.openAt(at("2026-01-11T02:29:59.999999999Z"))).isEqualTo(window);
    assertThat(plan.openAt(at("2026-01-11T02:30:00Z"))).isNull();
  }

  @Test
  void countsTheHoursAfterMidnightToTheEveningBefore() {
    WindowSpec saturdays =
        new WindowSpec(time("01:00"), time("03:00"), EnumSet.of(DayOfWeek.SATURDAY));
    assertThat(NightPlan.of(NIGHT, LISBON, List.of(saturdays)).windows())
        .containsExactly(
            new OpenWindow(0, NIGHT, span("2026-01-11T01:00:00Z", "2026-01-11T03:00:00Z")));
    assertThat(NightPlan.of(NIGHT.minusDays(1), LISBON, List.of(saturdays)).windows()).isEmpty();
    assertThat(NightPlan.of(NIGHT.plusDays(1), LISBON, List.of(saturdays)).windows()).isEmpty();
  }

  @Test
  void opensAtNoonInTheNightThatBeginsThen() {
    NightPlan plan =
        NightPlan.of(NIGHT, LISBON, List.of(daily("12:00", "12:15"), daily("11:45", "12:00")));
    assertThat(plan.windows())
        .containsExactly(
            new OpenWindow(0, NIGHT, span("2026-01-10T12:00:00Z", "2026-01-10T12:15:00Z")),
            new OpenWindow(1, NIGHT, span("2026-01-11T11:45:00Z", "2026-01-11T12:00:00Z")));
    assertThat(plan.openAt(at("2026-01-10T11:59:00Z"))).isNull();
    assertThat(plan.openAt(at("2026-01-10T12:00:00Z"))).isEqualTo(plan.windows().get(0));
  }

  @Test
  void findsAWindowThatRunsOnPastNoonUnderTheNightInWhichItOpened() {
    List<WindowSpec> lateMorning =
        List.of(new WindowSpec(time("11:00"), time("14:00"), EnumSet.of(DayOfWeek.SATURDAY)));
    NightPlan saturday = NightPlan.of(NIGHT, LISBON, lateMorning);
    OpenWindow window =
        new OpenWindow(0, NIGHT, span("2026-01-11T11:00:00Z", "2026-01-11T14:00:00Z"));
    assertThat(saturday.windows()).containsExactly(window);
    assertThat(saturday.openAt(at("2026-01-11T11:59:59Z"))).isEqualTo(window);

    NightPlan sunday = NightPlan.of(NIGHT.plusDays(1), LISBON, lateMorning);
    assertThat(sunday.windows()).isEmpty();
    assertThat(sunday.openAt(at("2026-01-11T12:00:00Z"))).isEqualTo(window);
    assertThat(sunday.openAt(at("2026-01-11T14:00:00Z"))).isNull();
    assertThat(sunday.nextEdge(at("2026-01-11T12:00:00Z"))).isEqualTo("2026-01-11T14:00:00Z");
  }

  @Test
  void knowsNothingOutsideItsOwnNight() {
    NightPlan plan = NightPlan.of(NIGHT, LISBON, List.of(daily("11:00", "10:00")));
    assertThat(plan.openAt(at("2026-01-10T11:59:59Z"))).isNull(); // the night before is open then
    assertThat(plan.openAt(at("2026-01-11T11:59:59Z"))).isNotNull();
    assertThat(plan.openAt(at("2026-01-11T12:00:00Z"))).isNull(); // its own is open, in the next
  }

  @Test
  void prefersTheWindowThatClosesLastAndThenTheFirstInTheList() {
    NightPlan plan =
        NightPlan.of(
            NIGHT,
            LISBON,
            List.of(daily("22:00", "00:00"), daily("23:00", "01:00"), daily("22:30", "01:00")));
    assertThat(openIndexAt(plan, "2026-01-10T22:15:00Z")).isEqualTo(0);
    assertThat(openIndexAt(plan, "2026-01-10T22:45:00Z")).isEqualTo(2);
    assertThat(openIndexAt(plan, "2026-01-10T23:45:00Z")).isEqualTo(1);
    assertThat(plan.openAt(at("2026-01-11T01:00:00Z"))).isNull();
  }

  @Test
  void tellsEveryEdgeOfItsNightInTurn() {
    NightPlan plan =
        NightPlan.of(
            NIGHT,
            LISBON,
            List.of(daily("23:00", "02:00"), daily("01:00", "02:00"), daily("11:00", "13:00")));
    List<String> edges = new ArrayList<>();
    Instant edge = plan.nextEdge(Instant.EPOCH);
    while (edge != null) {
      edges.add(edge.toString());
      edge = plan.nextEdge(edge);
    }
    assertThat(edges)
        .containsExactly(
            "2026-01-10T12:00:00Z",
            "2026-01-10T13:00:00Z", // carried over from the night before
            "2026-01-10T23:00:00Z",
            "2026-01-11T01:00:00Z",
            "2026-01-11T02:00:00Z",
            "2026-01-11T11:00:00Z",
            "2026-01-11T12:00:00Z");
  }

  /** Transitions: IANA tz database as in the tzdata of JDK 17 (2025a). */
  @ParameterizedTest(name = "{0} {1}")
  @CsvSource({
    "Australia/Lord_Howe, 2025-10-04T15:30:00Z, 2025-10-05T02:00, 2025-10-05T02:30",
    "Australia/Lord_Howe, 2025-04-05T15:00:00Z, 2025-04-06T02:00, 2025-04-06T01:30",
    "Pacific/Apia,        2011-12-30T10:00:00Z, 2011-12-30T00:00, 2011-12-31T00:00",
    "Pacific/Fakaofo,     2011-12-30T11:00:00Z, 2011-12-30T00:00, 2011-12-31T00:00",
    "Pacific/Kwajalein,   1993-08-21T12:00:00Z, 1993-08-21T00:00, 1993-08-22T00:00",
    "America/Sao_Paulo,   2018-11-04T03:00:00Z, 2018-11-04T00:00, 2018-11-04T01:00",
    "Asia/Beirut,         2024-03-30T22:00:00Z, 2024-03-31T00:00, 2024-03-31T01:00",
    "Asia/Beirut,         2024-10-26T21:00:00Z, 2024-10-27T00:00, 2024-10-26T23:00",
    "America/Santiago,    2025-09-07T04:00:00Z, 2025-09-07T00:00, 2025-09-07T01:00",
    "Asia/Pyongyang,      2015-08-14T15:00:00Z, 2015-08-15T00:00, 2015-08-14T23:30",
    "Asia/Pyongyang,      2018-05-04T15:00:00Z, 2018-05-04T23:30, 2018-05-05T00:00",
    "Africa/Casablanca,   2025-02-23T02:00:00Z, 2025-02-23T03:00, 2025-02-23T02:00",
    "Africa/Casablanca,   2025-04-06T02:00:00Z, 2025-04-06T02:00, 2025-04-06T03:00",
  })
  void reckonsWithZoneDataThatKnowTheseTransitions(
      ZoneId zone, Instant instant, String localBefore, String localAfter) {
    var transition = zone.getRules().nextTransition(instant.minusNanos(1));
    assertThat(transition.getInstant()).isEqualTo(instant);
    assertThat(transition.getDateTimeBefore()).hasToString(localBefore);
    assertThat(transition.getDateTimeAfter()).hasToString(localAfter);
  }

  /** Worked by hand from the transitions above. */
  @ParameterizedTest(name = "{0} {1} {2} to {3}")
  @CsvSource({
    // half an hour is left out: into it, out of it, across it, wholly inside it, exactly it
    "Australia/Lord_Howe, 2025-10-04, 01:30, 02:15, 2025-10-04T15:00:00Z, 2025-10-04T15:30:00Z",
    "Australia/Lord_Howe, 2025-10-04, 02:15, 03:00, 2025-10-04T15:30:00Z, 2025-10-04T16:00:00Z",
    "Australia/Lord_Howe, 2025-10-04, 01:00, 04:00, 2025-10-04T14:30:00Z, 2025-10-04T17:00:00Z",
    "Australia/Lord_Howe, 2025-10-04, 02:10, 02:20, 2025-10-04T15:30:00Z, 2025-10-04T15:40:00Z",
    "Australia/Lord_Howe, 2025-10-04, 02:00, 02:30, 2025-10-04T15:30:00Z, 2025-10-04T16:00:00Z",
    // half an hour comes twice: 01:45 is 14:45Z and 15:15Z
    "Australia/Lord_Howe, 2025-04-05, 01:45, 02:30, 2025-04-05T14:45:00Z, 2025-04-05T15:30:00Z",
    "Australia/Lord_Howe, 2025-04-05, 01:00, 01:45, 2025-04-05T14:00:00Z, 2025-04-05T14:45:00Z",
    "Australia/Lord_Howe, 2025-04-05, 01:40, 01:50, 2025-04-05T14:40:00Z, 2025-04-05T14:50:00Z",
    "Australia/Lord_Howe, 2025-04-05, 01:00, 03:00, 2025-04-05T14:00:00Z, 2025-04-05T16:00:00Z",
    "Australia/Lord_Howe, 2025-04-05, 02:00, 03:00, 2025-04-05T15:30:00Z, 2025-04-05T16:30:00Z",
    // 30 December never was: its evening is the transition, its morning has none
    "Pacific/Apia,        2011-12-29, 22:00, 02:00, 2011-12-30T08:00:00Z, 2011-12-30T10:00:00Z",
    "Pacific/Apia,        2011-12-29, 03:00, 04:00, ,",
    "Pacific/Apia,        2011-12-30, 20:00, 22:00, 2011-12-30T10:00:00Z, 2011-12-30T12:00:00Z",
    "Pacific/Apia,        2011-12-30, 22:00, 02:00, 2011-12-30T10:00:00Z, 2011-12-30T12:00:00Z",
    "Pacific/Apia,        2011-12-30, 03:00, 04:00, 2011-12-30T13:00:00Z, 2011-12-30T14:00:00Z",
    "Pacific/Fakaofo,     2011-12-29, 22:00, 02:00, 2011-12-30T09:00:00Z, 2011-12-30T11:00:00Z",
    "Pacific/Fakaofo,     2011-12-30, 22:00, 02:00, 2011-12-30T11:00:00Z, 2011-12-30T13:00:00Z",
    "Pacific/Kwajalein,   1993-08-20, 22:00, 02:00, 1993-08-21T10:00:00Z, 1993-08-21T12:00:00Z",
    "Pacific/Kwajalein,   1993-08-21, 13:00, 14:00, 1993-08-21T12:00:00Z, 1993-08-21T13:00:00Z",
    // midnight is left out, midnight to 01:00 is the gap itself
    "America/Sao_Paulo,   2018-11-03, 23:30, 00:30, 2018-11-04T02:30:00Z, 2018-11-04T03:00:00Z",
    "America/Sao_Paulo,   2018-11-03, 00:00, 01:00, 2018-11-04T03:00:00Z, 2018-11-04T04:00:00Z",
    "America/Sao_Paulo,   2018-11-03, 22:00, 02:00, 2018-11-04T01:00:00Z, 2018-11-04T04:00:00Z",
    "Asia/Beirut,         2024-03-30, 00:15, 00:45, 2024-03-30T22:00:00Z, 2024-03-30T22:30:00Z",
    "America/Santiago,    2025-09-06, 00:30, 01:30, 2025-09-07T04:00:00Z, 2025-09-07T04:30:00Z",
    // the hour before midnight comes twice
    "Asia/Beirut,         2024-10-26, 23:30, 00:30, 2024-10-26T20:30:00Z, 2024-10-26T21:30:00Z",
    "Asia/Beirut,         2024-10-26, 22:00, 00:00, 2024-10-26T19:00:00Z, 2024-10-26T21:00:00Z",
    // the half hour before midnight comes twice, and years later not at all
    "Asia/Pyongyang,      2015-08-14, 23:45, 00:15, 2015-08-14T14:45:00Z, 2015-08-14T15:15:00Z",
    "Asia/Pyongyang,      2018-05-04, 23:30, 00:00, 2018-05-04T15:00:00Z, 2018-05-04T15:30:00Z",
    "Asia/Pyongyang,      2018-05-04, 23:45, 00:15, 2018-05-04T15:00:00Z, 2018-05-04T15:15:00Z",
    // into Ramadan and out of it
    "Africa/Casablanca,   2025-02-22, 02:30, 03:30, 2025-02-23T01:30:00Z, 2025-02-23T02:30:00Z",
    "Africa/Casablanca,   2025-04-05, 01:30, 03:30, 2025-04-06T01:30:00Z, 2025-04-06T02:30:00Z",
  })
  void opensWhereTheOffsetChanges(
      ZoneId zone, LocalDate night, String from, String to, Instant start, Instant end) {
    NightPlan plan = NightPlan.of(night, zone, List.of(daily(from, to)));
    assertThat(plan.windows().stream().map(OpenWindow::interval).toList())
        .isEqualTo(start == null ? List.of() : List.of(new Interval(start, end)));
  }

  @Test
  void opensNothingInTheSecondPassOfAnHour() {
    // Beirut, 26 October 2024: 23:00 to midnight comes twice, from 20:00Z and from 21:00Z
    ZoneId beirut = ZoneId.of("Asia/Beirut");
    NightPlan plan =
        NightPlan.of(LocalDate.of(2024, 10, 26), beirut, List.of(daily("23:10", "23:40")));
    Instant first = at("2024-10-26T20:20:00Z");
    Instant second = at("2024-10-26T21:20:00Z");
    assertThat(first.atZone(beirut).toLocalTime()).isEqualTo("23:20");
    assertThat(second.atZone(beirut).toLocalTime()).isEqualTo("23:20");
    assertThat(plan.openAt(first)).isNotNull();
    assertThat(plan.openAt(second)).isNull();
  }

  private static int openIndexAt(NightPlan plan, String instant) {
    return plan.openAt(at(instant)).index();
  }

  private static WindowSpec daily(String from, String to) {
    return new WindowSpec(time(from), time(to), EnumSet.allOf(DayOfWeek.class));
  }

  private static LocalTime time(String text) {
    return LocalTime.parse(text);
  }

  private static Instant at(String text) {
    return Instant.parse(text);
  }

  private static Interval span(String start, String end) {
    return new Interval(at(start), at(end));
  }
}

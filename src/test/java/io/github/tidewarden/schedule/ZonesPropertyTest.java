package io.github.tidewarden.schedule;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.DayOfWeek;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalDateTime;
import java.time.LocalTime;
import java.time.ZoneId;
import java.time.zone.ZoneOffsetTransition;
import java.time.zone.ZoneRules;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.OptionalInt;
import java.util.Set;
import java.util.SplittableRandom;
import java.util.TreeSet;
import java.util.stream.IntStream;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** What holds in every zone that this JDK knows, whatever its zone data say. */
class ZonesPropertyTest {

  private static final Instant FIRST = Instant.parse("2000-01-01T00:00:00Z");
  private static final Instant LAST = Instant.parse("2038-01-01T00:00:00Z");
  private static final int MINUTES_PER_DAY = 24 * 60;
  private static final int QUARTERS_PER_DAY = 24 * 4;
  private static final Set<DayOfWeek> EVERY_DAY = EnumSet.allOf(DayOfWeek.class);

  @Test
  void nightsPartitionTimeAroundEveryTransition() {
    int seen = 0;
    for (ZoneId zone : zonesThatDiffer()) {
      for (ZoneOffsetTransition transition : transitions(zone, Instant.EPOCH)) {
        LocalDate first = transition.getDateTimeBefore().toLocalDate().minusDays(2);
        for (int day = 0; day < 5; day++) {
          checkNight(first.plusDays(day), zone);
        }
        seen++;
      }
    }
    assertThat(seen).isGreaterThan(10_000);
  }

  @Test
  void nightsPartitionTimeOnAnyDay() {
    SplittableRandom random = new SplittableRandom(20_260_301);
    for (String id : ZoneId.getAvailableZoneIds()) {
      for (int draw = 0; draw < 50; draw++) {
        checkNight(Nights.nightOf(anyInstant(random), ZoneId.of(id)), ZoneId.of(id));
      }
    }
  }

  private static void checkNight(LocalDate night, ZoneId zone) {
    Interval interval = Nights.interval(night, zone);
    assertThat(interval.end())
        .as("%s %s meets the next", zone, night)
        .isEqualTo(Nights.interval(night.plusDays(1), zone).start());
    assertThat(Nights.nightOf(interval.start(), zone)).as("%s start", zone).isEqualTo(night);
    assertThat(Nights.nightOf(interval.end().minusNanos(1), zone))
        .as("%s last", zone)
        .isEqualTo(night);
    assertThat(Nights.nightOf(interval.start().minusNanos(1), zone))
        .as("%s before", zone)
        .isEqualTo(night.minusDays(1));
  }

  @Test
  void windowsKeepTheirBoundsInEveryZone() {
    SplittableRandom random = new SplittableRandom(8_011);
    for (ZoneId zone : zonesThatDiffer()) {
      for (ZoneOffsetTransition transition : transitions(zone, FIRST)) {
        LocalDate night = transition.getDateTimeBefore().toLocalDate().minusDays(random.nextInt(2));
        checkWindows(night, zone, List.of(anyWindow(random), anyWindow(random)));
      }
      checkWindows(Nights.nightOf(anyInstant(random), zone), zone, List.of(anyWindow(random)));
    }
  }

  private static void checkWindows(LocalDate night, ZoneId zone, List<WindowSpec> windows) {
    NightPlan plan = NightPlan.of(night, zone, windows);
    assertThat(plan.windows()).extracting(OpenWindow::index).doesNotHaveDuplicates();
    for (OpenWindow open : plan.windows()) {
      WindowSpec window = windows.get(open.index());
      String context = zone + " " + night + " " + window;
      Interval interval = open.interval();
      assertThat(open.night()).as(context).isEqualTo(night);
      assertThat(plan.interval().contains(interval.start())).as(context).isTrue();
      assertThat(interval.length()).as(context).isPositive().isLessThanOrEqualTo(nominal(window));
      assertThat(startsAtFromOrAtAGap(interval.start(), window, zone)).as(context).isTrue();
    }
  }

  private static boolean startsAtFromOrAtAGap(Instant start, WindowSpec window, ZoneId zone) {
    ZoneOffsetTransition next = zone.getRules().nextTransition(start.minusNanos(1));
    boolean atGap = next != null && next.getInstant().equals(start) && next.isGap();
    return atGap || start.atZone(zone).toLocalTime().equals(window.from());
  }

  @Test
  void noWindowOpensTwiceWhileTheMinutesPass() {
    SplittableRandom random = new SplittableRandom(3_021);
    for (ZoneId zone : zonesThatDiffer()) {
      for (Instant transition : someTransition(zone, random)) {
        WindowSpec window = anyWindowAround(transition, zone, random);
        Follower follower = new Follower(zone, List.of(window));
        Map<LocalDate, Integer> openings = new HashMap<>();
        Map<LocalDate, Integer> minutes = new HashMap<>();
        OpenWindow before = null;
        for (Instant now : twoDaysAround(transition)) {
          OpenWindow open = follower.openAt(now);
          if (open != null) {
            minutes.merge(open.night(), 1, Integer::sum);
            openings.merge(open.night(), open.equals(before) ? 0 : 1, Integer::sum);
          }
          before = open;
        }
        String context = zone + " " + transition + " " + window;
        assertThat(openings.values()).as(context).isNotEmpty().allMatch(count -> count == 1);
        assertThat(minutes.values())
            .as(context)
            .allMatch(count -> count <= nominal(window).toMinutes());
      }
    }
  }

  @Test
  void severalWindowsAreOpenExactlyWhenOneOfThemIs() {
    SplittableRandom random = new SplittableRandom(77);
    for (ZoneId zone : zonesThatDiffer()) {
      for (Instant transition : someTransition(zone, random)) {
        List<WindowSpec> windows =
            List.of(
                anyWindow(random), anyWindowAround(transition, zone, random), anyWindow(random));
        Follower all = new Follower(zone, windows);
        List<Follower> each =
            windows.stream().map(window -> new Follower(zone, List.of(window))).toList();
        for (Instant now : twoDaysAround(transition)) {
          long open = each.stream().filter(one -> one.openAt(now) != null).count();
          assertThat(all.openAt(now) != null)
              .as("%s %s %s", zone, now, windows)
              .isEqualTo(open > 0);
        }
      }
    }
  }

  /**
   * Every window from one quarter hour to another, in the nights of each change and beside them,
   * against the account of {@link MinuteWalk}.
   */
  @ParameterizedTest
  @ValueSource(
      strings = {
        "Australia/Lord_Howe 2025-04-05T15:00:00Z",
        "Australia/Lord_Howe 2025-10-04T15:30:00Z",
        "Pacific/Apia 2011-12-30T10:00:00Z",
        "Pacific/Fakaofo 2011-12-30T11:00:00Z",
        "Pacific/Kwajalein 1993-08-21T12:00:00Z",
        "Pacific/Kwajalein 1969-09-30T13:00:00Z",
        "America/Sao_Paulo 2018-02-18T02:00:00Z",
        "America/Sao_Paulo 2018-11-04T03:00:00Z",
        "Asia/Beirut 2024-03-30T22:00:00Z",
        "Asia/Beirut 2024-10-26T21:00:00Z",
        "America/Santiago 2025-04-06T03:00:00Z",
        "America/Santiago 2025-09-07T04:00:00Z",
        "Asia/Pyongyang 2015-08-14T15:00:00Z",
        "Asia/Pyongyang 2018-05-04T15:00:00Z",
        "Africa/Casablanca 2025-02-23T02:00:00Z",
        "Africa/Casablanca 2025-04-06T02:00:00Z",
        "Europe/Lisbon 2025-03-30T01:00:00Z",
        "Europe/Lisbon 2025-10-26T01:00:00Z",
        "Africa/Cairo 2024-04-25T22:00:00Z",
        "Africa/Cairo 2024-10-31T21:00:00Z",
        "Antarctica/Troll 2025-03-30T01:00:00Z",
        "Antarctica/Troll 2025-10-26T01:00:00Z",
      })
  void everyWindowOfQuarterHoursOpensAsAWallClockWouldShow(String change) {
    ZoneId zone = ZoneId.of(change.substring(0, change.indexOf(' ')));
    Instant transition = Instant.parse(change.substring(change.indexOf(' ') + 1));
    assertThat(zone.getRules().nextTransition(transition.minusNanos(1)).getInstant())
        .isEqualTo(transition);
    MinuteWalk walk = new MinuteWalk(zone, transition, 5);
    LocalDate night = Nights.nightOf(transition, zone).minusDays(2);
    for (int nights = 0; nights < 4; nights++) {
      compareQuarterHours(walk, zone, night.plusDays(nights));
    }
  }

  private static void compareQuarterHours(MinuteWalk walk, ZoneId zone, LocalDate night) {
    LocalDateTime noon = night.atTime(LocalTime.NOON);
    for (int opens = 0; opens < QUARTERS_PER_DAY; opens++) {
      for (int length = 1; length < QUARTERS_PER_DAY; length++) {
        LocalDateTime from = noon.plusMinutes(15L * opens);
        LocalDateTime to = from.plusMinutes(15L * length);
        WindowSpec window = new WindowSpec(from.toLocalTime(), to.toLocalTime(), EVERY_DAY);
        OptionalInt minutes = walk.minutesOpen(from, to, noon.plusDays(1));
        List<Interval> expected = new ArrayList<>();
        if (minutes.isPresent()) {
          int start = walk.firstReached(from);
          expected.add(new Interval(walk.at(start), walk.at(start + minutes.getAsInt())));
        }
        List<Interval> actual =
            NightPlan.of(night, zone, List.of(window)).windows().stream()
                .map(OpenWindow::interval)
                .toList();
        if (!actual.equals(expected)) {
          assertThat(actual).as("%s %s %s", zone, night, window).isEqualTo(expected);
        }
      }
    }
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "Pacific/Apia 2011-12-30T10:00:00Z",
        "Pacific/Kwajalein 1969-09-30T13:00:00Z",
        "Pacific/Kwajalein 1993-08-21T12:00:00Z",
        "Australia/Lord_Howe 2025-04-05T15:00:00Z",
        "Asia/Beirut 2024-10-26T21:00:00Z",
        "Antarctica/Davis 1964-10-31T17:00:00Z"
      })
  void nightsChangeWhenAWallClockFirstPassesNoon(String change) {
    ZoneId zone = ZoneId.of(change.substring(0, change.indexOf(' ')));
    Instant transition = Instant.parse(change.substring(change.indexOf(' ') + 1));
    MinuteWalk walk = new MinuteWalk(zone, transition, 3);
    for (int minute = 24 * 60; minute < walk.minutes(); minute++) {
      assertThat(Nights.nightOf(walk.at(minute), zone))
          .as("%s %s", zone, walk.at(minute))
          .isEqualTo(walk.dateOfLastNoon(minute));
    }
  }

  /** Keeps the plan of whatever night it is, as the gate does. */
  private static final class Follower {

    private final ZoneId zone;
    private final List<WindowSpec> windows;
    private @Nullable NightPlan plan;

    Follower(ZoneId zone, List<WindowSpec> windows) {
      this.zone = zone;
      this.windows = windows;
    }

    @Nullable OpenWindow openAt(Instant now) {
      if (plan == null || !plan.interval().contains(now)) {
        plan = NightPlan.of(Nights.nightOf(now, zone), zone, windows);
      }
      return plan.openAt(now);
    }
  }

  /** One zone of each set of rules; many of the ids are links. */
  private static List<ZoneId> zonesThatDiffer() {
    Map<ZoneRules, ZoneId> zones = new LinkedHashMap<>();
    for (String id : new TreeSet<>(ZoneId.getAvailableZoneIds())) {
      zones.putIfAbsent(ZoneId.of(id).getRules(), ZoneId.of(id));
    }
    assertThat(zones).hasSizeGreaterThan(200);
    return List.copyOf(zones.values());
  }

  private static List<ZoneOffsetTransition> transitions(ZoneId zone, Instant from) {
    List<ZoneOffsetTransition> transitions = new ArrayList<>();
    ZoneOffsetTransition next = zone.getRules().nextTransition(from);
    while (next != null && next.getInstant().isBefore(LAST)) {
      transitions.add(next);
      next = zone.getRules().nextTransition(next.getInstant());
    }
    return transitions;
  }

  private static List<Instant> someTransition(ZoneId zone, SplittableRandom random) {
    List<ZoneOffsetTransition> transitions = transitions(zone, FIRST);
    return transitions.isEmpty()
        ? List.of()
        : List.of(transitions.get(random.nextInt(transitions.size())).getInstant());
  }

  private static List<Instant> twoDaysAround(Instant transition) {
    return IntStream.range(-24 * 60, 24 * 60)
        .mapToObj(minute -> transition.plusSeconds(60L * minute))
        .toList();
  }

  private static Instant anyInstant(SplittableRandom random) {
    return Instant.ofEpochSecond(random.nextLong(FIRST.getEpochSecond(), LAST.getEpochSecond()));
  }

  private static WindowSpec anyWindow(SplittableRandom random) {
    return window(random.nextInt(MINUTES_PER_DAY), 1 + random.nextInt(MINUTES_PER_DAY - 1));
  }

  /** One of up to 4 h that touches the hours about the change. */
  private static WindowSpec anyWindowAround(
      Instant transition, ZoneId zone, SplittableRandom random) {
    int before = transition.minusSeconds(1).atZone(zone).toLocalTime().toSecondOfDay() / 60;
    int from = Math.floorMod(before - 150 + random.nextInt(240), MINUTES_PER_DAY);
    return window(from, 1 + random.nextInt(240));
  }

  private static WindowSpec window(int fromMinute, int minutes) {
    LocalTime from = LocalTime.MIN.plusMinutes(fromMinute);
    return new WindowSpec(from, from.plusMinutes(minutes), EVERY_DAY);
  }

  private static Duration nominal(WindowSpec window) {
    Duration length = Duration.between(window.from(), window.to());
    return length.isNegative() ? length.plusDays(1) : length;
  }
}

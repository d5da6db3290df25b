package io.github.tidewarden.rehearsal;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.schedule.Interval;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.ZoneId;
import java.time.ZonedDateTime;
import java.time.zone.ZoneOffsetTransition;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.stream.IntStream;
import java.util.stream.Stream;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;

/**
 * The whole daemon in ten zones with odd rules, through the nights of both changes of the clocks in
 * a year, with windows that begin at a quarter of an hour: those around the change and one across
 * noon, and each of the day with {@code -Dtidewarden.zones=true}. The zones' rules are those of the
 * IANA tz database as this JDK has them. Changes before 2020, which the daemon takes for a clock
 * that is wrong, are tested with the schedule alone.
 */
class ZoneNightsTest {
  private static final boolean ALL = Boolean.getBoolean("tidewarden.zones");
  private static final int QUARTERS = 24 * 4;

  /** A window from 11:45 on lies in two nights, from noon to noon, and belongs to the first. */
  private static final int ACROSS_NOON = 47;

  private static final int NIGHTS = 2;

  /** So long before a window nothing runs, also where the clock jumps over its beginning. */
  private static final Duration AT_REST = Duration.ofHours(3);

  private static final int OZONE_MINUTES = 45;
  private static final int LAGOON_MINUTES = 105;
  private static final int REEF_MINUTES = 60;

  /** As {@link StormSite} configures it. */
  private static final Duration MOST_OZONE = Duration.ofMinutes(20);

  /**
   * A window this long is enough for some of it. One that lies wholly in a gap of the clock opens
   * when the gap is over, for as long as ever.
   */
  private static final int ENOUGH_MINUTES = 30;

  /** One zone, and a moment shortly before each of the two changes. */
  private static final Map<String, List<String>> CHANGES =
      Map.of(
          "Europe/Lisbon", List.of("2026-03-01T00:00:00Z", "2026-10-01T00:00:00Z"),
          "Australia/Lord_Howe", List.of("2026-03-01T00:00:00Z", "2026-09-01T00:00:00Z"),
          "America/St_Johns", List.of("2026-03-01T00:00:00Z", "2026-10-15T00:00:00Z"),
          "Pacific/Apia", List.of("2020-09-01T00:00:00Z", "2021-04-01T00:00:00Z"),
          "Asia/Beirut", List.of("2024-03-15T00:00:00Z", "2024-10-15T00:00:00Z"),
          "America/Santiago", List.of("2025-04-01T00:00:00Z", "2025-09-01T00:00:00Z"),
          "Africa/Casablanca", List.of("2026-02-10T00:00:00Z", "2026-03-15T00:00:00Z"),
          "Antarctica/Troll", List.of("2025-03-15T00:00:00Z", "2025-10-15T00:00:00Z"),
          "Pacific/Chatham", List.of("2025-04-01T00:00:00Z", "2025-09-15T00:00:00Z"),
          "America/Havana", List.of("2025-03-01T00:00:00Z", "2025-10-15T00:00:00Z"));

  static Stream<Story> stories() {
    return CHANGES.entrySet().stream()
        .sorted(Map.Entry.comparingByKey())
        .flatMap(
            zone ->
                zone.getValue().stream()
                    .flatMap(before -> stories(ZoneId.of(zone.getKey()), Instant.parse(before))));
  }

  private static Stream<Story> stories(ZoneId zone, Instant before) {
    ZoneOffsetTransition change = zone.getRules().nextTransition(before);
    LocalTime at = change.getDateTimeBefore().toLocalTime();
    int quarter = (at.getHour() * 60 + at.getMinute()) / 15;
    IntStream quarters =
        ALL
            ? IntStream.range(0, QUARTERS)
            : IntStream.concat(
                IntStream.of(-4, -1, 0).map(q -> Math.floorMod(quarter + q, QUARTERS)),
                IntStream.of(ACROSS_NOON));
    return quarters.mapToObj(q -> new Story(zone, change, LocalTime.MIDNIGHT.plusMinutes(15L * q)));
  }

  /**
   * The night of a change and the one after it.
   *
   * @param from when all windows begin
   */
  record Story(ZoneId zone, ZoneOffsetTransition change, LocalTime from) {

    /** The noon before the change begins its night. */
    LocalDate first() {
      ZonedDateTime at = change.getInstant().minusNanos(1).atZone(zone);
      return at.getHour() < 12 ? at.toLocalDate().minusDays(1) : at.toLocalDate();
    }

    /** When it is lived through. */
    Interval lived() {
      return new Interval(noon(first()), noon(first().plusDays(NIGHTS)));
    }

    private Instant noon(LocalDate date) {
      return date.atTime(12, 0).atZone(zone).toInstant();
    }

    /**
     * From some hours before a night's window opens to as long before the next one's: all of the
     * window, which belongs to the night in which it opens, on whichever side of a noon.
     */
    Interval around(LocalDate night) {
      return new Interval(before(night), before(night.plusDays(1)));
    }

    private Instant before(LocalDate night) {
      LocalDate date = from.isBefore(LocalTime.NOON) ? night.plusDays(1) : night;
      return date.atTime(from).atZone(zone).toInstant().minus(AT_REST);
    }

    /**
     * For how many minutes of a night's window that are lived through the clock on the wall shows a
     * time in it.
     */
    long minutes(LocalDate night, int length) {
      Interval around = around(night);
      return Stream.iterate(
              around.start(), at -> at.isBefore(around.end()), at -> at.plusSeconds(60))
          .filter(lived()::contains)
          .map(at -> at.atZone(zone).toLocalTime())
          .filter(at -> Math.floorMod(Duration.between(from, at).toMinutes(), 24 * 60) < length)
          .count();
    }

    @Override
    public String toString() {
      return zone + ", " + change.getDateTimeBefore() + ", windows from " + from;
    }
  }

  @ParameterizedTest
  @MethodSource("stories")
  void eachWindowOpensOnceAndGivesWhatItIsToGive(Story story) {
    SiteSpec site =
        StormSite.site(
            story.zone().getId(),
            StormSite.window(story.from(), OZONE_MINUTES),
            StormSite.window(story.from(), LAGOON_MINUTES),
            StormSite.window(story.from(), REEF_MINUTES));
    Ozone ozone = new Ozone();
    Rehearsal.Outcome outcome =
        Rehearsal.of(
            new Rehearsal.Task(
                site,
                site,
                TankModel::typical,
                story.first(),
                NIGHTS,
                7,
                Duration.ofSeconds(10),
                Duration.ofMinutes(10),
                false),
            List.of(),
            ozone::hears,
            done -> {});
    ozone.ends(story.lived().end());
    assertThat(outcome.broken()).isEmpty();
    Duration generator =
        outcome.nights().get("lagoon").stream()
            .map(night -> Duration.ofNanos(night.ozoneNanos()))
            .reduce(Duration.ZERO, Duration::plus);
    assertThat(ozone.within(story.lived()))
        .as("told as the generator of the simulated tank was on")
        .isCloseTo(generator, Duration.ofSeconds(ozone.runs.size() + 1));
    for (int i = -1; i < NIGHTS; i++) {
      LocalDate night = story.first().plusDays(i);
      assertThat(ozone.within(story.around(night)))
          .as("once, " + night)
          .isLessThanOrEqualTo(MOST_OZONE);
      long minutes = story.minutes(night, OZONE_MINUTES);
      if (i >= 0 && (minutes >= ENOUGH_MINUTES || minutes == 0)) {
        assertThat(ozone.within(story.around(night))).as("given, " + night).isPositive();
      }
    }
  }

  /** The runs of the lagoon's generator as they are recorded. */
  private static final class Ozone {
    final List<Interval> runs = new ArrayList<>();
    private Instant from = Instant.MAX;

    void hears(AuditRecord record) {
      if (!record.tank().equals("lagoon")) {
        return;
      }
      if (record.kind() == Kind.RUN) {
        from = record.at();
      } else if (record.kind() == Kind.REST) {
        ends(record.at());
      }
    }

    void ends(Instant at) {
      if (at.isAfter(from)) {
        runs.add(new Interval(from, at));
      }
      from = Instant.MAX;
    }

    /** How long it was on in runs that began in this time. */
    Duration within(Interval time) {
      return runs.stream()
          .filter(run -> time.contains(run.start()))
          .map(Interval::length)
          .reduce(Duration.ZERO, Duration::plus);
    }
  }
}

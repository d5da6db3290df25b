package io.github.tidewarden.review;

import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;
import java.time.ZonedDateTime;
import java.time.format.DateTimeFormatter;
import java.time.zone.ZoneOffsetTransition;
import java.util.Locale;
import org.jspecify.annotations.Nullable;

/**
 * Local times of one night. A time outside the night carries its date, one that the clocks show
 * twice its offset.
 */
final class LocalTimes {
  private static final DateTimeFormatter MINUTE = format("HH:mm");
  private static final DateTimeFormatter SECOND = format("HH:mm:ss");
  private static final DateTimeFormatter DATE = format("d MMMM uuuu");
  private static final DateTimeFormatter DAY = format("d MMM");
  private static final DateTimeFormatter OFFSET = format("xxx");

  private final ZoneId zone;
  private final Span night;

  LocalTimes(ZoneId zone, Span night) {
    this.zone = zone;
    this.night = Span.of(night.night(), zone);
  }

  private static DateTimeFormatter format(String pattern) {
    return DateTimeFormatter.ofPattern(pattern, Locale.ENGLISH);
  }

  /** "14 January 2026". */
  static String date(LocalDate date) {
    return DATE.format(date);
  }

  /** How times of a review are to be read: the offset, or where it changes. */
  static String offsets(ZoneId zone, Instant from, Instant to) {
    ZoneOffsetTransition change = zone.getRules().nextTransition(from);
    String first = OFFSET.format(from.atZone(zone));
    if (change == null || !change.getInstant().isBefore(to)) {
      return "Times are local, " + first + " (" + zone + ").";
    }
    ZonedDateTime after = change.getInstant().atZone(zone);
    return "Times are local ("
        + zone
        + "): "
        + first
        + " until the clocks changed from "
        + MINUTE.format(change.getDateTimeBefore())
        + " to "
        + MINUTE.format(after)
        + " on "
        + DATE.format(after)
        + ", "
        + OFFSET.format(after)
        + " from then on; a time that came twice carries its offset.";
  }

  /** To the second. */
  String at(@Nullable Mark mark) {
    Instant at = mark == null ? null : mark.at();
    return at == null ? "an unknown time" : told(at, SECOND);
  }

  /** To the minute, for the edges of windows. */
  String edge(@Nullable Instant instant) {
    if (instant == null) {
      return "unknown";
    }
    return told(instant, instant.getEpochSecond() % 60 == 0 ? MINUTE : SECOND);
  }

  /** "01:30:00 to 01:31:00"; only the start when there is no end. */
  String fromTo(Mark from, @Nullable Mark to) {
    return to == null ? "since " + at(from) : at(from) + " to " + at(to);
  }

  private String told(Instant instant, DateTimeFormatter format) {
    ZonedDateTime local = instant.atZone(zone);
    boolean twice = zone.getRules().getValidOffsets(local.toLocalDateTime()).size() > 1;
    return (night.contains(instant) ? "" : DAY.format(local) + " ")
        + format.format(local)
        + (twice ? " " + OFFSET.format(local) : "");
  }
}

package io.github.tidewarden.config;

import io.github.tidewarden.quantity.Amount;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.quantity.UnitCode;
import io.github.tidewarden.schedule.Nights;
import java.time.DateTimeException;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalDateTime;
import java.time.LocalTime;
import java.time.ZoneId;
import java.time.zone.ZoneOffsetTransition;
import java.util.concurrent.TimeUnit;
import java.util.regex.Pattern;
import org.jspecify.annotations.Nullable;

/**
 * Reads the times of a drill: a time since its start, or a local time of the night in which it
 * starts.
 */
final class DrillTimes {
  /** Longest drill, h. */
  static final int MAX_HOURS = 48;

  private static final Limits SINCE_START = Limits.between(UnitCode.HOURS, 0, MAX_HOURS);
  private static final Limits LENGTH = Limits.positive(UnitCode.HOURS, MAX_HOURS);
  private static final Pattern START =
      Pattern.compile("[0-9]{4}-[0-9]{2}-[0-9]{2} [0-9]{2}:[0-9]{2}");
  private static final Pattern CLOCK =
      Pattern.compile("([01][0-9]|2[0-3]):[0-5][0-9](:[0-5][0-9])?");

  private final ZoneId zone;
  private final @Nullable Instant start;

  private DrillTimes(ZoneId zone, @Nullable Instant start) {
    this.zone = zone;
    this.start = start;
  }

  /** Those of a drill; its start is complained about when it is none. */
  static DrillTimes of(Section drill, ZoneId zone) {
    return new DrillTimes(
        zone, drill.required("start", "2026-01-15 01:20").map(at -> start(at, zone)).orElse(null));
  }

  /** When the drill starts; a stand-in after a complaint. */
  Instant start() {
    return start == null ? Instant.EPOCH : start;
  }

  private static @Nullable Instant start(Value value, ZoneId zone) {
    String text = value.text();
    if (text == null) {
      return null;
    }
    try {
      if (START.matcher(text).matches()) {
        return instant(value, LocalDateTime.parse(text.replace(' ', 'T')), zone);
      }
    } catch (DateTimeException e) {
      // A day or an hour that no calendar has: complained about below.
    }
    value.complain("\"" + text + "\" is not a local date and time", "write it as 2026-01-15 01:20");
    return null;
  }

  /** The earlier one where the clocks show it twice. */
  private static @Nullable Instant instant(Value value, LocalDateTime local, ZoneId zone) {
    ZoneOffsetTransition jump = zone.getRules().getTransition(local);
    if (jump != null && jump.isGap()) {
      value.complain(
          "there is no " + local.toString().replace('T', ' ') + ": the clocks jump over it",
          "a time before or after, or one since the start of the drill, such as `10 min`");
      return null;
    }
    return local.toInstant(zone.getRules().getValidOffsets(local).get(0));
  }

  /** A moment, ns since the start; null after a complaint. */
  @Nullable Long at(Value value) {
    if (value.raw().indexOf(':') >= 0) {
      return atClock(value);
    }
    Amount since = value.amount(SINCE_START);
    return since == null ? null : (Long) since.nanos();
  }

  private @Nullable Long atClock(Value value) {
    String text = value.text();
    if (text != null && !CLOCK.matcher(text).matches()) {
      value.complain(
          "\"" + text + "\" is not a time of day",
          "such as \"01:30\" or \"01:30:05\", or a time since the start such as `10 min`");
      return null;
    }
    Instant from = start;
    if (text == null || from == null) {
      return null;
    }
    LocalTime time = LocalTime.parse(text);
    LocalDate evening = Nights.nightOf(from, zone);
    LocalDate date = time.isBefore(LocalTime.NOON) ? evening.plusDays(1) : evening;
    Instant at = instant(value, date.atTime(time), zone);
    if (at == null) {
      return null;
    }
    if (at.isBefore(from)) {
      value.complain(
          "\"" + text + "\" is past when the drill starts, at " + Figures.clock(from, zone),
          "a time of the same night, noon to noon, after that; or one since the start, such as"
              + " `26 h`");
      return null;
    }
    return TimeUnit.MILLISECONDS.toNanos(at.toEpochMilli() - from.toEpochMilli());
  }

  /** A length of time, ns, positive; null after a complaint. */
  @Nullable Long length(Value value) {
    Amount length = value.amount(LENGTH);
    return length == null ? null : (Long) length.nanos();
  }

  /** A moment for a complaint. */
  String told(long nanos) {
    return start == null
        ? Drill.span(nanos)
        : Figures.clockSeconds(start.plusNanos(nanos), zone) + " (" + Drill.span(nanos) + ")";
  }
}

package io.github.tidewarden.rehearsal;

import io.github.tidewarden.schedule.WindowSpec;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalDateTime;
import java.time.ZoneId;
import java.time.ZonedDateTime;
import java.time.zone.ZoneOffsetTransition;
import java.util.ArrayList;
import java.util.IdentityHashMap;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * Windows in the judge's own words: one opens at its local time, at the earlier offset where that
 * comes twice and at the end of the gap where it does not come, and closes after its nominal length
 * or at its local end, whichever is first.
 */
final class JudgedWindows {

  /** What opened yesterday or opens today, by the local date of today. */
  private record Day(LocalDate today, List<Open> windows) {}

  private final ZoneId zone;

  /** Of each list of windows, the day that was asked for last. */
  private final IdentityHashMap<List<WindowSpec>, Day> days = new IdentityHashMap<>();

  JudgedWindows(ZoneId zone) {
    this.zone = zone;
  }

  /**
   * A window that is open.
   *
   * @param night in which it opened
   * @param from when it opened
   * @param to when it closes
   */
  record Open(LocalDate night, Instant from, Instant to) {}

  /** The window that is open now; null for none. */
  @Nullable Open open(List<WindowSpec> windows, Instant now) {
    LocalDate today = now.atZone(zone).toLocalDate();
    Day day = days.get(windows);
    if (day == null || !day.today().equals(today)) {
      day = new Day(today, about(windows, today));
      days.put(windows, day);
    }
    for (Open one : day.windows()) {
      if (!now.isBefore(one.from()) && now.isBefore(one.to())) {
        return one;
      }
    }
    return null;
  }

  private List<Open> about(List<WindowSpec> windows, LocalDate today) {
    List<Open> opens = new ArrayList<>();
    for (WindowSpec window : windows) {
      for (LocalDate day : List.of(today.minusDays(1), today)) {
        Open one = on(window, day);
        if (one != null) {
          opens.add(one);
        }
      }
    }
    return opens;
  }

  /** Whether one is open now by a clock that is no more wrong than one may be that is trusted. */
  boolean isNearlyOpen(List<WindowSpec> windows, Instant now) {
    return open(windows, now) != null
        || open(windows, now.plus(RehearsedSite.RIGHT_WITHIN)) != null
        || open(windows, now.minus(RehearsedSite.RIGHT_WITHIN)) != null;
  }

  /** A window that opens on a day; null where it does not. */
  private @Nullable Open on(WindowSpec window, LocalDate day) {
    LocalDate night = window.from().getHour() < 12 ? day.minusDays(1) : day;
    if (!window.days().contains(night.getDayOfWeek())) {
      return null;
    }
    LocalDate last = window.to().isAfter(window.from()) ? day : day.plusDays(1);
    Instant from = instant(day.atTime(window.from()));
    Duration nominal = Duration.between(day.atTime(window.from()), last.atTime(window.to()));
    Instant local = instant(last.atTime(window.to()));
    Instant whole = from.plus(nominal);
    return new Open(night, from, local.isAfter(from) && local.isBefore(whole) ? local : whole);
  }

  /** How many of so many equal parts are due by now, spread over the windows of the night. */
  int due(List<WindowSpec> windows, int parts, Instant now) {
    Open open = open(windows, now);
    if (open == null) {
      return 0;
    }
    long all = 0;
    long passed = 0;
    for (WindowSpec window : windows) {
      for (LocalDate day : List.of(open.night(), open.night().plusDays(1))) {
        Open one = on(window, day);
        if (one != null && one.night().equals(open.night())) {
          long length = Duration.between(one.from(), one.to()).toMillis();
          all += length;
          long since = Duration.between(one.from(), now).toMillis();
          passed += Math.max(0, Math.min(length, since));
        }
      }
    }
    return (int) Math.min(parts, passed * parts / all + 1);
  }

  /** The night of a time, noon to noon. */
  LocalDate nightOf(Instant now) {
    return now.atZone(zone).minusHours(12).toLocalDate();
  }

  private Instant instant(LocalDateTime local) {
    ZoneOffsetTransition change = zone.getRules().getTransition(local);
    if (change != null && change.isGap()) {
      return change.getInstant();
    }
    return ZonedDateTime.ofLocal(local, zone, null).withEarlierOffsetAtOverlap().toInstant();
  }
}

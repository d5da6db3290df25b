package io.github.tidewarden.schedule;

import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalDateTime;
import java.time.LocalTime;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.NavigableSet;
import java.util.TreeSet;
import org.jspecify.annotations.Nullable;

/**
 * When the windows of one function are open in one night. Immutable.
 *
 * <p>A window opens at its local {@code from} and closes at the earlier of its nominal length later
 * and its local {@code to}. A local time that comes twice is taken at its earlier offset, one that
 * the clocks jump over at the transition; a window that they jump over whole runs from the
 * transition for its nominal length. So it is never open for longer than its nominal length, and
 * the second pass of an autumn hour opens nothing again.
 *
 * <p>A window opens at most once a night. One whose whole morning a zone left out (Apia, 30
 * December 2011) does not open: its transition is the end of its night, and the next night has an
 * opening of its own.
 */
public final class NightPlan {

  private final LocalDate night;
  private final Interval interval;
  private final List<OpenWindow> windows;
  private final List<OpenWindow> latestEndFirst;

  /** Sorted. */
  private final List<Instant> edges;

  /** A trace makes a plan anew from its fields, so the first of them are what this takes. */
  private NightPlan(
      LocalDate night,
      Interval interval,
      List<OpenWindow> windows,
      List<OpenWindow> latestEndFirst) {
    this.night = night;
    this.interval = interval;
    this.windows = List.copyOf(windows);
    this.latestEndFirst = List.copyOf(latestEndFirst);
    edges = edges(interval, latestEndFirst);
  }

  /**
   * Reckons one night.
   *
   * @param night its name
   * @param zone the site's zone
   * @param windows the windows of one function; the weekday of {@code night} decides which open
   */
  public static NightPlan of(LocalDate night, ZoneId zone, List<WindowSpec> windows) {
    List<OpenWindow> tonight = openings(night, zone, windows);
    List<OpenWindow> open = new ArrayList<>(openings(night.minusDays(1), zone, windows));
    open.addAll(tonight);
    open.sort(Comparator.comparing((OpenWindow window) -> window.interval().end()).reversed());
    return new NightPlan(night, Nights.interval(night, zone), tonight, open);
  }

  /** The night's name, the date of its evening. */
  public LocalDate night() {
    return night;
  }

  /** From noon to noon. */
  public Interval interval() {
    return interval;
  }

  /** What opens in this night, by index; at most one opening of each window. */
  public List<OpenWindow> windows() {
    return windows;
  }

  /**
   * The window that is open at an instant, or null. Of several it is the one that closes last, so
   * that one window's end does not cut a run short inside another; of those the one that comes
   * first in the list. A window of the night before that runs on past noon is found with that
   * night's name.
   *
   * @param instant any; outside {@link #interval()} nothing is open, because this plan does not
   *     know
   */
  public @Nullable OpenWindow openAt(Instant instant) {
    if (!interval.contains(instant)) {
      return null;
    }
    for (OpenWindow window : latestEndFirst) {
      if (window.interval().contains(instant)) {
        return window;
      }
    }
    return null;
  }

  /**
   * The first edge after an instant, at which something may change by the clock alone: a window's
   * start or end within the night, or the night's own. Null at and after the night's end.
   */
  public @Nullable Instant nextEdge(Instant instant) {
    for (Instant edge : edges) {
      if (edge.isAfter(instant)) {
        return edge;
      }
    }
    return null;
  }

  private static List<OpenWindow> openings(LocalDate night, ZoneId zone, List<WindowSpec> windows) {
    Interval within = Nights.interval(night, zone);
    List<OpenWindow> openings = new ArrayList<>();
    for (int index = 0; index < windows.size(); index++) {
      WindowSpec window = windows.get(index);
      if (window.days().contains(night.getDayOfWeek())) {
        Interval open = opening(night, zone, window);
        if (within.contains(open.start())) {
          openings.add(new OpenWindow(index, night, open));
        }
      }
    }
    return openings;
  }

  private static Interval opening(LocalDate night, ZoneId zone, WindowSpec window) {
    LocalDate date = window.from().isBefore(LocalTime.NOON) ? night.plusDays(1) : night;
    LocalDateTime from = date.atTime(window.from());
    LocalDateTime to = date.atTime(window.to());
    if (window.to().isBefore(window.from())) {
      to = to.plusDays(1);
    }
    Instant start = Nights.instantOf(from, zone);
    Instant close = Nights.instantOf(to, zone);
    Instant nominalEnd = start.plus(Duration.between(from, to));
    boolean jumpedOver = !close.isAfter(start);
    return new Interval(start, jumpedOver || nominalEnd.isBefore(close) ? nominalEnd : close);
  }

  private static List<Instant> edges(Interval interval, List<OpenWindow> open) {
    NavigableSet<Instant> edges = new TreeSet<>(List.of(interval.start(), interval.end()));
    for (OpenWindow window : open) {
      edges.add(window.interval().start());
      edges.add(window.interval().end());
    }
    return List.copyOf(edges.subSet(interval.start(), true, interval.end(), true));
  }
}

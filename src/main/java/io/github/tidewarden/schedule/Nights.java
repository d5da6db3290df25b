package io.github.tidewarden.schedule;

import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalDateTime;
import java.time.LocalTime;
import java.time.ZoneId;
import java.time.zone.ZoneOffsetTransition;
import java.time.zone.ZoneRules;

/**
 * Nights: from noon to noon in a zone, named by the date of the evening. Every instant lies in
 * exactly one night, in every zone and across every change of offset.
 *
 * <p>A date that a zone left out still names a night: Apia had no 30 December 2011, so the night of
 * the 29th ends, and that of the 30th begins, where the clocks jumped; each is 12 h long.
 */
public final class Nights {

  private Nights() {}

  /** The night in which {@code instant} lies. */
  public static LocalDate nightOf(Instant instant, ZoneId zone) {
    // Clocks put back across noon or midnight can show a date whose next noon has been.
    LocalDate night = instant.atZone(zone).toLocalDate().plusDays(1);
    while (instant.isBefore(noon(night, zone))) {
      night = night.minusDays(1);
    }
    return night;
  }

  /** From noon of the date {@code night} to the noon after, usually 23 to 25 h. */
  public static Interval interval(LocalDate night, ZoneId zone) {
    return new Interval(noon(night, zone), noon(night.plusDays(1), zone));
  }

  private static Instant noon(LocalDate date, ZoneId zone) {
    return instantOf(date.atTime(LocalTime.NOON), zone);
  }

  /**
   * When a local time comes: at its earlier offset where the clocks show it twice, at the
   * transition where they jump over it. A later local time never comes earlier.
   */
  static Instant instantOf(LocalDateTime local, ZoneId zone) {
    ZoneRules rules = zone.getRules();
    ZoneOffsetTransition transition = rules.getTransition(local);
    if (transition != null && transition.isGap()) {
      return transition.getInstant();
    }
    return local.toInstant(rules.getValidOffsets(local).get(0));
  }
}

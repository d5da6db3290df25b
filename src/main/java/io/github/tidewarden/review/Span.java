package io.github.tidewarden.review;

import io.github.tidewarden.schedule.Interval;
import io.github.tidewarden.schedule.Nights;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneId;

/**
 * A night, or the end of one.
 *
 * @param night its name
 * @param from its noon, or later
 * @param to the noon after
 */
record Span(LocalDate night, Instant from, Instant to) {

  static Span of(LocalDate night, ZoneId zone) {
    Interval interval = Nights.interval(night, zone);
    return new Span(night, interval.start(), interval.end());
  }

  Span since(Instant since) {
    return since.isAfter(from) ? new Span(night, since, to) : this;
  }

  boolean contains(Instant instant) {
    return !instant.isBefore(from) && instant.isBefore(to);
  }
}

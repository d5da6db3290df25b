package io.github.tidewarden.review;

import java.time.Instant;
import java.time.LocalDate;
import org.jspecify.annotations.Nullable;

/**
 * When a record was written.
 *
 * @param index its place among the records read, from 0
 * @param at wall time, as trusted as it can be had; null when it cannot be told
 * @param night the night that lies in, or that of the records around it
 */
record Mark(int index, @Nullable Instant at, LocalDate night) {

  boolean isBeforeEndOf(Span span) {
    return at == null ? !night.isAfter(span.night()) : at.isBefore(span.to());
  }

  boolean isIn(Span span) {
    return isBeforeEndOf(span)
        && (at == null ? !night.isBefore(span.night()) : !at.isBefore(span.from()));
  }

  /** Whether something that lasted from this mark to {@code end}, null for no end, touches it. */
  boolean lastsInto(Span span, @Nullable Mark end) {
    return isBeforeEndOf(span) && (end == null || end.isIn(span) || !end.isBeforeEndOf(span));
  }
}

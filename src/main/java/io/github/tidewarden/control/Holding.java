package io.github.tidewarden.control;

import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Amount;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.Nights;
import java.time.DateTimeException;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.OffsetDateTime;
import java.time.ZoneId;
import java.time.temporal.ChronoUnit;
import java.util.LinkedHashMap;
import java.util.Map;
import org.jspecify.annotations.Nullable;

/** Keeps a function at rest for a time, or until a date. */
record Holding(String function, @Nullable Amount time, String until, String text) implements Deed {

  private static final Duration SHORTEST = Duration.ofMinutes(1);
  private static final Duration LONGEST_TIMED = Duration.ofHours(24);
  private static final Duration LONGEST = Duration.ofDays(366);

  @Override
  public Deed.Recorded judge(Deed.Place place) throws Deed.RefusedException {
    Amount timed = time;
    if ((timed == null) == until.isEmpty()) {
      throw new Deed.RefusedException(
          "it needs a time (for) or a date (until), and one of them only");
    }
    Moment now = place.now();
    Instant end =
        timed == null
            ? noonOf(until, place.tank().zone)
            : now.wall().plusNanos(Math.min(timed.nanos(), LONGEST.toNanos()));
    Duration length = Duration.between(now.wall(), end);
    Duration longest =
        function.equals(TankFunction.TOP_OFF.word())
            ? Duration.ofNanos(TopOffKeeper.LONGEST_NANOS)
            : timed == null ? LONGEST : LONGEST_TIMED;
    if (length.compareTo(SHORTEST) < 0 || length.compareTo(longest) > 0) {
      throw new Deed.RefusedException(
          "a hold of "
              + function
              + (timed == null ? " until a date" : "")
              + " is 1 min to "
              + Figures.span(longest.toNanos())
              + " long; this would be "
              + (length.compareTo(LONGEST) > 0
                  ? "over a year"
                  : Figures.span(length.isNegative() ? 0 : length.toNanos())));
    }
    if (function.equals(TankFunction.TOP_OFF.word())
        && (place.tank().hold() == null || place.tank().spec.exchange() == null)) {
      throw new Deed.RefusedException("this tank has nothing that could hold its top-off");
    }
    if (place.holds().size() >= Hold.MOST) {
      throw new Deed.RefusedException(
          place.told("", place.holds().stream(), ": release some of these first"));
    }
    for (Hold other : place.holds()) {
      if (timed == null && other.name().equals(function) && other.endsAt(end)) {
        throw new Deed.RefusedException(
            function
                + " is held "
                + other.told(place.tank().zone)
                + "; one release would end both, so let this one end at another time, such as the"
                + " day after");
      }
    }
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(
        Fields.END_MONO_MS, timed == null ? 0L : now.monoNanos() / 1_000_000 + length.toMillis());
    fields.put(Fields.END, Figures.recordTime(end));
    String told = timed == null ? "until " + until : "for " + Figures.span(timed.nanos());
    return new Deed.Recorded(
        function,
        text,
        "held "
            + function
            + " "
            + told
            + Deed.because(text)
            + place.told(" (also held: ", place.holds().stream(), ")"),
        fields);
  }

  /** A date ends at its noon, so that the night of that date is free again. */
  static Instant noonOf(String date, ZoneId zone) throws Deed.RefusedException {
    try {
      return date.contains("T")
          ? OffsetDateTime.parse(date).toInstant().truncatedTo(ChronoUnit.SECONDS)
          : Nights.interval(LocalDate.parse(date), zone).start();
    } catch (DateTimeException e) {
      throw new Deed.RefusedException(
          "\"" + date + "\" is no date; write it as 2026-11-30, or 2026-11-30T22:15:00Z");
    }
  }
}

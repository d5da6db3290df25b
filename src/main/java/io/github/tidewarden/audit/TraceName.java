package io.github.tidewarden.audit;

import java.time.DateTimeException;
import java.time.LocalDate;
import java.util.Comparator;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.jspecify.annotations.Nullable;

/**
 * The name of a trace's file: {@code 2026-06-01.trace.gz}, then {@code 2026-06-01.1.trace.gz} and
 * so on when a night has more than one. Within a night they are in the order in which they were
 * written.
 *
 * @param night the night's date
 * @param number 0 for the first of its night
 */
record TraceName(LocalDate night, int number) implements Comparable<TraceName> {

  private static final Pattern FORM =
      Pattern.compile("(\\d{4}-\\d{2}-\\d{2})(?:\\.([1-9]\\d{0,5}))?\\.trace\\.gz");
  private static final Comparator<TraceName> ORDER =
      Comparator.comparing(TraceName::night).thenComparing(TraceName::number);

  /** The name of this form that {@code fileName} is; null if it is none. */
  static @Nullable TraceName parse(String fileName) {
    Matcher form = FORM.matcher(fileName);
    if (!form.matches()) {
      return null;
    }
    try {
      String number = form.group(2);
      return new TraceName(
          LocalDate.parse(form.group(1)), number == null ? 0 : Integer.parseInt(number));
    } catch (DateTimeException e) {
      return null;
    }
  }

  @Override
  public int compareTo(TraceName other) {
    return ORDER.compare(this, other);
  }

  @Override
  public String toString() {
    return number == 0 ? night + ".trace.gz" : night + "." + number + ".trace.gz";
  }
}

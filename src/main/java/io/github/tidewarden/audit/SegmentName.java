package io.github.tidewarden.audit;

import java.time.DateTimeException;
import java.time.LocalDate;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.jspecify.annotations.Nullable;

/**
 * The name of a segment: {@code 2026-06-01.jsonl}, then {@code 2026-06-01.1.jsonl} and so on when
 * one night has more than one. For people only: the order of segments is their first seq.
 *
 * @param night the night's date
 * @param number 0 for the first of its night
 */
record SegmentName(LocalDate night, int number) {

  private static final Pattern FORM =
      Pattern.compile("(\\d{4}-\\d{2}-\\d{2})(?:\\.([1-9]\\d{0,5}))?\\.jsonl");

  /** The name of this form that {@code fileName} is; null if it is none. */
  static @Nullable SegmentName parse(String fileName) {
    Matcher form = FORM.matcher(fileName);
    if (!form.matches()) {
      return null;
    }
    try {
      String number = form.group(2);
      return new SegmentName(
          LocalDate.parse(form.group(1)), number == null ? 0 : Integer.parseInt(number));
    } catch (DateTimeException e) {
      return null;
    }
  }

  @Override
  public String toString() {
    return number == 0 ? night + ".jsonl" : night + "." + number + ".jsonl";
  }
}

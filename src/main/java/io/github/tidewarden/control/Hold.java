package io.github.tidewarden.control;

import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.quantity.Moment;
import java.time.Instant;
import java.time.ZoneId;
import java.util.LinkedHashMap;
import java.util.Map;

/**
 * A keeper's hold on one function of a tank. Several of one function stand beside each other, each
 * until its own end.
 *
 * @param name what is held: the tank, or one function of it
 * @param by who holds it
 * @param boot in which it began
 * @param endMonoMillis when it ends, monotonic in that boot; 0 when it ends by the wall clock alone
 * @param end when it ends by the trusted wall clock
 * @param why in the keeper's words, at most {@link #LONGEST_WHY} characters of them
 */
public record Hold(
    String name, String by, String boot, long endMonoMillis, Instant end, String why) {

  /** Most that stand in one tank at once; each is in every checkpoint. */
  static final int MOST = 8;

  /** What is remembered of a reason, characters. */
  static final int LONGEST_WHY = 200;

  /** Cuts the reason. */
  public Hold {
    why = why.length() <= LONGEST_WHY ? why : why.substring(0, LONGEST_WHY);
  }

  /** As it was recorded. */
  static Hold of(Fields fields, String boot) {
    return new Hold(
        fields.text(Fields.NAME),
        fields.text(Fields.BY),
        boot,
        fields.count(Fields.END_MONO_MS),
        Instant.parse(fields.text(Fields.END)),
        fields.text("text"));
  }

  /** Whether it ends after some time, not at a date. */
  boolean timed() {
    return endMonoMillis != 0;
  }

  /** Whether it stands. A clock that nobody vouches for ends none. */
  boolean stands(String bootNow, Moment now) {
    return (timed() && boot.equals(bootNow))
        ? now.monoNanos() / 1_000_000 < endMonoMillis
        : !now.trusted() || now.wall().isBefore(end);
  }

  /** What a record says of it, so that no other is meant. */
  Map<String, Object> named() {
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.NAME, name);
    fields.put(Fields.END, Figures.recordTime(end));
    fields.put(Fields.END_MONO_MS, endMonoMillis);
    return fields;
  }

  /** Whether a record means it; one that names no end means all of its name. */
  boolean isMeantBy(Fields fields) {
    return name.equals(fields.text(Fields.NAME))
        && (!fields.has(Fields.END) || end.equals(Instant.parse(fields.text(Fields.END))))
        && (!fields.has(Fields.END_MONO_MS) || endMonoMillis == fields.count(Fields.END_MONO_MS));
  }

  /** Whether it is one until this moment by the wall clock. */
  boolean endsAt(Instant date) {
    return endMonoMillis == 0 && end.equals(date);
  }

  /** In the keeper's words: "until 2026-12-05 12:00 +00:00 by Ines: copper". */
  String told(ZoneId zone) {
    return "until "
        + Figures.dateClock(end, zone)
        + " by "
        + by
        + (why.isBlank() ? "" : ": " + why);
  }
}

package io.github.tidewarden.control;

import io.github.tidewarden.quantity.Moment;
import java.time.Instant;
import java.util.Map;

/**
 * One line of the audit before the log gives it a number and a hash. The same type is what recovery
 * reads back, so that live and recovered state change by the same function.
 *
 * @param at wall clock, cut to milliseconds
 * @param trusted whether that clock was trusted
 * @param monoMillis monotonic clock in ms, for durations within the boot named by the last {@code
 *     start} record
 * @param tank the tank's name, or empty for the site
 * @param kind what happened; one of {@link Kind}
 * @param why in the keeper's words
 * @param fields further fields in the order in which they are written; values are String, Boolean,
 *     Long, BigDecimal (with the fixed decimals of its quantity), List or Map of these
 */
public record AuditRecord(
    Instant at,
    boolean trusted,
    long monoMillis,
    String tank,
    Kind kind,
    String why,
    Map<String, Object> fields) {

  /** A record of now. */
  public static AuditRecord of(
      Moment now, String tank, Kind kind, String why, Map<String, Object> fields) {
    return new AuditRecord(
        Instant.ofEpochMilli(now.wall().toEpochMilli()),
        now.trusted(),
        now.monoNanos() / 1_000_000,
        tank,
        kind,
        why,
        fields);
  }
}

package io.github.tidewarden.audit;

import io.github.tidewarden.control.AuditRecord;
import java.time.LocalDate;
import java.util.List;
import java.util.Map;
import org.jspecify.annotations.Nullable;

/**
 * What was found on the disk at start. The durable state is that of {@code checkpoint}, then each
 * of {@code recordsSinceCheckpoint} applied in order; with {@link Trust#UNTRUSTWORTHY} the daemon
 * latches everything on top of it.
 *
 * @param recordsSinceCheckpoint good records after the newest segment's checkpoint, in order; those
 *     before the damage if there is any
 * @param checkpoint the state that the newest segment opens with; empty if there is none
 * @param lastSeq the chain goes on after this number
 * @param lastHash and this hash
 * @param trust what the log is worth
 * @param detail for the keeper: what was found, and where; empty when nothing is wrong
 * @param setAside what was moved out of the log, for the {@code recovered} record
 * @param newestNight the night of the newest segment; null if there is none
 */
public record Recovery(
    List<AuditRecord> recordsSinceCheckpoint,
    Map<String, Object> checkpoint,
    long lastSeq,
    String lastHash,
    Trust trust,
    String detail,
    List<SetAside> setAside,
    @Nullable LocalDate newestNight) {

  /** Copies the list of records. */
  public Recovery {
    recordsSinceCheckpoint = List.copyOf(recordsSinceCheckpoint);
    setAside = List.copyOf(setAside);
  }

  /** Bytes still at the end of the newest segment that are no record, for want of a place. */
  long tornBytes() {
    return setAside.stream()
        .filter(one -> one.movedTo().isEmpty() && one.offset() > 0)
        .mapToLong(SetAside::bytes)
        .sum();
  }

  /** The same log, found not to be trusted by whoever makes a state of its records. */
  public Recovery doubted(String why) {
    return new Recovery(
        recordsSinceCheckpoint,
        checkpoint,
        lastSeq,
        lastHash,
        Trust.UNTRUSTWORTHY,
        detail.isEmpty() ? why : why + "; " + detail,
        setAside,
        newestNight);
  }

  /** What the log is worth at start. */
  public enum Trust {
    /** There is no log yet. */
    FRESH,
    /** Every byte read is accounted for. */
    GOOD,
    /**
     * A crash cut the last line short; what there was of it is moved aside, or left where it is if
     * the disk has no room. Otherwise good.
     */
    TAIL_SET_ASIDE,
    /** Damaged, unreadable or of a newer format: everything must start latched. */
    UNTRUSTWORTHY
  }

  /**
   * Bytes moved out of the log.
   *
   * @param segment the file they were in
   * @param offset where they began in it
   * @param bytes how many
   * @param movedTo where they are now, relative to the audit directory; empty if they could not be
   *     moved and are still where they were
   */
  public record SetAside(String segment, long offset, long bytes, String movedTo) {}
}

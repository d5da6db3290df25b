package io.github.tidewarden.review;

import java.util.Locale;
import org.jspecify.annotations.Nullable;

/**
 * Something that is told as it was recorded.
 *
 * @param sort which list it goes into
 * @param name the signal, interlock or device; empty for none
 * @param at when it was recorded
 * @param until when it was over; null when it lasted no time or that is not recorded
 * @param what in the keeper's words
 * @param latched whether it latched
 */
record Happening(
    Sort sort, String name, Mark at, @Nullable Mark until, String what, boolean latched) {

  /** What can happen. */
  enum Sort {
    /** A run that was wanted did not start. */
    REFUSED,
    /** A signal was not good. */
    GAP,
    /** Something needed was lost while in use. */
    SILENT,
    /** Something to know. */
    NOTICE,
    /** An actuator was on unasked, or latched. */
    DEVICE,
    /** A step of the tank failed. */
    FAULT,
    /** The daemon started. */
    START,
    /** The daemon started again without having been stopped. */
    CRASH,
    /** The daemon was stopped. */
    STOP,
    /** The broker was lost. */
    BROKER,
    /** Trust in the wall clock was gained, or the clock was stepped. */
    CLOCK,
    /** A write of the log failed, or it was mended; nothing is missing. */
    AUDIT,
    /** Records are missing, or cannot be relied on. */
    AUDIT_GAP,
    /** A keeper's act was refused. */
    ACT_REFUSED;

    String word() {
      return name().toLowerCase(Locale.ROOT).replace('_', '-');
    }
  }

  static Happening of(Sort sort, Entry entry, String name) {
    return new Happening(sort, name, entry.mark(), null, entry.why(), entry.flag("latched"));
  }

  Happening until(Mark end) {
    return new Happening(sort, name, at, end, what, latched);
  }

  /** Whether it lasts: a gap, a broken link. Others are of one moment. */
  boolean lasts() {
    return sort == Sort.GAP || sort == Sort.BROKER || sort == Sort.CRASH || sort == Sort.STOP;
  }

  boolean touches(Span span) {
    return lasts() ? at.lastsInto(span, until) : at.isIn(span);
  }
}

package io.github.tidewarden.review;

/**
 * A keeper's act that was done.
 *
 * @param at when
 * @param act {@code reset}, {@code note}, {@code batch}, {@code calibrate}, {@code
 *     calibrate-probe}, {@code hold} or {@code release}
 * @param name what it was done to; empty for a note
 * @param by who did it
 * @param text the note, or the reason given; may be empty
 * @param what the whole of it in the keeper's words; empty when not recorded
 */
record Act(Mark at, String act, String name, String by, String text, String what) {

  static Act of(Entry entry) {
    return new Act(
        entry.mark(),
        entry.text("act"),
        entry.text("name"),
        entry.text("by"),
        entry.text("text"),
        entry.why());
  }

  boolean isReset() {
    return act.equals("reset");
  }
}

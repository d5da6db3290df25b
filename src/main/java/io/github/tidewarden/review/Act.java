package io.github.tidewarden.review;

/**
 * A keeper's act that was done.
 *
 * @param at when
 * @param act {@code reset} or {@code note}
 * @param name what was reset; empty for a note
 * @param by who did it
 * @param text the note, or the reason given; may be empty
 */
record Act(Mark at, String act, String name, String by, String text) {

  static Act of(Entry entry) {
    return new Act(
        entry.mark(), entry.text("act"), entry.text("name"), entry.text("by"), entry.text("text"));
  }

  boolean isReset() {
    return act.equals("reset");
  }
}

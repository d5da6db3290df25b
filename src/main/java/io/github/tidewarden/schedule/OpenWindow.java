package io.github.tidewarden.schedule;

import java.time.LocalDate;

/**
 * One opening of a window.
 *
 * @param index place of the window in the list of its function, from 0
 * @param night the night in which it opens; what is spent and owed in it belongs to this night,
 *     even when it runs on past noon
 * @param interval when it is open
 */
public record OpenWindow(int index, LocalDate night, Interval interval) {

  /** Names this opening in records: its night and its place, {@code 2026-11-24#0}. */
  public String id() {
    return night + "#" + index;
  }
}

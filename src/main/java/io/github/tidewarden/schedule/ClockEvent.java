package io.github.tidewarden.schedule;

/**
 * What a cycle's look at the clocks brought to light. Trust is lost by a step and in no other way.
 *
 * @param kind what happened
 * @param stepMillis how far the wall clock jumped, ms, positive forward; 0 when trust was gained
 */
public record ClockEvent(Kind kind, long stepMillis) {

  /** What happened. */
  public enum Kind {
    /** The wall clock has been shown to be right. */
    GAINED,
    /** The wall clock jumped; it is not trusted from now on. */
    STEPPED
  }
}

package io.github.tidewarden.interlock;

/**
 * When a cause counts as a trip. Whatever the arming, a cause that stands forbids what the
 * interlock stops; an unarmed one does so without a trip, a count or a latch.
 */
public enum Arming {
  /** Always: a leak, a level too high, redox over the ceiling. */
  ALWAYS,
  /** Only while the function is wanted: its window open, its allowance not spent, nothing held. */
  WANTED,
  /**
   * Only when the cause came while the function was running, or while it was not running any more
   * because an earlier trip had stopped it: a consequence of that one.
   */
  RUNNING
}

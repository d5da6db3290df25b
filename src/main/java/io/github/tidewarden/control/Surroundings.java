package io.github.tidewarden.control;

import java.util.List;

/**
 * What a tank has to know of the rest of the site.
 *
 * @param bin what is known of its bin of new water
 * @param waits why it may not begin a portion: others use the same equipment, or come first
 * @param stops why its pumps may not run at all: another's portion is under way on it
 * @param level what others do to the level that this tank is measured by
 */
record Surroundings(BinMemory bin, List<String> waits, List<String> stops, Level level) {

  /**
   * What others do to a level.
   *
   * @param moves whether a pump of another may run on it
   * @param halfDone whether a portion of another is under way on it that needs top-off held
   * @param asksForHold whether a portion of another begins on it once top-off has been held
   * @param topOffs the holds of others on what tops it off
   * @param held whether all of these are in force for certain
   * @param letsIn whether one of them may let water in
   */
  record Level(
      boolean moves,
      boolean halfDone,
      boolean asksForHold,
      List<TopOff> topOffs,
      boolean held,
      boolean letsIn) {

    /** Nobody else is at it. */
    static final Level STILL = new Level(false, false, false, List.of(), true, false);
  }

  /** Whether others may be using the same equipment. */
  boolean busy() {
    return !(waits.isEmpty() && stops.isEmpty());
  }
}

package io.github.tidewarden.control;

import java.util.List;

/**
 * What a tank has to know of the rest of the site.
 *
 * @param bin what is known of its bin of new water
 * @param waits why it may not begin a portion: others use the same equipment, or come first
 * @param stops why its pumps may not run at all: another's portion is under way on it
 */
record Surroundings(BinMemory bin, List<String> waits, List<String> stops) {

  /** For a tank that shares nothing. */
  static Surroundings alone(BinMemory bin) {
    return new Surroundings(bin, List.of(), List.of());
  }
}

package io.github.tidewarden.interlock;

import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.sensing.Signal;
import java.util.Map;
import java.util.Set;

/**
 * What the interlocks of one tank look at in one cycle.
 *
 * @param now both clocks
 * @param seen every signal of the tank and its room
 * @param wanted functions that are wanted: their window is open and their allowance not spent
 * @param running functions that run, or ran until this cycle
 * @param moving functions of which something is on, or may still be on; a portion of water at rest
 *     between out and in runs, and does not move
 * @param latches what is latched, by name, with the reason
 * @param counts how often each name tripped or fell silent this night
 */
public record Situation(
    Moment now,
    Seen seen,
    Set<TankFunction> wanted,
    Set<TankFunction> running,
    Set<TankFunction> moving,
    Map<String, String> latches,
    Map<String, Integer> counts) {

  /** Every signal as it came, by name. */
  Map<String, Signal> signals() {
    return seen.raw();
  }

  int count(String name) {
    return counts.getOrDefault(name, 0);
  }

  boolean latched(String name) {
    return latches.containsKey(name);
  }
}

package io.github.tidewarden.control;

import io.github.tidewarden.dosing.DoseCourse;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * What is being learned of a tank; volatile.
 *
 * @param courses of each redox probe that ozone goes by, in their order
 * @param begun the dose that is under way; null for none
 * @param ended the last dose, as long as nothing was learned of it yet; null for none
 * @param disturbed what else moved water or probes since the window opened; empty for nothing, and
 *     then doses teach
 */
record Teaching(
    List<DoseCourse> courses, @Nullable Dose begun, @Nullable Dose ended, String disturbed) {

  /**
   * A dose.
   *
   * @param run its number
   * @param startedNanos when it began, monotonic
   * @param endedNanos when it ended, monotonic
   * @param first whether it was a first dose
   */
  record Dose(long run, long startedNanos, long endedNanos, boolean first) {}

  /** The same with other courses. */
  Teaching with(List<DoseCourse> others) {
    return new Teaching(others, begun, ended, disturbed);
  }

  /** The same, with nothing to be learned until the next window. */
  Teaching disturbedBy(String why) {
    return new Teaching(courses, begun, ended, why);
  }

  /** The same after the last dose has taught what it could. */
  Teaching taught() {
    return new Teaching(courses, begun, null, disturbed);
  }
}

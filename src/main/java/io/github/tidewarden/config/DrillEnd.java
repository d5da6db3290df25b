package io.github.tidewarden.config;

import java.util.ArrayList;
import java.util.List;

/** What a drill gives must matter: nothing is given where nothing is expected any more. */
final class DrillEnd {
  private record Asked(Value value, long nanos, String what) {}

  private final List<Asked> asked = new ArrayList<>();

  /** Something is given at this time. */
  void matters(Value value, long nanos, String what) {
    asked.add(new Asked(value, nanos, what));
  }

  /** Complains about what comes when the last expectation is over. */
  void check(long endNanos, DrillTimes times) {
    for (Asked each : asked) {
      if (each.nanos() >= endNanos) {
        each.value()
            .complain(
                each.what()
                    + " at "
                    + times.told(each.nanos())
                    + " comes after the drill ends, with its last expectation at "
                    + times.told(endNanos),
                "expect something after it, or take it out");
      }
    }
  }
}

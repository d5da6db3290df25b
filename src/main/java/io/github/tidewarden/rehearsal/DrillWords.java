package io.github.tidewarden.rehearsal;

import io.github.tidewarden.config.Drill;

/** What a drill claims, in words. */
final class DrillWords {
  private DrillWords() {}

  /** "generator at rest". */
  static String of(Drill.Claim claim, boolean holds) {
    return switch (claim.fact()) {
      case FIRST_OUT -> claim.name() + (holds ? " first-out" : " not first-out");
      case NOTICE -> (holds ? "a notice of " : "no notice of ") + claim.name();
      case PORTION -> "the exchange " + (holds ? "" : "not ") + claim.name();
      case ON, TOLD_TO_RUN, TRIPPED, LATCHED, HELD ->
          claim.name() + " " + state(claim.fact(), holds);
    };
  }

  /** "at rest". */
  static String state(Drill.Fact fact, boolean holds) {
    return switch (fact) {
      case ON -> holds ? "on" : "at rest";
      case TOLD_TO_RUN -> holds ? "told to run" : "told to rest";
      case TRIPPED -> holds ? "tripped" : "not tripped";
      case LATCHED -> holds ? "latched" : "not latched";
      case HELD -> holds ? "held" : "not held";
      case FIRST_OUT, NOTICE, PORTION -> holds ? "so" : "not so";
    };
  }
}

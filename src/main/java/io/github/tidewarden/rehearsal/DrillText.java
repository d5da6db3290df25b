package io.github.tidewarden.rehearsal;

import io.github.tidewarden.audit.PlainText;
import io.github.tidewarden.config.Drill;
import io.github.tidewarden.quantity.Figures;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.Collectors;

/** How drills went, for a keeper. */
public final class DrillText {
  private DrillText() {}

  /**
   * One drill: a line when it passed, the difference when it failed.
   *
   * @param tookNanos how long it took in real time, ns
   */
  public static String of(Drilling.Outcome outcome, long tookNanos) {
    Drill drill = outcome.drill();
    if (outcome.passed()) {
      return PlainText.of(
          "passed: %s: %s, %s in %s s (%s times as fast as the clock)"
              .formatted(
                  drill.name(),
                  expectations(drill.claims()),
                  Drill.span(drill.endNanos()),
                  Figures.decimal(tookNanos / 1e9, 2),
                  Math.round(drill.endNanos() / (double) Math.max(1, tookNanos))));
    }
    List<String> lines = new ArrayList<>();
    lines.add(
        "FAILED: %s: %d of %s"
            .formatted(drill.name(), outcome.failures().size(), expectations(drill.claims())));
    outcome.failures().forEach(failure -> failure(drill, failure, lines));
    return lines.stream().map(PlainText::of).collect(Collectors.joining("\n"));
  }

  private static String expectations(int count) {
    return count + (count == 1 ? " expectation" : " expectations");
  }

  private static void failure(Drill drill, Drilling.Failure failure, List<String> lines) {
    lines.add("  " + drill.file() + ":" + failure.spot());
    lines.add("    " + failure.when());
    lines.add("    expected: " + failure.expected());
    lines.add("    instead: " + failure.was());
    if (!failure.why().isEmpty()) {
      lines.add("    why: " + failure.why());
    }
    ZoneId zone = drill.zone();
    lines.add("    what the audit of " + drill.tank() + " says around then:");
    for (Drilling.Near near : failure.near()) {
      lines.add(
          "      %s  %s: %s"
              .formatted(
                  Figures.clockSeconds(drill.start().plusNanos(near.nanos()), zone),
                  near.what(),
                  near.why()));
    }
  }

  /** The last line: how many passed and failed. */
  public static String sum(List<Drilling.Outcome> outcomes) {
    long failed = outcomes.stream().filter(outcome -> !outcome.passed()).count();
    String drills = outcomes.size() + (outcomes.size() == 1 ? " drill" : " drills");
    return failed == 0 ? drills + " passed" : failed + " of " + drills + " failed";
  }
}

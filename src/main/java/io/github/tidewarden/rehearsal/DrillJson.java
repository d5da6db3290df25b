package io.github.tidewarden.rehearsal;

import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.JsonNodeFactory;
import com.fasterxml.jackson.databind.node.ObjectNode;
import io.github.tidewarden.config.Complaint;
import io.github.tidewarden.config.ConfigException;
import io.github.tidewarden.config.Drill;
import io.github.tidewarden.quantity.Figures;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;

/** How drills went, for a machine. All that differs from run to run stands under {@code run}. */
public final class DrillJson {
  private DrillJson() {}

  /**
   * One JSON object with the keys that the site page "Drills" lists.
   *
   * @param tookNanos how long all took in real time, ns
   */
  public static String of(String site, List<Drilling.Outcome> outcomes, long tookNanos) {
    ObjectNode root = JsonNodeFactory.instance.objectNode();
    root.put("site", site);
    ArrayNode drills = root.putArray("drills");
    outcomes.forEach(outcome -> drill(drills.addObject(), outcome));
    long passed = outcomes.stream().filter(Drilling.Outcome::passed).count();
    root.put("passed", passed);
    root.put("failed", outcomes.size() - passed);
    double seconds = tookNanos / 1e9;
    double played = outcomes.stream().mapToLong(each -> each.drill().endNanos()).sum() / 1e9;
    root.putObject("run")
        .put("took-s", Figures.decimal(seconds, 3))
        .put("times-the-clock", Math.round(played / Math.max(1e-9, seconds)));
    return root.toPrettyString();
  }

  /** The complaints about drills that are refused, by file. */
  public static String refused(Map<Path, ConfigException> refused) {
    ObjectNode root = JsonNodeFactory.instance.objectNode();
    ArrayNode complaints = root.putArray("complaints");
    refused.forEach(
        (file, exception) -> {
          for (Complaint complaint : exception.complaints()) {
            complaints
                .addObject()
                .put("file", file.toString())
                .put("line", complaint.line())
                .put("column", complaint.column())
                .put("wrong", complaint.wrong())
                .put("right", complaint.right());
          }
        });
    return root.toPrettyString();
  }

  private static void drill(ObjectNode node, Drilling.Outcome outcome) {
    Drill drill = outcome.drill();
    node.put("drill", drill.name());
    node.put("file", drill.file().toString());
    node.put("tank", drill.tank());
    node.put("start", Figures.recordTime(drill.start()));
    node.put("length-s", Figures.decimal(drill.endNanos() / 1e9, 3));
    node.put("passed", outcome.passed());
    node.put("expectations", drill.claims());
    ArrayNode failures = node.putArray("failures");
    for (Drilling.Failure failure : outcome.failures()) {
      ObjectNode one = failures.addObject();
      one.put("line", failure.spot().line());
      one.put("column", failure.spot().column());
      one.put("when", failure.when());
      one.put("expected", failure.expected());
      one.put("was", failure.was());
      one.put("why", failure.why());
      ArrayNode records = one.putArray("records");
      for (Drilling.Near near : failure.near()) {
        records
            .addObject()
            .put("at", Figures.recordTime(drill.start().plusNanos(near.nanos())))
            .put("what", near.what())
            .put("why", near.why());
      }
    }
  }
}

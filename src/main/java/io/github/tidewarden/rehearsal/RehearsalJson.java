package io.github.tidewarden.rehearsal;

import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.JsonNodeFactory;
import com.fasterxml.jackson.databind.node.ObjectNode;
import io.github.tidewarden.config.TankModelFile;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.quantity.Figures;
import java.util.List;

/** Rehearsed nights for a machine. All that differs from run to run stands under {@code run}. */
public final class RehearsalJson {
  private RehearsalJson() {}

  /**
   * One JSON object with the keys that the site page "Rehearsal" lists.
   *
   * @param tookNanos how long it took in real time, ns
   * @param again the command that shows it again
   */
  public static String of(
      Rehearsal.Task task, Rehearsal.Outcome outcome, long tookNanos, String again) {
    ObjectNode root = JsonNodeFactory.instance.objectNode();
    root.put("site", task.spec().name());
    root.put("first", task.first().toString());
    root.put("nights", task.nights());
    root.put("seed", task.seed());
    root.put("faults", task.faults());
    TankModelFile file = task.models().file();
    if (file != null) {
      model(root.putObject("tank-model"), file);
    }
    ObjectNode tanks = root.putObject("tanks");
    outcome
        .nights()
        .forEach(
            (name, nights) -> {
              ArrayNode all = tanks.putArray(name);
              nights.forEach(night -> night(all.addObject(), night));
            });
    ObjectNode advice = root.putObject("look-at");
    for (TankSpec tank : task.spec().tanks()) {
      ArrayNode lines = advice.putArray(tank.name());
      RehearsalAdvice.of(tank, task.models().apply(tank), outcome).forEach(lines::add);
    }
    ObjectNode faults = root.putObject("faults-of-nights");
    outcome.storms().forEach((night, drawn) -> drawn.forEach(faults.withArray("/" + night)::add));
    root.put("seen-to-work-again", outcome.recoveries());
    ArrayNode broken = root.putArray("broken");
    outcome.broken().forEach(broken::add);
    root.put("again", again);
    double seconds = tookNanos / 1e9;
    root.putObject("run")
        .put("took-s", Figures.decimal(seconds, 3))
        .put("nights-per-s", Figures.decimal(task.nights() / Math.max(1e-9, seconds), 3))
        .put("events", outcome.events())
        .put("events-per-s", Math.round(outcome.events() / Math.max(1e-9, seconds)));
    return root.toPrettyString();
  }

  private static void model(ObjectNode node, TankModelFile file) {
    node.put("file", file.name());
    node.put("sha256", file.digest());
    ObjectNode tanks = node.putObject("tanks");
    file.tanks()
        .forEach(
            (tank, figures) -> {
              ObjectNode own = tanks.putObject(tank);
              figures.told().forEach(own::put);
            });
  }

  private static void night(ObjectNode node, RehearsedNight night) {
    node.put("night", night.night().toString());
    node.put("ozone-s", Figures.decimal(night.ozoneNanos() / 1e9, 1));
    range(node, "redox-mv", night.redoxMillivolts(), 1);
    range(node, "probe-mv", night.probeMillivolts(), 1);
    node.put("out-l", Figures.decimal(night.outLitres(), 3));
    node.put("in-l", Figures.decimal(night.inLitres(), 3));
    range(node, "level-mm", night.levelMillimetres(), 1);
    range(node, "salinity-psu", night.psu(), 3);
    node.put("salinity-at-end-psu", Figures.decimal(night.psuAtEnd(), 3));
    range(node, "nutrient-mg-l", night.nutrient(), 3);
    node.put("nutrient-at-end-mg-l", Figures.decimal(night.nutrientAtEnd(), 3));
    range(node, "room-ppb", night.roomPpb(), 1);
    ObjectNode incidents = node.putObject("incidents");
    night.incidents().forEach(incidents::put);
    ObjectNode causes = node.putObject("incidents-by-kind");
    night
        .causes()
        .forEach(
            (kind, names) -> {
              ObjectNode own = causes.putObject(kind);
              names.forEach(own::put);
            });
  }

  private static void range(ObjectNode node, String name, Range range, int decimals) {
    if (range.count() > 0) {
      List<Double> figures = List.of(range.least(), range.mean(), range.most());
      ArrayNode three = node.putArray(name);
      figures.forEach(figure -> three.add(Figures.decimal(figure, decimals)));
    }
  }
}

package io.github.tidewarden.review;

import com.fasterxml.jackson.databind.node.JsonNodeFactory;
import com.fasterxml.jackson.databind.node.ObjectNode;
import io.github.tidewarden.control.ProbeMemory;
import io.github.tidewarden.control.TankMemory;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.sensing.Measure;
import java.math.BigDecimal;
import java.time.Duration;
import java.time.ZoneId;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * A redox probe's calibration as it stood at the end of a span.
 *
 * @param name the probe
 * @param known its last calibration
 * @param days how old it was, days; never less than 0
 */
record ProbeNight(String name, ProbeMemory known, long days) {

  /** Those of a tank; none where nothing is remembered. */
  static List<ProbeNight> of(@Nullable TankMemory memory, Span span) {
    return memory == null
        ? List.of()
        : memory.probes().entrySet().stream()
            .map(
                probe ->
                    new ProbeNight(
                        probe.getKey(),
                        probe.getValue(),
                        Math.max(0, Duration.between(probe.getValue().at(), span.to()).toDays())))
            .toList();
  }

  /** In the keeper's words, behind its name. */
  String told(ZoneId zone) {
    return (known.unfit() ? "found unfit " : "calibrated ")
        + Figures.dateClock(known.at(), zone)
        + " in "
        + known.solution()
        + ", against "
        + known.reference()
        + ": "
        + (known.unfit() ? "no ozone starts before it is calibrated" : correction())
        + "; "
        + Words.count(days, "day")
        + " old";
  }

  private String correction() {
    return "offset "
        + Measure.REDOX.told(known.correction().offsetMillivolts())
        + (known.slope() == 1_000_000 ? "" : ", slope " + slope().toPlainString());
  }

  ObjectNode json() {
    ObjectNode node = JsonNodeFactory.instance.objectNode();
    node.put("probe", name);
    node.put("calibrated", Figures.recordTime(known.at()));
    node.put("age-d", days);
    node.put("solution", known.solution());
    node.put("reference", known.reference());
    node.put("slope", slope());
    node.put("unfit", known.unfit());
    node.put("offset-mv", Measure.REDOX.figure(known.correction().offsetMillivolts()));
    return node;
  }

  private BigDecimal slope() {
    return Figures.decimal(known.correction().slope(), 3);
  }
}

package io.github.tidewarden.review;

import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.JsonNodeFactory;
import com.fasterxml.jackson.databind.node.ObjectNode;
import io.github.tidewarden.control.Carbon;
import io.github.tidewarden.control.CareMemory;
import io.github.tidewarden.control.ResidualFigures;
import io.github.tidewarden.control.SkimmerMemory;
import io.github.tidewarden.control.SkimmerWork;
import io.github.tidewarden.control.TankMemory;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.sensing.Measure;
import java.math.BigDecimal;
import java.time.Instant;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import org.jspecify.annotations.Nullable;

/**
 * How the care of a tank's installation stood at the end of a span.
 *
 * @param carbons of each carbon that was ever changed, since when and how long ozone ran since, ms
 * @param residual what was measured last; null for nothing
 * @param skimmer what was done to the skimmer
 */
record CareNight(
    List<Spent> carbons, CareMemory.@Nullable Residual residual, SkimmerMemory skimmer) {

  /** Nothing is known. */
  static final CareNight UNKNOWN = new CareNight(List.of(), null, SkimmerMemory.BLANK);

  private static final double MILLIS_PER_HOUR = 3.6e6;

  /** One carbon. */
  record Spent(Carbon carbon, CareMemory.Change change, long millis) {
    private BigDecimal hours() {
      return Figures.decimal(millis / MILLIS_PER_HOUR, 2);
    }
  }

  /** That of a tank; nothing where nothing is remembered. */
  static CareNight of(@Nullable TankMemory memory) {
    if (memory == null) {
      return UNKNOWN;
    }
    List<Spent> carbons = new ArrayList<>();
    for (Carbon carbon : Carbon.values()) {
      CareMemory.Change change = memory.care().carbons().get(carbon.word());
      if (change != null) {
        carbons.add(new Spent(carbon, change, Objects.requireNonNull(memory.carbonMillis(carbon))));
      }
    }
    return new CareNight(carbons, memory.care().residual(), memory.care().skimmer());
  }

  /** Whether a measured residual oxidant keeps ozone at rest. */
  boolean harms() {
    return residual != null && residual.over();
  }

  /** In the keeper's words, by what it is about. */
  Map<String, String> told(ZoneId zone) {
    Map<String, String> told = new LinkedHashMap<>();
    for (Spent spent : carbons) {
      told.put(
          spent.carbon().guard(),
          "ozone ran for "
              + spent.hours().toPlainString()
              + " h since it was changed by "
              + spent.change().by()
              + ", "
              + Figures.dateClock(spent.change().at(), zone));
    }
    CareMemory.Residual last = residual;
    if (last != null) {
      told.put(
          ResidualFigures.NAME,
          ResidualFigures.told(last.milligrams())
              + " as Cl2, by "
              + last.by()
              + ", "
              + Figures.dateClock(last.at(), zone)
              + (last.over() ? ": no ozone until a later one is not over " : "; safe is up to ")
              + ResidualFigures.safe()
              + "; "
              + ResidualFigures.NOT_REDOX);
    }
    if (!skimmer.done().isEmpty()) {
      told.put("skimmer", skimmerTold(zone));
    }
    return told;
  }

  private String skimmerTold(ZoneId zone) {
    List<String> parts = new ArrayList<>();
    skimmer.done().forEach((word, at) -> parts.add(word + " " + Figures.dateClock(at, zone)));
    if (skimmer.compared()) {
      parts.add(
          "the last cleaning: air "
              + figure(skimmer.before().litresPerMinute(), Measure.AIR_FLOW)
              + " before, "
              + figure(skimmer.after().litresPerMinute(), Measure.AIR_FLOW)
              + " after; redox outside doses "
              + figure(skimmer.before().millivolts(), Measure.REDOX)
              + " before, "
              + figure(skimmer.after().millivolts(), Measure.REDOX)
              + " after");
    }
    return String.join("; ", parts);
  }

  private static String figure(@Nullable Double value, Measure measure) {
    return value == null ? "not known" : measure.told(value);
  }

  ArrayNode carbonJson() {
    ArrayNode array = JsonNodeFactory.instance.arrayNode();
    for (Spent spent : carbons) {
      array
          .addObject()
          .put("carbon", spent.carbon().word())
          .put("changed", Figures.recordTime(spent.change().at()))
          .put("by", spent.change().by())
          .put("ozone-ms", spent.millis());
    }
    return array;
  }

  @Nullable ObjectNode skimmerJson() {
    if (skimmer.done().isEmpty()) {
      return null;
    }
    ObjectNode node = JsonNodeFactory.instance.objectNode();
    for (SkimmerWork work : SkimmerWork.values()) {
      Instant at = skimmer.done().get(work.word());
      node.put(work.word(), at == null ? null : Figures.recordTime(at));
    }
    put(node, "air-before-l-min", skimmer.before().litresPerMinute(), Measure.AIR_FLOW);
    put(node, "air-after-l-min", skimmer.after().litresPerMinute(), Measure.AIR_FLOW);
    put(node, "redox-before-mv", skimmer.before().millivolts(), Measure.REDOX);
    put(node, "redox-after-mv", skimmer.after().millivolts(), Measure.REDOX);
    return node;
  }

  private static void put(ObjectNode node, String key, @Nullable Double value, Measure measure) {
    node.put(key, value == null ? null : measure.figure(value));
  }

  @Nullable ObjectNode residualJson() {
    CareMemory.Residual last = residual;
    return last == null
        ? null
        : JsonNodeFactory.instance
            .objectNode()
            .put("measured", Figures.recordTime(last.at()))
            .put("by", last.by())
            .put("mg-per-l-as-cl2", ResidualFigures.decimal(last.milligrams()))
            .put("over", last.over());
  }
}

package io.github.tidewarden.review;

import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.JsonNodeFactory;
import com.fasterxml.jackson.databind.node.ObjectNode;
import io.github.tidewarden.control.BinMemory;
import io.github.tidewarden.review.Holds.Held;
import io.github.tidewarden.review.WaterNight.Bin;
import io.github.tidewarden.review.WaterNight.Litres;
import io.github.tidewarden.review.WaterNight.Pump;
import io.github.tidewarden.review.WaterNight.Sums;
import java.math.BigDecimal;
import java.math.RoundingMode;
import org.jspecify.annotations.Nullable;

/** One tank's exchange of water, and what is held, as JSON. */
final class JsonWater {
  private static final int MICRO = 6;
  private static final int PERCENT_DECIMALS = 4;

  private JsonWater() {}

  static ObjectNode water(WaterNight water) {
    ObjectNode node = JsonNodeFactory.instance.objectNode();
    Litres litres = water.litres();
    JsonReview.put(node, "closed", litres.closed());
    node.put("owed-ml", litres.owed());
    node.put("out-ml", litres.out());
    node.put("in-ml", litres.in());
    node.put("missed-ml", litres.missed());
    node.put("missed", water.isMissed());
    node.put("why", litres.why());
    node.put("unwatched", litres.unwatched());
    ArrayNode portions = node.putArray("portions");
    water.portions().forEach(portion -> portions.add(portion(portion)));
    node.set("sums", sums(water.sums()));
    Long drift = water.saltDrift();
    node.put("salt-drift-psu", drift == null ? null : BigDecimal.valueOf(drift, MICRO));
    ArrayNode pumps = node.putArray("pumps");
    water.pumps().forEach(pump -> pumps.add(pump(pump)));
    node.set("new-water", bin(water.bin()));
    return node;
  }

  private static ObjectNode portion(PortionStory portion) {
    ObjectNode node = JsonNodeFactory.instance.objectNode();
    node.put("portion", portion.number());
    node.put("night", portion.night().toString());
    node.put("stage", portion.stage().word());
    JsonReview.put(node, "began", portion.began());
    JsonReview.put(node, "drained", portion.drained());
    JsonReview.put(node, "ended", portion.ended());
    node.put("asked-ml", portion.asked());
    node.put("out-ml", portion.out());
    node.put("in-ml", portion.in());
    return node;
  }

  private static @Nullable ObjectNode sums(@Nullable Sums sums) {
    if (sums == null) {
      return null;
    }
    ObjectNode node = JsonNodeFactory.instance.objectNode();
    node.put("day-out-ml", sums.dayOut());
    node.put("week-out-ml", sums.weekOut());
    node.put("week-new-percent", BigDecimal.valueOf(sums.weekNew(), PERCENT_DECIMALS));
    node.put("year", sums.year());
    node.put("year-out-ml", sums.yearOut());
    node.put("year-in-ml", sums.yearIn());
    return node;
  }

  private static ObjectNode pump(Pump pump) {
    ObjectNode node = JsonNodeFactory.instance.objectNode();
    node.put("pump", pump.name());
    node.put("configured-ml-min", rate(pump.configured()));
    node.put("calibrated-ml-min", rate(pump.calibrated()));
    node.put("moves-ml-min", rate(pump.moves()));
    return node;
  }

  private static @Nullable BigDecimal rate(@Nullable Double litresPerMinute) {
    return litresPerMinute == null
        ? null
        : BigDecimal.valueOf(litresPerMinute * 1000).setScale(3, RoundingMode.HALF_UP);
  }

  private static @Nullable ObjectNode bin(@Nullable Bin bin) {
    if (bin == null) {
      return null;
    }
    ObjectNode node = JsonNodeFactory.instance.objectNode();
    node.put("bin", bin.name());
    BinMemory.Batch batch = bin.batch();
    if (batch == null) {
      node.putNull("batch");
    } else {
      ObjectNode confirmed = node.putObject("batch");
      confirmed.put("by", batch.by());
      JsonReview.put(confirmed, "at", batch.confirmed().wallEnd());
      confirmed.put("salinity-psu", BigDecimal.valueOf(batch.microPsu(), MICRO));
      confirmed.put("volume-ml", batch.millilitres());
      confirmed.put("mixed-ms", batch.mixedMillis());
    }
    node.put("drawn-ml", bin.drawn());
    node.put("left-ml", bin.left());
    Entry filled = bin.filled();
    JsonReview.put(node, "filled", filled == null ? null : filled.mark());
    node.put("waits", bin.waits());
    node.put("confirmed-later-by", bin.later());
    return node;
  }

  static ObjectNode held(Held held) {
    ObjectNode node = JsonNodeFactory.instance.objectNode();
    node.put("name", held.name());
    JsonReview.put(node, "since", held.since());
    node.put("by", held.by());
    JsonReview.put(node, "until", held.until());
    node.put("why", held.why());
    JsonReview.put(node, "over", held.over());
    node.put("released-by", held.released());
    return node;
  }
}

package io.github.tidewarden.config;

import static io.github.tidewarden.quantity.UnitCode.LITRES;
import static io.github.tidewarden.quantity.UnitCode.MILLIGRAM_PER_HOUR;
import static io.github.tidewarden.quantity.UnitCode.MINUTES;
import static io.github.tidewarden.quantity.UnitCode.PERCENTS;
import static io.github.tidewarden.quantity.UnitCode.PPB;

import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.quantity.UnitCode;
import io.github.tidewarden.science.RoomLeak;
import java.util.ArrayList;
import java.util.List;

/** How soon a room would fill, in plain words and for a machine: one text for all that tell it. */
public final class RoomText {
  private RoomText() {}

  /** Its lines; the first one says what is reckoned. */
  public static List<String> of(RoomFill fill) {
    RoomLeak air = fill.air();
    if (air == null) {
      return List.of(
          "should it leak: how soon "
              + fill.room()
              + " fills is not known; say how much air it has, `rooms: { "
              + fill.room()
              + ": { air: { volume: 30000 L, changes-per-hour: 35 % } } }`");
    }
    List<String> lines = new ArrayList<>();
    lines.add(
        "should all of the "
            + Figures.brief(fill.milligramsPerHour(), MILLIGRAM_PER_HOUR)
            + " that is made in "
            + fill.room()
            + " leak into its "
            + Figures.brief(1000 * air.volumeCubicMetres(), LITRES)
            + " of air, "
            + Figures.brief(100 * air.airChangesPerHour(), PERCENTS)
            + " of it new in an hour, well mixed, with no credit for decay:");
    fill.limits().forEach(limit -> lines.add("  " + limit(limit)));
    lines.add(
        "near the leak it is sooner, and more. Local codes and a licensed tradesman come first");
    return lines;
  }

  /** How soon it is at one limit, and what never brings it there. */
  public static String limit(RoomFill.Limit limit) {
    return reached(limit)
        + (limit.harmlessMilligramsPerHour() > 0
            ? "; never with at most "
                + Figures.brief(limit.harmlessMilligramsPerHour(), MILLIGRAM_PER_HOUR)
                + " made in it in all"
            : "");
  }

  /** How soon it is at one limit. */
  public static String reached(RoomFill.Limit limit) {
    return Figures.brief(limit.ppb(), PPB)
        + " ("
        + limit.whose()
        + ")"
        + (Double.isInfinite(limit.minutes())
            ? " never"
            : " after " + Figures.brief(limit.minutes(), MINUTES));
  }

  /** The same as keys of an object; none where nothing is said of its air. */
  static void put(ObjectNode node, RoomFill fill) {
    RoomLeak air = fill.air();
    if (air == null) {
      return;
    }
    node.put("room-l", CheckJson.decimal(1000 * air.volumeCubicMetres(), UnitCode.LITRES));
    node.put(
        "room-changes-percent",
        CheckJson.decimal(100 * air.airChangesPerHour(), UnitCode.PERCENTS));
    node.put("room-mg-per-h", CheckJson.decimal(fill.milligramsPerHour(), MILLIGRAM_PER_HOUR));
    ArrayNode limits = node.putArray("leak");
    for (RoomFill.Limit limit : fill.limits()) {
      ObjectNode one = limits.addObject();
      one.put("ppb", CheckJson.decimal(limit.ppb(), PPB));
      if (Double.isFinite(limit.minutes())) {
        one.put("after-min", CheckJson.decimal(limit.minutes(), MINUTES));
      }
      one.put(
          "harmless-mg-per-h",
          CheckJson.decimal(limit.harmlessMilligramsPerHour(), MILLIGRAM_PER_HOUR));
    }
  }
}

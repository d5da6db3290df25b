package io.github.tidewarden.config;

import io.github.tidewarden.quantity.Amount;
import io.github.tidewarden.quantity.UnitCode;
import java.util.Collection;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.jspecify.annotations.Nullable;

/** Reads what a keeper asks for in a drill, in the words of the command line. */
final class DrillKeeper {
  private static final List<String> ACTS =
      List.of("reset", "hold", "release", "batch", "calibrate", "note");
  private static final List<String> ANSWERS = List.of("done", "refused");

  private final DrillNames names;
  private final DrillTimes times;
  private final DrillEnd end;

  DrillKeeper(DrillNames names, DrillTimes times, DrillEnd end) {
    this.names = names;
    this.times = times;
    this.end = end;
  }

  /** One act; null after a complaint. */
  Drill.@Nullable KeeperAsks read(Value item) {
    Section section = item.section();
    if (section == null) {
      return null;
    }
    Long at = section.required("at", "10 min").map(times::at).orElse(null);
    String act = section.required("act", "reset").map(value -> value.oneOf(ACTS)).orElse(null);
    Map<String, String> request = new LinkedHashMap<>();
    request.put("tank", names.tank().name());
    request.put("by", section.text("by", "Ines"));
    boolean done =
        !section
            .optional("answer")
            .map(value -> value.oneOf(ANSWERS))
            .equals(java.util.Optional.of("refused"));
    if (act == null) {
      section.abandon();
      return null;
    }
    request.put("act", act);
    fields(act, section, request);
    if (at == null) {
      return null;
    }
    end.matters(item, at, "what the keeper asks");
    Place place = item.place();
    return new Drill.KeeperAsks(at, request, done, new Drill.Spot(place.line(), place.column()));
  }

  private void fields(String act, Section section, Map<String, String> request) {
    switch (act) {
      case "reset" -> {
        request.put("name", word(section, "interlock", names.latches()));
        because(section, request);
      }
      case "hold" -> {
        function(section, request);
        time(section, request);
        because(section, request);
      }
      case "release" -> {
        function(section, request);
        section.optional("until").map(Value::text).ifPresent(until -> request.put("until", until));
        because(section, request);
      }
      case "batch" -> {
        needed(section, "salinity", UnitCode.PSU, "35 PSU", request);
        needed(section, "temperature", UnitCode.DEGREE_CELSIUS, "25 Cel", request);
        needed(section, "mixed-for", UnitCode.HOURS, "4 h", request);
        optional(section, "volume", UnitCode.LITRES, request);
        because(section, request);
      }
      case "calibrate" -> {
        request.put("name", word(section, "pump", names.devices()));
        needed(section, "measured", UnitCode.MILLILITRE, "480 mL", request);
        needed(section, "for", UnitCode.SECONDS, "120 s", request);
        because(section, request);
      }
      default -> {
        request.put("text", section.text("text", "corals fed"));
        optional(section, "skimmate", UnitCode.LITRES, request);
      }
    }
  }

  private static void time(Section section, Map<String, String> request) {
    if (section.has("for") == section.has("until")) {
      section.complain(
          section.place(),
          "a hold needs a length or an end, and one only",
          "such as `for: 30 min`");
    }
    optional(section, "for", UnitCode.MINUTES, request);
    section.optional("until").map(Value::text).ifPresent(until -> request.put("until", until));
  }

  private static void function(Section section, Map<String, String> request) {
    section
        .optional("function")
        .map(value -> value.oneOf(DrillNames.holdable()))
        .ifPresent(function -> request.put("name", function));
  }

  private static void because(Section section, Map<String, String> request) {
    section.optional("because").map(Value::text).ifPresent(why -> request.put("text", why));
  }

  private static String word(Section section, String key, Collection<String> known) {
    return section
        .required(key, known.isEmpty() ? "NAME" : known.iterator().next())
        .map(value -> value.oneOf(known))
        .orElse("");
  }

  private static void needed(
      Section section, String key, UnitCode unit, String example, Map<String, String> request) {
    section
        .required(key, example)
        .map(value -> value.amount(Limits.any(unit)))
        .map(Amount::format)
        .ifPresent(amount -> request.put(key, amount));
  }

  private static void optional(
      Section section, String key, UnitCode unit, Map<String, String> request) {
    section
        .optional(key)
        .map(value -> value.amount(Limits.any(unit)))
        .map(Amount::format)
        .ifPresent(amount -> request.put(key, amount));
  }
}

package io.github.tidewarden.config;

import static io.github.tidewarden.quantity.UnitCode.SECONDS;

import io.github.tidewarden.gate.HardLimits;
import io.github.tidewarden.quantity.UnitCode;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.SensorSpec;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.concurrent.TimeUnit;
import java.util.stream.Collectors;
import org.jspecify.annotations.Nullable;

/** Reads the sensors of a tank or a room. */
final class SensorReader {
  /** Longest time between two heartbeats of a contact, s. */
  static final double MAX_CONTACT_STALE_SECONDS = 900;

  private static final int MAX_SENSORS = 64;
  private static final double MAX_LATCH_WHEN_SILENT_SECONDS = 86_400;

  /** Highest trip limit for ozone in the air of a room, ppb. */
  static final double MAX_ROOM_OZONE_PPB = StandardInterlocks.ROOM_OZONE_PPB;

  private static final Map<String, Measure> MEASURES =
      Arrays.stream(Measure.values())
          .collect(
              Collectors.toMap(
                  Measure::word, m -> m, (a, b) -> a, LinkedHashMap<String, Measure>::new));

  private final Topics topics;
  private final Set<Measure> allowed;
  private boolean inDoubt;

  /**
   * @param allowed what may be measured here
   */
  SensorReader(Topics topics, Set<Measure> allowed) {
    this.topics = topics;
    this.allowed = allowed;
  }

  /**
   * Reads every sensor of a section.
   *
   * @param section null after a complaint
   * @param owner what they belong to, for complaints
   */
  List<Sensor> readAll(@Nullable Section section, String owner) {
    return readAll(section, owner, Set.of());
  }

  /** The same, but for these names, which are no sensors. */
  List<Sensor> readAll(@Nullable Section section, String owner, Set<String> skipped) {
    if (section == null) {
      inDoubt = true;
      return List.of();
    }
    if (section.entries().size() > MAX_SENSORS) {
      section.complain(section.place(), "too many sensors", "at most " + MAX_SENSORS);
    }
    List<Sensor> sensors = new ArrayList<>();
    for (Value entry : section.entries()) {
      Sensor sensor = skipped.contains(entry.name()) ? null : read(entry, owner);
      if (sensor != null) {
        sensors.add(sensor);
      }
    }
    return sensors;
  }

  private @Nullable Sensor read(Value entry, String owner) {
    Section section = entry.section();
    if (section == null) {
      inDoubt = true;
      return null;
    }
    Names.check(section, entry.name(), entry.namePlace());
    String topic = Topics.topic(section, "topic");
    String pointer = Topics.pointer(section, "pointer");
    section
        .optional("topic")
        .ifPresent(at -> topics.heard(at, topic, pointer, entry.name() + " of " + owner));
    Measure measure = measure(section);
    if (measure == null) {
      inDoubt = true;
      section.abandon();
      return null;
    }
    double[] plausible = plausible(section, measure);
    double[] limits = limits(section, measure, plausible);
    SensorSpec spec =
        new SensorSpec(
            entry.name(),
            topic,
            pointer,
            measure,
            scale(section, measure),
            plausible[0],
            plausible[1],
            section.nanos("stale-after", stale(measure), measure.staleNanos()),
            section.nanos(
                "latch-when-silent", Limits.positive(SECONDS, MAX_LATCH_WHEN_SILENT_SECONDS), 0),
            states(section, measure),
            orderPointer(section, "sequence", pointer),
            orderPointer(section, "time", pointer));
    return new Sensor(spec, limits[0], limits[1], litresPerMillimetre(section, measure), section);
  }

  /** Asks between which limits each salinity is kept, but that of a bin. */
  static void needKeepBetween(List<Sensor> sensors, BinReader.@Nullable NewWater bin) {
    if (bin != null && bin.inDoubt()) {
      return;
    }
    for (Sensor sensor : sensors) {
      if (sensor.measure() == Measure.SALINITY && (bin == null || !bin.has(sensor))) {
        sensor.declared().required("keep-between", "[33.5 PSU, 36.5 PSU]");
      }
    }
  }

  /** Whether it could not be told what some sensor measures. */
  boolean inDoubt() {
    return inDoubt;
  }

  private @Nullable Measure measure(Section section) {
    List<String> words =
        MEASURES.values().stream().filter(allowed::contains).map(Measure::word).toList();
    return section
        .required("measures", words.get(0))
        .map(value -> value.oneOf(words))
        .map(MEASURES::get)
        .orElse(null);
  }

  /** From the payload's unit to the core's; only redox has its unit from its measure. */
  private static double scale(Section section, Measure measure) {
    if (measure.contact()) {
      return 1;
    }
    UnitCode core = Sensor.unit(measure);
    if (measure == Measure.REDOX && !section.has("unit")) {
      return 1;
    }
    List<String> codes = core.dimension().units().stream().map(UnitCode::code).toList();
    return section
        .required("unit", core.code())
        .map(value -> value.oneOf(codes))
        .flatMap(UnitCode::of)
        .map(unit -> unit.factorTo(core))
        .orElse(Double.NaN);
  }

  private static double[] plausible(Section section, Measure measure) {
    double[] usual = {measure.plausibleLow(), measure.plausibleHigh()};
    if (measure.contact()) {
      return usual;
    }
    return section
        .optional("plausible")
        .map(value -> value.range(Limits.any(Sensor.unit(measure))))
        .orElse(usual);
  }

  /** Slow quantities may be as old as their own default; other numbers at most 120 s. */
  private static Limits stale(Measure measure) {
    double most = HardLimits.MAX_ANALOGUE_STALE_SECONDS;
    if (measure.contact()) {
      most = MAX_CONTACT_STALE_SECONDS;
    } else if (measure.staleNanos() > TimeUnit.SECONDS.toNanos((long) most)) {
      most = TimeUnit.NANOSECONDS.toSeconds(measure.staleNanos());
    }
    return Limits.between(SECONDS, 1, most);
  }

  private static double[] limits(Section section, Measure measure, double[] plausible) {
    double[] none = {Double.NaN, Double.NaN};
    switch (measure) {
      case AIR_FLOW, VOLUME -> {
        UnitCode unit = Sensor.unit(measure);
        double low =
            section.number(
                "low",
                Limits.positive(unit, plausible[1]),
                measure == Measure.AIR_FLOW ? "3 L/min" : "5 L");
        return new double[] {low, Double.NaN};
      }
      case LEVEL, SALINITY -> {
        Limits limits = Limits.between(Sensor.unit(measure), plausible[0], plausible[1]);
        Optional<Value> given =
            measure == Measure.LEVEL
                ? section.required("keep-between", "[180 mm, 240 mm]")
                : section.optional("keep-between");
        return given.map(value -> value.range(limits)).orElse(none);
      }
      case OZONE_IN_AIR -> {
        double high =
            section.number(
                "high", Limits.positive(UnitCode.PPB, MAX_ROOM_OZONE_PPB), MAX_ROOM_OZONE_PPB);
        return new double[] {Double.NaN, high};
      }
      case REDOX, RUNNING, LEAK, FULL, TEMPERATURE -> {
        return none;
      }
    }
    return none;
  }

  private static double litresPerMillimetre(Section section, Measure measure) {
    return measure == Measure.LEVEL
        ? section.number("volume-per-mm", Limits.positive(UnitCode.MILLILITRE), Double.NaN) / 1000
        : Double.NaN;
  }

  private static Map<String, Boolean> states(Section section, Measure measure) {
    if (!measure.contact()) {
      return Map.of();
    }
    String[] words = StateWords.of(measure);
    Section states =
        section.section("states", "{ " + words[0] + ": \"1\", " + words[1] + ": \"0\" }");
    if (states == null) {
      return Map.of();
    }
    String active = states.text(words[0], "\"1\"");
    String idle = states.text(words[1], "\"0\"");
    if (active.equals(idle)) {
      if (!active.isEmpty()) {
        states.complain(
            states.place(words[1]),
            "`" + words[1] + "` is the same text as `" + words[0] + "`",
            "two texts");
      }
      return Map.of(); // both missing: each has its own complaint
    }
    return Map.of(active, true, idle, false);
  }

  private static String orderPointer(Section section, String key, String pointer) {
    String order = Topics.pointer(section, key);
    if (!order.isEmpty() && pointer.isEmpty()) {
      section.complain(
          section.place(key),
          "`" + key + "` points into a payload whose whole is the value",
          "say with `pointer` where in the payload the value is");
    }
    return order;
  }
}

package io.github.tidewarden.control;

import java.time.LocalDate;
import java.util.List;
import java.util.Map;

/**
 * The further fields of one audit record, read with their types. A field that is missing or of
 * another type is an error: a log that says less than the program wrote cannot be trusted.
 */
final class Fields {
  static final String ACT = "act";
  static final String AIR_AFTER = "air-after-ul-min";
  static final String AIR_BEFORE = "air-before-ul-min";
  static final String AS = "as";
  static final String BOUND_MS = "bound-ms";
  static final String FIRST = "first";
  static final String PROBES = "probes";
  static final String RISE_UV = "rise-uv";
  static final String BEFORE_UM = "before-um";
  static final String BY = "by";
  static final String CARBON = "carbon";
  static final String CAUSES = "causes";
  static final String CLEANED = "cleaned";
  static final String UNFIT = "unfit";
  static final String PER_MM_UL = "per-mm-ul";
  static final String BIN = "bin";
  static final String BIN_ML = "bin-ml";
  static final String DRAINS = "drains";
  static final String DRAIN_RATE = "drain-ul-min";
  static final String END = "end";
  static final String END_MONO_MS = "end-mono-ms";
  static final String FILL_RATE = "fill-ul-min";
  static final String FIRST_OUT = "first-out";
  static final String GIVEN_MG = "given-mg";
  static final String GIVEN_MS = "given-ms";
  static final String GIVEN_NG_L = "given-ng-l";
  static final String HELD_MS = "held-ms";
  static final String IN_ML = "in-ml";
  static final String KEPT = "kept-ppb";
  static final String LATCHED = "latched";
  static final String LEVEL_UM = "level-um";
  static final String MEASURED_UV = "measured-uv";
  static final String MIXED_MS = "mixed-ms";
  static final String NAME = "name";
  static final String NIGHT = "night";
  static final String OFFSET_UV = "offset-uv";
  static final String BOOT = "boot";
  static final String DRAIN_OF = "drain-configured-ul-min";
  static final String FILL_OF = "fill-configured-ul-min";
  static final String RATE_OF = "configured-ul-min";
  static final String DAY_OUT_ML = "day-out-ml";
  static final String OUT_ML = "out-ml";
  static final String OVER_IN_MS = "over-in-ms";
  static final String PORTION = "portion";
  static final String PORTION_ML = "portion-ml";
  static final String PUBLISHED_UV = "published-uv";
  static final String RAN_MS = "ran-ms";
  static final String RATE = "rate-ul-min";
  static final String REDOX_AFTER = "redox-after-uv";
  static final String REDOX_BEFORE = "redox-before-uv";
  static final String REFERENCE = "reference";
  static final String RESIDUAL = "residual";
  static final String RESIDUAL_NG_L = "residual-ng-l";
  static final String RESERVE_MS = "reserve-ms";
  static final String RESERVE_MG = "reserve-mg";
  static final String RUN = "run";
  static final String SALINITY_UPSU = "salinity-upsu";
  static final String SALT = "salt-psu-ml";
  static final String SALT_DRIFT = "salt-drift-upsu";
  static final String SALT_NIGHT = "salt-night-upsu";
  static final String SALT_OFF = "salt-off-upsu";
  static final String SKIMMER = "skimmer";
  static final String SKIMMATE_ML = "skimmate-ml";
  static final String SLOPE_PPM = "slope-ppm";
  static final String SOLUTION = "solution";
  static final String SOURCE = "source";
  static final String SPENT_MG = "spent-mg";
  static final String SPENT_MS = "spent-ms";
  static final String TARGET_UM = "target-um";
  static final String TEMPERATURE_MCEL = "temperature-mcel";
  static final String UNSEEN_ML = "unseen-ml";
  static final String VOLUME_ML = "volume-ml";
  static final String WATER_ML = "water-ml";
  static final String WINDOW = "window";

  private final Map<String, Object> map;

  Fields(Map<String, ?> map) {
    this.map = Map.copyOf(map);
  }

  String text(String name) {
    return value(name, String.class);
  }

  long count(String name) {
    return value(name, Long.class);
  }

  boolean flag(String name) {
    return value(name, Boolean.class);
  }

  LocalDate date(String name) {
    return LocalDate.parse(text(name));
  }

  boolean has(String name) {
    return map.containsKey(name);
  }

  /** Whether a map stands under a name. */
  boolean isMap(String name) {
    return map.get(name) instanceof Map;
  }

  List<?> list(String name) {
    return value(name, List.class);
  }

  Map<?, ?> map(String name) {
    return value(name, Map.class);
  }

  /** The map under a name, with text for keys. */
  Fields fields(String name) {
    return of(map(name));
  }

  /** Fields from a map as it was read back. */
  static Fields of(Object object) {
    if (!(object instanceof Map<?, ?> read)) {
      throw new IllegalArgumentException("not an object: " + object);
    }
    Map<String, Object> typed = new java.util.LinkedHashMap<>();
    read.forEach((key, value) -> typed.put((String) key, value));
    return new Fields(typed);
  }

  private <T> T value(String name, Class<T> type) {
    Object value = map.get(name);
    if (!type.isInstance(value)) {
      throw new IllegalArgumentException(
          "a record without a " + type.getSimpleName() + " named \"" + name + "\"");
    }
    return type.cast(value);
  }
}

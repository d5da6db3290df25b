package io.github.tidewarden.control;

import java.util.Collections;
import java.util.EnumMap;
import java.util.Map;
import org.jspecify.annotations.Nullable;

/**
 * What of a tank's installation wears out and is looked after by its keepers.
 *
 * @param carbon how long each carbon lasts; none of which nothing is configured
 * @param skimmer its skimmer; null where nothing is said of it
 */
public record CareSpec(Map<Carbon, CarbonLife> carbon, @Nullable SkimmerSpec skimmer) {

  /** Nothing is counted. */
  public static final CareSpec NONE = new CareSpec(Map.of(), null);

  /** Copies the map; in one order. */
  public CareSpec {
    Map<Carbon, CarbonLife> sorted = new EnumMap<>(Carbon.class);
    sorted.putAll(carbon);
    carbon = Collections.unmodifiableMap(sorted);
  }
}

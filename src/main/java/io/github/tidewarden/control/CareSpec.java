package io.github.tidewarden.control;

import java.util.Collections;
import java.util.EnumMap;
import java.util.Map;

/**
 * What of a tank's installation wears out and is looked after by its keepers.
 *
 * @param carbon how long each carbon lasts; none of which nothing is configured
 */
public record CareSpec(Map<Carbon, CarbonLife> carbon) {

  /** Nothing is counted. */
  public static final CareSpec NONE = new CareSpec(Map.of());

  /** Copies the map; in one order. */
  public CareSpec {
    Map<Carbon, CarbonLife> sorted = new EnumMap<>(Carbon.class);
    sorted.putAll(carbon);
    carbon = Collections.unmodifiableMap(sorted);
  }
}

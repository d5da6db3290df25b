package io.github.tidewarden.control;

import java.util.Collections;
import java.util.EnumMap;
import java.util.Map;
import org.jspecify.annotations.Nullable;

/**
 * A skimmer whose care is watched.
 *
 * @param air the sensor of the air that it draws; null for none
 * @param cup the contact of its cup; null for none
 * @param afterNanos after how long each work on it is due; none of which nothing is configured
 */
public record SkimmerSpec(
    @Nullable String air, @Nullable String cup, Map<SkimmerWork, Long> afterNanos) {

  /** Copies the map; in one order. */
  public SkimmerSpec {
    Map<SkimmerWork, Long> sorted = new EnumMap<>(SkimmerWork.class);
    sorted.putAll(afterNanos);
    afterNanos = Collections.unmodifiableMap(sorted);
  }
}

package io.github.tidewarden.review;

import java.math.BigDecimal;
import org.jspecify.annotations.Nullable;

/**
 * How redox went; mV against the tank's reference electrode, null where it is not known.
 *
 * @param start the first value
 * @param peak the highest of any probe
 * @param end the last value
 */
record Redox(@Nullable BigDecimal start, @Nullable BigDecimal peak, @Nullable BigDecimal end) {
  static final Redox UNKNOWN = new Redox(null, null, null);

  boolean isUnknown() {
    return equals(UNKNOWN);
  }
}

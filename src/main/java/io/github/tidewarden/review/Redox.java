package io.github.tidewarden.review;

import java.math.BigDecimal;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * How redox went; mV against the tank's reference electrode, null where it is not known.
 *
 * @param start the first value
 * @param peak the highest of any probe
 * @param end the last value
 * @param correctedPeak the highest of any probe with what calibrations make of it; null where none
 *     of them is calibrated
 */
record Redox(
    @Nullable BigDecimal start,
    @Nullable BigDecimal peak,
    @Nullable BigDecimal end,
    @Nullable BigDecimal correctedPeak) {
  static final Redox UNKNOWN = from(null);

  /** Of which only the first value is known. */
  static Redox from(@Nullable BigDecimal start) {
    return new Redox(start, null, null, null);
  }

  /** How it went over several stretches that follow each other, as far as they are known. */
  static Redox over(List<Redox> stretches) {
    BigDecimal start = null;
    BigDecimal peak = null;
    BigDecimal end = null;
    BigDecimal corrected = null;
    for (Redox stretch : stretches) {
      peak = higher(peak, higher(stretch.start, higher(stretch.peak, stretch.end)));
      corrected = higher(corrected, stretch.correctedPeak);
      BigDecimal last = stretch.end != null ? stretch.end : stretch.start;
      start = start != null ? start : stretch.start;
      end = last != null ? last : end;
    }
    return new Redox(start, peak, end, corrected);
  }

  static @Nullable BigDecimal higher(@Nullable BigDecimal one, @Nullable BigDecimal other) {
    return one == null ? other : other == null ? one : one.max(other);
  }

  boolean isUnknown() {
    return equals(UNKNOWN);
  }
}

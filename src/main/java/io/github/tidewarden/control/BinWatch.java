package io.github.tidewarden.control;

import io.github.tidewarden.sensing.Trend;
import org.jspecify.annotations.Nullable;

/**
 * What is known of the bin of new water between two events.
 *
 * @param trend the last minutes of what it holds
 * @param oddNanos since when it has held more, or less, than what was left in it explains,
 *     monotonic; null for not
 */
record BinWatch(Trend trend, @Nullable Long oddNanos) {

  static final BinWatch NOTHING = new BinWatch(Trend.EMPTY, null);
}

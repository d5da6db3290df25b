package io.github.tidewarden.review;

import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * Something that stood latched at the end of a span.
 *
 * @param name what a reset has to name
 * @param since when it latched; null when that is before the records read
 * @param why in the keeper's words
 * @param stops what it stops; empty when no record read tells
 * @param reset the keeper's reset that came later; null for none
 */
record Latch(
    String name, @Nullable Mark since, String why, List<String> stops, @Nullable Act reset) {}

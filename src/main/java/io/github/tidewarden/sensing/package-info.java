/** From a message to a signal with a quality: parsing, plausibility, order, age. */
@NullMarked
package io.github.tidewarden.sensing;

import org.jspecify.annotations.NullMarked;

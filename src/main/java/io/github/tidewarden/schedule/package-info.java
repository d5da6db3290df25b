/** Night, window, allowance, and whether the clock may be trusted. */
@NullMarked
package io.github.tidewarden.schedule;

import org.jspecify.annotations.NullMarked;

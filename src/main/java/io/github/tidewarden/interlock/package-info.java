/** Causes, trips, latches, first-out, silence and confirmation. */
@NullMarked
package io.github.tidewarden.interlock;

import org.jspecify.annotations.NullMarked;

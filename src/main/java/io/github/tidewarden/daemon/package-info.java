/** Wiring by hand: the control loop, clocks, Quartz, the state directory's lock. */
@NullMarked
package io.github.tidewarden.daemon;

import org.jspecify.annotations.NullMarked;

/** One tank's step, from an event to effects, and the site that hands events to its tanks. */
@NullMarked
package io.github.tidewarden.control;

import org.jspecify.annotations.NullMarked;

/** A simulated tank with its own devices, and the demo that runs on it. */
@NullMarked
package io.github.tidewarden.rehearsal;

import org.jspecify.annotations.NullMarked;

/** The one door through which every actuator command passes. Smallest and best tested. */
@NullMarked
package io.github.tidewarden.gate;

import org.jspecify.annotations.NullMarked;

/** Values with units, and time as a value. */
@NullMarked
package io.github.tidewarden.quantity;

import org.jspecify.annotations.NullMarked;

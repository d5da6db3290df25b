/** Formulas with their sources. Pure functions of doubles, units in the names. */
@NullMarked
package io.github.tidewarden.science;

import org.jspecify.annotations.NullMarked;

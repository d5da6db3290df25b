/** What ozone is wanted now. */
@NullMarked
package io.github.tidewarden.dosing;

import org.jspecify.annotations.NullMarked;

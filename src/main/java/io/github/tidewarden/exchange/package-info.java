/** What exchange of water is wanted now. */
@NullMarked
package io.github.tidewarden.exchange;

import org.jspecify.annotations.NullMarked;

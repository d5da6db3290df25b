/** What exchange of water is wanted now. Empty until the exchange itself is built. */
@NullMarked
package io.github.tidewarden.exchange;

import org.jspecify.annotations.NullMarked;

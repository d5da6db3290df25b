/** A night told in the keeper's words, from the audit alone. */
@NullMarked
package io.github.tidewarden.review;

import org.jspecify.annotations.NullMarked;

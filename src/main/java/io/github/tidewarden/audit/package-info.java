/** Records on disk: chain, segments, recovery, verification. */
@NullMarked
package io.github.tidewarden.audit;

import org.jspecify.annotations.NullMarked;

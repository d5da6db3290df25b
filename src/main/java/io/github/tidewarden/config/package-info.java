/** YAML into a checked, immutable model, with file, line and column for every complaint. */
@NullMarked
package io.github.tidewarden.config;

import org.jspecify.annotations.NullMarked;

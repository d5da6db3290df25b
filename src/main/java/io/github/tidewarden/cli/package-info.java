/** The verbs: one class a verb, text in and text out. */
@NullMarked
package io.github.tidewarden.cli;

import org.jspecify.annotations.NullMarked;

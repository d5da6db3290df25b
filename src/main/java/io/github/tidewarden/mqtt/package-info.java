/** The Paho adapter behind a small port; publishes for an actuator only what the gate made. */
@NullMarked
package io.github.tidewarden.mqtt;

import org.jspecify.annotations.NullMarked;

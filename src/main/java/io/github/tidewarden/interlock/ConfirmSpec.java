package io.github.tidewarden.interlock;

/**
 * How an actuator reports its own state.
 *
 * @param topic the state topic
 * @param pointer JSON Pointer to the state, or empty when the whole payload is the state
 * @param onText the text (a JSON scalar as text) that means running
 * @param offText the text that means at rest
 * @param withinNanos how soon after a command the report must come
 */
public record ConfirmSpec(
    String topic, String pointer, String onText, String offText, long withinNanos) {}

package io.github.tidewarden.mqtt;

/**
 * Something the daemon says about itself, on a topic of its own.
 *
 * @param topic a topic below {@code tidewarden/{site}/}
 * @param payload the bytes; not to be changed after construction; empty and retained clears a topic
 * @param retained whether the broker keeps it for later subscribers
 */
@SuppressWarnings("ArrayRecordComponent") // never compared; the bytes are never written
public record Note(String topic, byte[] payload, boolean retained) {}

package io.github.tidewarden.control;

/**
 * A keeper's request as it came in, not yet believed.
 *
 * @param number the arrival number, by which the shell finds where to send the answer
 * @param payload the bytes of the request; not to be changed after construction
 */
@SuppressWarnings("ArrayRecordComponent") // compared only by identity; the bytes are never written
public record Request(long number, byte[] payload) {}

package io.github.tidewarden.mqtt;

import java.time.Instant;
import org.jspecify.annotations.Nullable;

/**
 * One message as the broker delivered it.
 *
 * @param number site-wide number in order of arrival, from 1; 0 for a request that was refused
 *     before it was queued
 * @param topic the topic
 * @param payload the bytes; not to be changed
 * @param retained whether the broker marked it as retained
 * @param wall the wall clock on arrival
 * @param monoNanos the monotonic clock on arrival
 * @param responseTopic where an answer is wanted, if the sender said
 * @param correlation what the answer must carry, if the sender said
 */
@SuppressWarnings("ArrayRecordComponent") // compared only by identity; the bytes are never written
public record Delivery(
    long number,
    String topic,
    byte[] payload,
    boolean retained,
    Instant wall,
    long monoNanos,
    @Nullable String responseTopic,
    byte @Nullable [] correlation) {}

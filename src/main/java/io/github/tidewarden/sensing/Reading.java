package io.github.tidewarden.sensing;

import io.github.tidewarden.quantity.Moment;

/**
 * One message as it arrived, not yet believed.
 *
 * @param arrivalNumber site-wide number in order of arrival, from 1
 * @param topic the MQTT topic
 * @param payload the bytes; not to be changed after construction
 * @param retained whether the broker marked it as retained
 * @param arrival both clocks at arrival
 */
@SuppressWarnings("ArrayRecordComponent") // compared only by identity; the bytes are never written
public record Reading(
    long arrivalNumber, String topic, byte[] payload, boolean retained, Moment arrival) {}

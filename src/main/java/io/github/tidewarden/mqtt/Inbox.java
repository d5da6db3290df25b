package io.github.tidewarden.mqtt;

import java.time.Instant;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.function.Consumer;
import java.util.function.LongSupplier;
import java.util.function.Supplier;
import org.jspecify.annotations.Nullable;

/**
 * Where the network's callbacks put what arrives and the control thread takes it from.
 *
 * <p>Each topic has a queue of its own, first in first out, of at most {@value #MOST_PER_TOPIC}
 * messages and {@value #MOST_BYTES_PER_TOPIC} bytes; all together hold at most {@value #MOST_BYTES}
 * bytes. What does not fit is dropped and its topic marked, so that whoever reads it knows the
 * series is broken. Retained messages are dropped before the queue: their age is unknown. A request
 * is never dropped silently: its sender is told through {@code refused}.
 */
public final class Inbox {
  /** Messages that may wait on one topic. */
  public static final int MOST_PER_TOPIC = 64;

  /** Largest payload taken, in bytes. */
  public static final int LARGEST_PAYLOAD = 64 * 1024;

  static final int MOST_BYTES_PER_TOPIC = 128 * 1024;
  static final int MOST_BYTES = 8 * 1024 * 1024;

  /**
   * What has come since the last drain.
   *
   * @param deliveries in order of arrival
   * @param overflowed topics of which something was dropped for want of room or for its size
   */
  public record Batch(List<Delivery> deliveries, Set<String> overflowed) {}

  private static final class Waiting {
    int messages;
    int bytes;
  }

  private final String operateTopic;
  private final Supplier<Instant> wallClock;
  private final LongSupplier monoClock;
  private final Runnable wake;
  private final Consumer<Delivery> refused;

  private final Map<String, Waiting> waiting = new HashMap<>();
  private List<Delivery> deliveries = new ArrayList<>();
  private Set<String> overflowed = new LinkedHashSet<>();
  private int bytes;
  private long arrivals;
  private long retainedDropped;

  /**
   * Makes an empty inbox.
   *
   * @param operateTopic the topic of requests
   * @param wallClock the wall clock
   * @param monoClock the monotonic clock, in nanoseconds
   * @param wake called on the arriving thread after each arrival; must only signal
   * @param refused called on the arriving thread with each request that was retained or found no
   *     room; must only enqueue
   */
  public Inbox(
      String operateTopic,
      Supplier<Instant> wallClock,
      LongSupplier monoClock,
      Runnable wake,
      Consumer<Delivery> refused) {
    this.operateTopic = operateTopic;
    this.wallClock = wallClock;
    this.monoClock = monoClock;
    this.wake = wake;
    this.refused = refused;
  }

  /** Takes one message in; returns at once. */
  public void arrived(
      String topic,
      byte[] payload,
      boolean retained,
      @Nullable String responseTopic,
      byte @Nullable [] correlation) {
    Delivery turnedAway = null;
    synchronized (this) {
      boolean request = topic.equals(operateTopic);
      boolean accepted = !retained && hasRoom(topic, payload.length);
      if (retained) {
        retainedDropped++;
      } else if (!accepted) {
        overflowed.add(topic);
      }
      if (accepted || request) {
        Delivery delivery =
            new Delivery(
                accepted ? ++arrivals : 0,
                topic,
                payload,
                retained,
                wallClock.get(),
                monoClock.getAsLong(),
                responseTopic,
                correlation);
        if (accepted) {
          queue(delivery);
        } else {
          turnedAway = delivery;
        }
      } else if (retained) {
        return;
      }
    }
    if (turnedAway != null) {
      refused.accept(turnedAway);
    }
    wake.run();
  }

  private boolean hasRoom(String topic, int length) {
    if (length > LARGEST_PAYLOAD || bytes + length > MOST_BYTES) {
      return false;
    }
    Waiting own = waiting.get(topic);
    return own == null
        || (own.messages < MOST_PER_TOPIC && own.bytes + length <= MOST_BYTES_PER_TOPIC);
  }

  private void queue(Delivery delivery) {
    int length = delivery.payload().length;
    Waiting own = waiting.computeIfAbsent(delivery.topic(), unused -> new Waiting());
    own.messages++;
    own.bytes += length;
    bytes += length;
    deliveries.add(delivery);
  }

  /** Takes out everything that has come since the last call; never waits. */
  public synchronized Batch drain() {
    if (deliveries.isEmpty() && overflowed.isEmpty()) {
      return new Batch(List.of(), Set.of());
    }
    Batch batch = new Batch(deliveries, overflowed);
    deliveries = new ArrayList<>();
    overflowed = new LinkedHashSet<>();
    waiting.clear();
    bytes = 0;
    return batch;
  }

  /** How many retained messages have been dropped so far. */
  public synchronized long retainedDropped() {
    return retainedDropped;
  }
}

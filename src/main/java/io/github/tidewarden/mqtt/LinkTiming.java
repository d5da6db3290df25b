package io.github.tidewarden.mqtt;

import java.time.Duration;

/**
 * How long the link waits for what; all on the monotonic clock.
 *
 * @param connect for TCP, TLS and CONNACK together: a peer that accepts and says nothing would hold
 *     the library for days
 * @param acknowledge for the acknowledgement of a command
 * @param echoEvery between two echoes; also does the work of keep-alive pings
 * @param echo since the last echo came back
 * @param firstPause before the first new attempt; doubled from attempt to attempt
 * @param longestPause bound of the pause
 */
record LinkTiming(
    Duration connect,
    Duration acknowledge,
    Duration echoEvery,
    Duration echo,
    Duration firstPause,
    Duration longestPause) {

  static final LinkTiming STANDARD =
      new LinkTiming(
          Duration.ofSeconds(10),
          Duration.ofSeconds(2),
          Duration.ofSeconds(5),
          Duration.ofSeconds(10),
          Duration.ofMillis(500),
          Duration.ofSeconds(10));

  /** How often the limits are looked at. */
  static final Duration WATCH_EVERY = Duration.ofMillis(100);

  /** The pause after {@code failures} attempts that came to nothing in a row, from 0. */
  Duration pause(int failures) {
    Duration pause = firstPause.multipliedBy(1L << Math.min(failures, 10));
    return pause.compareTo(longestPause) < 0 ? pause : longestPause;
  }
}

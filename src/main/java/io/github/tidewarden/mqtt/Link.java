package io.github.tidewarden.mqtt;

import io.github.tidewarden.gate.Command;
import java.time.Duration;
import java.util.Collection;
import org.jspecify.annotations.Nullable;

/**
 * The daemon's one line to its broker.
 *
 * <p>It keeps trying for ever once started, and no call but {@link #close} ever blocks. A
 * connection goes through {@code up()}, then {@code subscribed()}, and ends with {@code down(why)}.
 * After each {@code up()} the daemon sends rest to every actuator, then subscribes, then publishes
 * its retained state again: nothing whatever is kept from one connection to the next.
 */
public interface Link {

  /**
   * Starts to connect and returns at once. To be called once.
   *
   * @param listener hears what becomes of the link
   */
  void start(LinkListener listener);

  /**
   * Sends a command, QoS 1 and never retained. A rest goes out on any connection and ahead of
   * everything that waits; a run only once this connection's subscription has been confirmed, so
   * that it cannot come before the rest that follows {@code up()}, on the heels of an echo that
   * shows the broker awake, and never after a takeover.
   *
   * @return false if it was not taken; if it was taken and could not be delivered, the listener
   *     hears {@link LinkListener#lost}
   */
  boolean command(Command command);

  /**
   * Publishes on a topic of the site's own, QoS 1, after all commands.
   *
   * @return false if the link is down or {@value Outbox#MOST_NOTES} notes wait already
   * @throws IllegalArgumentException if the topic is not below {@code tidewarden/{site}/}
   */
  boolean publish(Note note);

  /**
   * Answers a request, QoS 1. The response topic was chosen by whoever asked, so nothing but {@code
   * tidewarden/{site}/answer/...} is accepted: a request cannot make the daemon speak to an
   * actuator.
   *
   * @param responseTopic as the request gave it
   * @param correlation as the request gave it
   * @param payload the answer
   * @return false if the link is down, or the topic is missing or not allowed
   */
  boolean reply(@Nullable String responseTopic, byte @Nullable [] correlation, byte[] payload);

  /**
   * Subscribes on the present connection, QoS 1, without the retained messages that the broker
   * holds. To be called after each {@code up()}. The listener hears {@code refused()} of the topics
   * that were not granted with QoS 1, if any, then {@code subscribed()}; a refusal of the site's
   * own {@code operate} topic ends the connection.
   *
   * @param topics exact topics or filters; the site's own {@code operate} topic among them if
   *     requests are to be heard
   */
  void subscribe(Collection<String> topics);

  /**
   * Delivers what waits, says good-bye and stops for good.
   *
   * @param atMost how long it may take in all
   */
  void close(Duration atMost);
}

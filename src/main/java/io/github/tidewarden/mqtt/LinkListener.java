package io.github.tidewarden.mqtt;

import io.github.tidewarden.gate.Command;
import java.util.Set;

/**
 * Hears what becomes of the link. All calls come in order from one thread of the adapter, and must
 * only enqueue and return. What they throw is caught and comes back as a {@link #fault}.
 */
public interface LinkListener {

  /** Connected; rest may be sent, nothing is subscribed yet. */
  void up();

  /**
   * A connection ended, or an attempt to connect failed; another attempt follows by itself.
   *
   * @param why for people: the status text and the audit
   */
  void down(String why);

  /**
   * Topics that the broker did not grant with QoS 1, told before {@link #subscribed()}. Nothing is
   * heard of them on this connection.
   *
   * @param why its reason code
   */
  void refused(Set<String> topics, String why);

  /** The subscription has been answered; from here on runs are accepted. */
  void subscribed();

  /**
   * Someone else has connected under this daemon's client id. The daemon is to put everything off
   * and exit: the link comes up once more under an id of its own, for rest only.
   */
  void takenOver();

  /**
   * A command was taken and then not acknowledged: the connection ended, it waited longer than its
   * expiry, or the broker refused it. Whether the device has heard it is unknown.
   */
  void lost(Command command, String why);

  /** Something was thrown in a callback or in the adapter; the link goes on. */
  void fault(Throwable thrown);
}

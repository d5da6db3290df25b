package io.github.tidewarden.mqtt;

import java.util.logging.Level;
import java.util.logging.Logger;
import org.eclipse.paho.mqttv5.client.MqttAsyncClient;
import org.eclipse.paho.mqttv5.client.MqttConnectionOptions;
import org.eclipse.paho.mqttv5.client.MqttPingSender;
import org.eclipse.paho.mqttv5.client.internal.ClientComms;
import org.eclipse.paho.mqttv5.client.internal.NetworkModule;
import org.eclipse.paho.mqttv5.client.persist.MemoryPersistence;
import org.eclipse.paho.mqttv5.common.MqttException;
import org.eclipse.paho.mqttv5.common.MqttMessage;
import org.eclipse.paho.mqttv5.common.packet.MqttProperties;

/**
 * The library's client with our own socket under it, no files, no reconnecting of its own, and no
 * timer: its ping sender and its reconnecting run on {@code java.util.Timer}, which a stepped wall
 * clock stops. Whoever uses it must publish at least once in a keep-alive.
 */
final class PahoClient extends MqttAsyncClient {
  static final int QOS = 1;
  static final int KEEP_ALIVE_SECONDS = 10;
  static final long LARGEST_PACKET = 256 * 1024;

  /** QoS 1 messages that the broker may have on their way to us. */
  static final int RECEIVE_MAXIMUM = 64;

  /** Held strongly, for else the level would be forgotten; what matters comes through callbacks. */
  private static final Logger LIBRARY_LOG = Logger.getLogger("org.eclipse.paho.mqttv5");

  static {
    LIBRARY_LOG.setLevel(Level.OFF);
  }

  private final NetworkModule line;

  PahoClient(String clientId, Line line) throws MqttException {
    // The address is only validated and logged by the library; the line knows where to go.
    super("tcp://broker", clientId, new MemoryPersistence(), new NoPings(), null);
    this.line = line;
  }

  @Override
  protected NetworkModule[] createNetworkModules(String address, MqttConnectionOptions options) {
    return new NetworkModule[] {line};
  }

  /** Clean start, session forgotten on disconnect, everything bounded. */
  static MqttConnectionOptions options(Credentials credentials) {
    MqttConnectionOptions options = new MqttConnectionOptions();
    options.setCleanStart(true);
    options.setSessionExpiryInterval(0L);
    options.setAutomaticReconnect(false);
    options.setKeepAliveInterval(KEEP_ALIVE_SECONDS);
    options.setReceiveMaximum(RECEIVE_MAXIMUM);
    options.setMaximumPacketSize(LARGEST_PACKET);
    if (credentials.user() != null) {
      options.setUserName(credentials.user());
      options.setPassword(credentials.password());
    }
    return options;
  }

  /** What goes on the wire. */
  static MqttMessage message(Outgoing outgoing, long secondsLeft) {
    MqttProperties properties = new MqttProperties();
    if (secondsLeft != Long.MAX_VALUE) {
      properties.setMessageExpiryInterval(secondsLeft);
    }
    if (outgoing.correlation() != null) {
      properties.setCorrelationData(outgoing.correlation());
    }
    return new MqttMessage(outgoing.payload(), QOS, outgoing.retained(), properties);
  }

  private static final class NoPings implements MqttPingSender {
    @Override
    public void init(ClientComms comms) {}

    @Override
    public void start() {}

    @Override
    public void stop() {}

    @Override
    public void schedule(long delayInMilliseconds) {}
  }
}

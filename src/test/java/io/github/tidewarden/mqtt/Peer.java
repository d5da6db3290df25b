package io.github.tidewarden.mqtt;

import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;
import javax.net.ssl.SSLSocketFactory;
import org.eclipse.paho.mqttv5.client.IMqttToken;
import org.eclipse.paho.mqttv5.client.MqttActionListener;
import org.eclipse.paho.mqttv5.client.MqttCallback;
import org.eclipse.paho.mqttv5.client.MqttConnectionOptions;
import org.eclipse.paho.mqttv5.client.MqttDisconnectResponse;
import org.eclipse.paho.mqttv5.common.MqttException;
import org.eclipse.paho.mqttv5.common.MqttMessage;
import org.eclipse.paho.mqttv5.common.packet.MqttProperties;
import org.eclipse.paho.mqttv5.common.packet.MqttReturnCode;
import org.jspecify.annotations.Nullable;

/** Whoever else is at the broker: a device, a probe, a keeper. Blocking, for tests only. */
final class Peer implements AutoCloseable {
  private static final long PATIENCE_SECONDS = 20;

  /** A message as it came. */
  record Heard(String topic, String payload, MqttMessage message) {}

  private final Line line;
  private final PahoClient client;
  private final BlockingQueue<Heard> heard = new LinkedBlockingQueue<>();
  private volatile @Nullable Integer disconnectCode;

  private Peer(URI broker, String clientId, boolean session) {
    try {
      line =
          new Line(
              broker, (SSLSocketFactory) SSLSocketFactory.getDefault(), Duration.ofSeconds(10));
      client = new PahoClient(clientId, line);
      client.setCallback(new Ears());
      MqttConnectionOptions options = PahoClient.options(Credentials.NONE);
      options.setKeepAliveInterval(0);
      if (session) {
        options.setCleanStart(false);
        options.setSessionExpiryInterval(600L);
      }
      await(done -> client.connect(options, null, done));
    } catch (MqttException e) {
      throw new IllegalStateException(e);
    }
  }

  /** With a session that ends with the connection. */
  static Peer at(URI broker, String clientId) {
    return new Peer(broker, clientId, false);
  }

  /** With a session that outlives the connection by ten minutes. */
  static Peer withSessionAt(URI broker, String clientId) {
    return new Peer(broker, clientId, true);
  }

  Peer subscribe(String... filters) {
    for (String filter : filters) {
      await(done -> client.subscribe(filter, 1, null, done));
    }
    return this;
  }

  void publish(String topic, String payload) {
    publish(topic, payload.getBytes(StandardCharsets.UTF_8), false);
  }

  void publishRetained(String topic, String payload) {
    publish(topic, payload.getBytes(StandardCharsets.UTF_8), true);
  }

  void publish(String topic, byte[] payload, boolean retained) {
    publish(topic, new MqttMessage(payload, 1, retained, new MqttProperties()));
  }

  void publish(String topic, MqttMessage message) {
    await(done -> client.publish(topic, message, null, done));
  }

  /** The next message, or null if none comes in time. */
  @Nullable Heard next(Duration patience) {
    try {
      return heard.poll(patience.toMillis(), TimeUnit.MILLISECONDS);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      throw new IllegalStateException(e);
    }
  }

  /** The next message; fails if none comes. */
  Heard next() {
    Heard next = next(Duration.ofSeconds(PATIENCE_SECONDS));
    if (next == null) {
      throw new AssertionError("heard nothing");
    }
    return next;
  }

  /** With what reason code the broker has sent it away, or null. */
  @Nullable Integer disconnectCode() {
    return disconnectCode;
  }

  private interface Step {
    void begin(MqttActionListener done) throws MqttException;
  }

  private static void await(Step step) {
    CompletableFuture<IMqttToken> outcome = new CompletableFuture<>();
    try {
      step.begin(
          new MqttActionListener() {
            @Override
            public void onSuccess(IMqttToken token) {
              outcome.complete(token);
            }

            @Override
            public void onFailure(IMqttToken token, Throwable cause) {
              outcome.completeExceptionally(cause);
            }
          });
      outcome.get(PATIENCE_SECONDS, TimeUnit.SECONDS);
    } catch (Exception e) {
      throw new AssertionError("the peer's step failed", e);
    }
  }

  @Override
  public void close() {
    if (client.isConnected()) {
      await(
          done ->
              client.disconnect(
                  0, null, done, MqttReturnCode.RETURN_CODE_SUCCESS, new MqttProperties()));
    }
    line.abandon();
  }

  private final class Ears implements MqttCallback {
    @Override
    public void messageArrived(String topic, MqttMessage message) {
      heard.add(
          new Heard(topic, new String(message.getPayload(), StandardCharsets.UTF_8), message));
    }

    @Override
    public void disconnected(MqttDisconnectResponse response) {
      disconnectCode = response.getReturnCode();
    }

    @Override
    public void mqttErrorOccurred(MqttException exception) {}

    @Override
    public void deliveryComplete(IMqttToken token) {}

    @Override
    public void connectComplete(boolean reconnect, String serverUri) {}

    @Override
    public void authPacketArrived(int reasonCode, MqttProperties properties) {}
  }
}

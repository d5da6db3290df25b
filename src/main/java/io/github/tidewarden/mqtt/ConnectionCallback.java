package io.github.tidewarden.mqtt;

import java.util.function.Consumer;
import org.eclipse.paho.mqttv5.client.IMqttToken;
import org.eclipse.paho.mqttv5.client.MqttActionListener;
import org.eclipse.paho.mqttv5.client.MqttCallback;
import org.eclipse.paho.mqttv5.client.MqttDisconnectResponse;
import org.eclipse.paho.mqttv5.common.MqttException;
import org.eclipse.paho.mqttv5.common.MqttMessage;
import org.eclipse.paho.mqttv5.common.packet.MqttProperties;

/**
 * The library's callbacks of one connection. The library swallows what a callback throws, so
 * everything is caught here and made a fault.
 */
final class ConnectionCallback implements MqttCallback {
  private final Connection connection;
  private final Connection.Owner owner;

  ConnectionCallback(Connection connection, Connection.Owner owner) {
    this.connection = connection;
    this.owner = owner;
  }

  /** A listener of one outcome; what it throws becomes a fault. */
  static MqttActionListener listener(
      Connection.Owner owner, Consumer<IMqttToken> done, Consumer<Throwable> failed) {
    return new MqttActionListener() {
      @Override
      public void onSuccess(IMqttToken token) {
        guarded(owner, () -> done.accept(token));
      }

      @Override
      public void onFailure(IMqttToken token, Throwable exception) {
        guarded(owner, () -> failed.accept(exception));
      }
    };
  }

  @SuppressWarnings("CatchingUnchecked") // also what is not an Exception must not be swallowed
  private static void guarded(Connection.Owner owner, Runnable callback) {
    try {
      callback.run();
    } catch (Throwable thrown) {
      owner.fault(thrown);
    }
  }

  @Override
  public void messageArrived(String topic, MqttMessage message) {
    guarded(owner, () -> connection.arrived(topic, message));
  }

  @Override
  public void disconnected(MqttDisconnectResponse response) {
    guarded(
        owner,
        () -> {
          MqttException cause = response.getException();
          String why =
              cause != null
                  ? "connection lost: " + Reason.of(cause)
                  : "disconnected by the broker: " + Reason.code(response.getReturnCode());
          connection.disconnected(response.getReturnCode(), why);
        });
  }

  @Override
  public void mqttErrorOccurred(MqttException exception) {
    owner.fault(exception);
  }

  @Override
  public void deliveryComplete(IMqttToken token) {}

  @Override
  public void connectComplete(boolean reconnect, String serverUri) {}

  @Override
  public void authPacketArrived(int reasonCode, MqttProperties properties) {}
}

package io.github.tidewarden.system;

import java.nio.charset.StandardCharsets;
import org.eclipse.paho.mqttv5.client.MqttAsyncClient;
import org.eclipse.paho.mqttv5.client.MqttConnectionOptions;
import org.eclipse.paho.mqttv5.client.persist.MemoryPersistence;

/** The least that the library can do: connect, subscribe, say so, and stay. */
public final class BareClient {
  private BareClient() {}

  /**
   * Runs until it is killed.
   *
   * @param args the broker's port, a topic to subscribe to, and one on which to say so
   */
  public static void main(String[] args) throws Exception {
    MqttAsyncClient client =
        new MqttAsyncClient("tcp://127.0.0.1:" + args[0], "bare", new MemoryPersistence());
    client.connect(new MqttConnectionOptions()).waitForCompletion(10_000);
    client.subscribe(args[1], 1).waitForCompletion(10_000);
    client.publish(args[2], "ready".getBytes(StandardCharsets.UTF_8), 1, false);
    Thread.currentThread().join();
  }
}

package io.github.tidewarden.mqtt;

import java.io.IOException;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.Arrays;
import java.util.Optional;
import java.util.UUID;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;
import javax.net.ssl.SSLSocketFactory;
import org.eclipse.paho.mqttv5.client.IMqttToken;
import org.eclipse.paho.mqttv5.client.MqttActionListener;
import org.eclipse.paho.mqttv5.client.MqttCallback;
import org.eclipse.paho.mqttv5.client.MqttDisconnectResponse;
import org.eclipse.paho.mqttv5.common.MqttException;
import org.eclipse.paho.mqttv5.common.MqttMessage;
import org.eclipse.paho.mqttv5.common.MqttSubscription;
import org.eclipse.paho.mqttv5.common.packet.MqttProperties;
import org.eclipse.paho.mqttv5.common.packet.MqttReturnCode;

/**
 * Asks a running daemon one thing over MQTT 5 request and response, and waits for its answer.
 *
 * <p>The request is never retained and expires after {@value #EXPIRY_SECONDS} s, so that one which
 * found the daemon away does not act later.
 */
public final class Requester {
  /** Message expiry of a request, in seconds. */
  public static final long EXPIRY_SECONDS = 10;

  private static final long GOOD_BYE_MILLIS = 1000;

  private final Line line;
  private final Credentials credentials;
  private final SiteTopics topics;
  private final String request = UUID.randomUUID().toString();
  private final byte[] correlation = request.getBytes(StandardCharsets.UTF_8);
  private final CompletableFuture<byte[]> answer = new CompletableFuture<>();
  private final long deadlineNanos;

  private Requester(URI broker, Credentials credentials, String site, Duration timeout) {
    this.line = new Line(broker, (SSLSocketFactory) SSLSocketFactory.getDefault(), timeout);
    this.credentials = credentials;
    this.topics = new SiteTopics(site);
    this.deadlineNanos = System.nanoTime() + timeout.toNanos();
  }

  /**
   * Sends a request to the site's {@code operate} topic and waits for the answer.
   *
   * @param broker the broker's address, as in {@link LinkSettings}
   * @param credentials who asks
   * @param site the site's name
   * @param payload the request
   * @param timeout for connecting, asking and waiting together; the good-bye may take 1 s more
   * @return the answer, or empty if the broker took the request and nobody answered in time
   * @throws IOException if the broker cannot be reached or does not take the request
   * @throws InterruptedException if the waiting thread is interrupted
   */
  public static Optional<byte[]> ask(
      URI broker, Credentials credentials, String site, byte[] payload, Duration timeout)
      throws IOException, InterruptedException {
    return new Requester(broker, credentials, site, timeout).ask(payload);
  }

  private Optional<byte[]> ask(byte[] payload) throws IOException, InterruptedException {
    try {
      PahoClient client = new PahoClient("tidewarden-ask-" + request, line);
      client.setCallback(new Answers());
      await(done -> client.connect(PahoClient.options(credentials), null, done));
      await(done -> client.subscribe(subscriptions(), null, done, new MqttProperties()));
      await(done -> client.publish(topics.operate(), message(payload), null, done));
      Optional<byte[]> heard = awaitAnswer();
      sayGoodBye(client);
      return heard;
    } catch (MqttException refused) {
      throw new IOException(Reason.of(refused), refused);
    } finally {
      line.abandon();
    }
  }

  private MqttSubscription[] subscriptions() {
    return new MqttSubscription[] {new MqttSubscription(topics.answer(request), PahoClient.QOS)};
  }

  private MqttMessage message(byte[] payload) {
    MqttProperties properties = new MqttProperties();
    properties.setResponseTopic(topics.answer(request));
    properties.setCorrelationData(correlation);
    properties.setMessageExpiryInterval(EXPIRY_SECONDS);
    return new MqttMessage(payload, PahoClient.QOS, false, properties);
  }

  private void sayGoodBye(PahoClient client) throws MqttException, InterruptedException {
    CompletableFuture<IMqttToken> gone = new CompletableFuture<>();
    line.partInPeace();
    client.disconnect(
        0, null, completing(gone), MqttReturnCode.RETURN_CODE_SUCCESS, new MqttProperties());
    try {
      gone.get(GOOD_BYE_MILLIS, TimeUnit.MILLISECONDS);
    } catch (TimeoutException | ExecutionException broken) {
      // What was asked is settled; the connection is dropped without a good-bye then.
    }
  }

  private Optional<byte[]> awaitAnswer() throws InterruptedException, IOException {
    try {
      return Optional.of(answer.get(nanosLeft(), TimeUnit.NANOSECONDS));
    } catch (TimeoutException nobodyAnswered) {
      return Optional.empty();
    } catch (ExecutionException lost) {
      throw new IOException(Reason.of(lost), lost);
    }
  }

  /** One step of the conversation. */
  private interface Step {
    void begin(MqttActionListener done) throws MqttException;
  }

  private void await(Step step) throws IOException, InterruptedException, MqttException {
    CompletableFuture<IMqttToken> outcome = new CompletableFuture<>();
    step.begin(completing(outcome));
    try {
      int[] codes = outcome.get(nanosLeft(), TimeUnit.NANOSECONDS).getReasonCodes();
      if (codes != null && Arrays.stream(codes).anyMatch(code -> code >= 0x80)) {
        throw new IOException("refused by the broker: " + Reason.code(codes[0]));
      }
    } catch (TimeoutException silent) {
      throw new IOException("the broker does not answer", silent);
    } catch (ExecutionException failed) {
      throw new IOException(Reason.of(failed), failed);
    }
  }

  private static MqttActionListener completing(CompletableFuture<IMqttToken> outcome) {
    return new MqttActionListener() {
      @Override
      public void onSuccess(IMqttToken token) {
        outcome.complete(token);
      }

      @Override
      public void onFailure(IMqttToken token, Throwable cause) {
        outcome.completeExceptionally(cause);
      }
    };
  }

  private long nanosLeft() {
    return Math.max(0, deadlineNanos - System.nanoTime());
  }

  private final class Answers implements MqttCallback {
    @Override
    public void messageArrived(String topic, MqttMessage message) {
      MqttProperties properties = message.getProperties();
      boolean ours =
          properties != null && Arrays.equals(properties.getCorrelationData(), correlation);
      if (ours && !message.isRetained()) {
        answer.complete(message.getPayload());
      }
    }

    @Override
    public void disconnected(MqttDisconnectResponse response) {
      answer.completeExceptionally(new IOException("the broker has closed the connection"));
    }

    @Override
    public void mqttErrorOccurred(MqttException exception) {
      answer.completeExceptionally(exception);
    }

    @Override
    public void deliveryComplete(IMqttToken token) {}

    @Override
    public void connectComplete(boolean reconnect, String serverUri) {}

    @Override
    public void authPacketArrived(int reasonCode, MqttProperties properties) {}
  }
}

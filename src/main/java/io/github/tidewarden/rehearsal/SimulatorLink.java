package io.github.tidewarden.rehearsal;

import java.io.IOException;
import java.net.InetAddress;
import java.net.Socket;
import java.nio.charset.StandardCharsets;
import java.util.Arrays;
import java.util.Set;
import java.util.UUID;
import java.util.concurrent.RejectedExecutionException;
import java.util.concurrent.ScheduledExecutorService;
import java.util.concurrent.ScheduledFuture;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.concurrent.atomic.AtomicLong;
import javax.net.SocketFactory;
import org.eclipse.paho.mqttv5.client.IMqttToken;
import org.eclipse.paho.mqttv5.client.MqttActionListener;
import org.eclipse.paho.mqttv5.client.MqttAsyncClient;
import org.eclipse.paho.mqttv5.client.MqttCallback;
import org.eclipse.paho.mqttv5.client.MqttConnectionOptions;
import org.eclipse.paho.mqttv5.client.MqttDisconnectResponse;
import org.eclipse.paho.mqttv5.client.persist.MemoryPersistence;
import org.eclipse.paho.mqttv5.common.MqttException;
import org.eclipse.paho.mqttv5.common.MqttMessage;
import org.eclipse.paho.mqttv5.common.packet.MqttProperties;
import org.jspecify.annotations.Nullable;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;

/**
 * The simulator's own way to the broker, apart from the daemon's adapter so that a fault in one
 * does not hide a fault in the other. It connects again after every loss, with a new client each
 * time. Everything but the callbacks runs on the one thread that it is given; callbacks only hand
 * over to it.
 */
final class SimulatorLink {

  /** What comes out of the link, on its thread. */
  interface Listener {
    /** Connected and subscribed, the first time or again. */
    void connected();

    /** A message on a subscribed topic. */
    void message(String topic, String payload);
  }

  private static final Logger LOG = LoggerFactory.getLogger(SimulatorLink.class);

  private static final int KEEP_ALIVE_SECONDS = 5;
  private static final long RETRY_MILLIS = 500;
  private static final long CONNECT_DEADLINE_MILLIS = 5000;
  private static final long DISCONNECT_MILLIS = 500;

  /** Most messages handed to a client and not yet sent; more are refused. */
  static final int MAX_OUTSTANDING = 1000;

  /** Most messages received and not yet dealt with; more are dropped. */
  static final int MAX_WAITING = 1000;

  private final String uri;
  private final String[] topics;
  private final ScheduledExecutorService thread;
  private final Listener listener;
  private final String clientId = "simulated-site-" + UUID.randomUUID();
  private final AtomicInteger waiting = new AtomicInteger();
  private final AtomicLong dropped = new AtomicLong();
  private final AtomicLong connects = new AtomicLong();
  private final AtomicLong faults = new AtomicLong();
  private volatile @Nullable Session current;
  private boolean stopped;

  SimulatorLink(
      String brokerUri, Set<String> topics, ScheduledExecutorService thread, Listener listener) {
    this.uri = pahoUri(brokerUri);
    this.topics = topics.toArray(String[]::new);
    this.thread = thread;
    this.listener = listener;
  }

  private static String pahoUri(String uri) {
    if (uri.startsWith("mqtt://")) {
      return "tcp://" + uri.substring("mqtt://".length());
    }
    if (uri.startsWith("tcp://")) {
      return uri;
    }
    throw new IllegalArgumentException(uri + " is not mqtt://HOST:PORT");
  }

  boolean connected() {
    Session session = current;
    return session != null && session.ready;
  }

  /** How often it was connected and subscribed. */
  long connects() {
    return connects.get();
  }

  /** Messages that were not published or not dealt with because too many were waiting. */
  long dropped() {
    return dropped.get();
  }

  /** Errors of the link itself. */
  long faults() {
    return faults.get();
  }

  /** Connects, and goes on trying. */
  void connect() {
    if (stopped) {
      return;
    }
    try {
      Session session = new Session(new MqttAsyncClient(uri, clientId, new MemoryPersistence()));
      current = session;
      session.client.setCallback(session);
      session.client.connect(options(), null, then(session, () -> subscribe(session)));
      later(CONNECT_DEADLINE_MILLIS, () -> giveUpUnlessReady(session));
    } catch (MqttException failed) {
      LOG.debug("cannot connect to {}", uri, failed);
      lost(current);
    }
  }

  private static MqttConnectionOptions options() {
    MqttConnectionOptions options = new MqttConnectionOptions();
    options.setCleanStart(true);
    options.setAutomaticReconnect(false);
    options.setKeepAliveInterval(KEEP_ALIVE_SECONDS);
    options.setConnectionTimeout((int) TimeUnit.MILLISECONDS.toSeconds(CONNECT_DEADLINE_MILLIS));
    options.setSocketFactory(new NoDelaySocketFactory());
    return options;
  }

  private void subscribe(Session session) {
    if (session != current) {
      return;
    }
    if (topics.length == 0) {
      ready(session);
      return;
    }
    int[] qos = new int[topics.length];
    Arrays.fill(qos, 1);
    try {
      session.client.subscribe(topics, qos, null, then(session, () -> ready(session)));
    } catch (MqttException failed) {
      LOG.debug("cannot subscribe", failed);
      lost(session);
    }
  }

  private void ready(Session session) {
    if (session == current) {
      session.ready = true;
      connects.incrementAndGet();
      listener.connected();
    }
  }

  private void giveUpUnlessReady(Session session) {
    if (!session.ready) {
      lost(session);
    }
  }

  private void lost(@Nullable Session session) {
    if (session != current || stopped) {
      return;
    }
    current = null;
    if (session != null) {
      dispose(session);
    }
    later(RETRY_MILLIS, this::connect);
  }

  /** On a thread of its own, since the client may wait for its threads without end. */
  private static Thread dispose(Session session) {
    session.ready = false;
    Thread disposing =
        new Thread(
            () -> {
              try {
                session.client.disconnectForcibly(
                    0, DISCONNECT_MILLIS, session.client.isConnected());
                session.client.close(true);
              } catch (MqttException | RuntimeException failed) {
                LOG.debug("an old client did not close", failed);
              }
            },
            "simulated-site-dispose");
    disposing.setDaemon(true);
    disposing.start();
    return disposing;
  }

  /** Disconnects for good; returns the thread that does it, or null when nothing was open. */
  @Nullable Thread stop() {
    stopped = true;
    Session session = current;
    current = null;
    return session == null ? null : dispose(session);
  }

  /** Publishes, not retained; returns whether the client took it. */
  boolean publish(SiteRig.Message message, int qos) {
    Session session = current;
    if (session == null || !session.ready) {
      return false;
    }
    if (session.outstanding.get() >= MAX_OUTSTANDING) {
      dropped.incrementAndGet();
      return false;
    }
    session.outstanding.incrementAndGet();
    try {
      session.client.publish(
          message.topic(),
          new MqttMessage(message.payload().getBytes(StandardCharsets.UTF_8), qos, false, null),
          null,
          session);
      return true;
    } catch (MqttException failed) {
      LOG.debug("cannot publish on {}", message.topic(), failed);
      session.outstanding.decrementAndGet();
      dropped.incrementAndGet();
      return false;
    }
  }

  /** An answer that goes on when it is a good one, and gives the session up when it is not. */
  private MqttActionListener then(Session session, Runnable next) {
    return new MqttActionListener() {
      @Override
      public void onSuccess(IMqttToken token) {
        int[] codes = token.getReasonCodes();
        boolean refused = codes != null && Arrays.stream(codes).anyMatch(code -> code >= 0x80);
        post(refused ? () -> lost(session) : next);
      }

      @Override
      public void onFailure(@Nullable IMqttToken token, @Nullable Throwable why) {
        LOG.debug("no good answer from {}", uri, why);
        post(() -> lost(session));
      }
    };
  }

  private void post(Runnable task) {
    later(0, task);
  }

  private void later(long millis, Runnable task) {
    Runnable guarded =
        () -> {
          try {
            task.run();
          } catch (RuntimeException failed) {
            faults.incrementAndGet();
            LOG.error("the simulator's link failed", failed);
          }
        };
    try {
      ScheduledFuture<?> unused = thread.schedule(guarded, millis, TimeUnit.MILLISECONDS);
    } catch (RejectedExecutionException closing) {
      LOG.debug("already closed", closing);
    }
  }

  /** One client from connect to loss. */
  private final class Session implements MqttCallback, MqttActionListener {
    private final MqttAsyncClient client;
    private final AtomicInteger outstanding = new AtomicInteger();
    private volatile boolean ready;

    Session(MqttAsyncClient client) {
      this.client = client;
    }

    @Override
    public void messageArrived(String topic, MqttMessage message) {
      if (waiting.incrementAndGet() > MAX_WAITING) {
        waiting.decrementAndGet();
        dropped.incrementAndGet();
        return;
      }
      String payload = new String(message.getPayload(), StandardCharsets.UTF_8);
      post(
          () -> {
            waiting.decrementAndGet();
            listener.message(topic, payload);
          });
    }

    @Override
    public void disconnected(MqttDisconnectResponse response) {
      post(() -> lost(this));
    }

    @Override
    public void onSuccess(IMqttToken published) {
      outstanding.decrementAndGet();
    }

    @Override
    public void onFailure(@Nullable IMqttToken published, @Nullable Throwable why) {
      outstanding.decrementAndGet();
    }

    @Override
    public void mqttErrorOccurred(MqttException error) {
      LOG.debug("client error", error);
    }

    @Override
    public void deliveryComplete(IMqttToken token) {}

    @Override
    public void connectComplete(boolean reconnect, String serverUri) {}

    @Override
    public void authPacketArrived(int reasonCode, MqttProperties properties) {}
  }

  /** Sockets that send at once: with Nagle's delay a round trip takes some 40 ms more. */
  private static final class NoDelaySocketFactory extends SocketFactory {
    private static Socket quick(Socket socket) throws IOException {
      socket.setTcpNoDelay(true);
      return socket;
    }

    @Override
    public Socket createSocket() throws IOException {
      return quick(new Socket());
    }

    @Override
    public Socket createSocket(String host, int port) throws IOException {
      return quick(new Socket(host, port));
    }

    @Override
    public Socket createSocket(String host, int port, InetAddress local, int localPort)
        throws IOException {
      return quick(new Socket(host, port, local, localPort));
    }

    @Override
    public Socket createSocket(InetAddress host, int port) throws IOException {
      return quick(new Socket(host, port));
    }

    @Override
    public Socket createSocket(InetAddress host, int port, InetAddress local, int localPort)
        throws IOException {
      return quick(new Socket(host, port, local, localPort));
    }
  }
}

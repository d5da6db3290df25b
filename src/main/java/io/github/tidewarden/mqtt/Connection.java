package io.github.tidewarden.mqtt;

import io.github.tidewarden.gate.Command;
import java.time.Duration;
import java.util.Collection;
import java.util.List;
import java.util.Set;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import org.eclipse.paho.mqttv5.client.IMqttToken;
import org.eclipse.paho.mqttv5.client.MqttConnectionOptions;
import org.eclipse.paho.mqttv5.common.MqttException;
import org.eclipse.paho.mqttv5.common.MqttMessage;
import org.eclipse.paho.mqttv5.common.MqttSubscription;
import org.eclipse.paho.mqttv5.common.packet.MqttProperties;
import org.eclipse.paho.mqttv5.common.packet.MqttReturnCode;

/**
 * One attempt to connect and what comes of it, with a client of its own that is never used again.
 *
 * <pre>
 * CONNECTING --CONNACK--> UP --subscription granted--> SUBSCRIBED
 * any of them --failure, deadline, close--> ENDED
 * </pre>
 *
 * <p>A run goes out only on the heels of an echo that was sent after it was taken; a rest at once.
 *
 * <p>Liveness is judged by an echo through the broker and by the acknowledgement of commands, never
 * by what the library believes. Once ENDED, nothing counts that the old client still says.
 */
final class Connection {
  private static final int SEND_RETAINED = 0;
  private static final int SEND_RETAINED_NEVER = 2;
  private static final int FIRST_FAILURE_CODE = 0x80;

  /** What a connection tells its owner; called on any thread, so it must only enqueue. */
  interface Owner {
    void up();

    void refused(Set<String> filters, String why);

    void subscribed();

    /** The echo came back: the broker really passes messages on. */
    void alive();

    /**
     * It is of no more use.
     *
     * @param unsure commands that were taken and not acknowledged
     */
    void ended(Connection which, String why, boolean takenOver, List<Command> unsure);

    void lost(Command command, String why);

    void fault(Throwable thrown);
  }

  private enum State {
    /** Waiting for TCP, TLS and CONNACK. */
    CONNECTING,
    /** Rest may be sent. */
    UP,
    /** Runs may be sent. */
    SUBSCRIBED,
    /** Of no more use. */
    ENDED
  }

  private final LinkTiming timing;
  private final SiteTopics topics;
  private final Line line;
  private final Inbox inbox;
  private final Owner owner;
  private final Identity identity;
  private final PahoClient client;
  private final MqttConnectionOptions options;
  private final long startedNanos = System.nanoTime();

  private final Object lock = new Object();
  private final Outbox outbox = new Outbox();
  private final Echo echo;
  private State state = State.CONNECTING;
  private int grantsAwaited;

  /** Granted with less than was asked for, or not at all: nothing that comes on them counts. */
  private Set<String> refused = Set.of();

  private long grantAskedNanos;

  /**
   * Prepares an attempt.
   *
   * @param identity as whom to connect
   */
  Connection(
      LinkSettings settings,
      LinkTiming timing,
      Line line,
      Inbox inbox,
      Owner owner,
      Identity identity)
      throws MqttException {
    this.timing = timing;
    this.topics = settings.topics();
    this.line = line;
    this.inbox = inbox;
    this.owner = owner;
    this.identity = identity;
    this.echo = new Echo(timing, topics.echo(), identity);
    this.options = PahoClient.options(settings.credentials());
    if (!identity.leaving()) {
      MqttMessage will = new MqttMessage(settings.lastWill().clone(), PahoClient.QOS, true, null);
      options.setWill(topics.status(), will);
    }
    this.client = new PahoClient(identity.clientId(settings.clientId()), line);
    client.setCallback(new ConnectionCallback(this, owner));
  }

  /** Begins; returns at once. */
  void open() throws MqttException {
    client.connect(
        options,
        null,
        ConnectionCallback.listener(
            owner, this::connected, cause -> end("not connected: " + Reason.of(cause), false)));
  }

  private void connected(IMqttToken token) {
    synchronized (lock) {
      if (state != State.CONNECTING) {
        return;
      }
      MqttProperties properties = token.getResponseProperties();
      Integer allowed = properties == null ? null : properties.getReceiveMaximum();
      if (allowed != null) {
        outbox.narrow(allowed);
      }
      state = State.UP;
      echo.connected(System.nanoTime());
      subscribe(List.of(echo.topic()), this::sendEcho);
      owner.up();
    }
  }

  /** Takes a command; never blocks. */
  boolean command(Command command) {
    synchronized (lock) {
      boolean allowed = command.runs() ? state == State.SUBSCRIBED && !identity.leaving() : isUp();
      if (!allowed || !outbox.offer(Outgoing.command(command, System.nanoTime()), command)) {
        return false;
      }
      if (command.runs()) {
        sendEcho();
      } else {
        sendWhatFits();
      }
      return true;
    }
  }

  /** Takes a note or an answer; never blocks. */
  boolean say(Outgoing note) {
    synchronized (lock) {
      if (!isUp() || identity.leaving() || !outbox.offer(note)) {
        return false;
      }
      sendWhatFits();
      return true;
    }
  }

  private boolean isUp() {
    return state == State.UP || state == State.SUBSCRIBED;
  }

  /** Asks for the daemon's topics; the owner hears the outcome. */
  void subscribe(Collection<String> filters) {
    synchronized (lock) {
      if (isUp()) {
        subscribe(filters, this::granted);
      }
    }
  }

  private void granted() {
    state = State.SUBSCRIBED;
    owner.subscribed();
  }

  private void subscribe(Collection<String> filters, Runnable whenGranted) {
    MqttSubscription[] asked =
        filters.stream().distinct().map(this::subscription).toArray(MqttSubscription[]::new);
    grantsAwaited++;
    grantAskedNanos = System.nanoTime();
    try {
      client.subscribe(
          asked,
          null,
          ConnectionCallback.listener(
              owner,
              token -> subscriptionAnswered(asked, token.getReasonCodes(), whenGranted),
              cause -> end("subscription failed: " + Reason.of(cause), false)),
          new MqttProperties());
    } catch (MqttException | RuntimeException refused) {
      end("subscription failed: " + Reason.of(refused), false);
    }
  }

  private MqttSubscription subscription(String filter) {
    MqttSubscription subscription = new MqttSubscription(filter, PahoClient.QOS);
    subscription.setRetainHandling(
        filter.equals(echo.topic()) ? SEND_RETAINED : SEND_RETAINED_NEVER);
    // A request that was sent as retained can only be refused if the flag is left on it.
    subscription.setRetainAsPublished(filter.equals(topics.operate()));
    return subscription;
  }

  private void subscriptionAnswered(MqttSubscription[] asked, int[] codes, Runnable whenGranted) {
    synchronized (lock) {
      if (!isUp()) {
        return;
      }
      Grants grants = Grants.of(asked, codes);
      String missing = grants.missing(echo.topic(), topics.operate());
      if (missing != null) {
        end("subscription to " + missing + " not granted: " + grants.why(), false);
        return;
      }
      if (!grants.refused().isEmpty()) {
        refused = grants.refused();
        owner.refused(refused, grants.why());
      }
      grantsAwaited--;
      whenGranted.run();
    }
  }

  /** Looks at every deadline and sends the echo when it is due; to be called often. */
  void watch() {
    synchronized (lock) {
      long now = System.nanoTime();
      if (state == State.CONNECTING && isOver(timing.connect(), startedNanos, now)) {
        end("not connected: no answer within " + Reason.seconds(timing.connect()), false);
      } else if (isUp()) {
        watchConnected(now);
      }
    }
  }

  private void watchConnected(long now) {
    Long oldestCommand = outbox.oldestCommandMonoNanos();
    if (oldestCommand != null && isOver(timing.acknowledge(), oldestCommand, now)) {
      end("a command was not acknowledged within " + Reason.seconds(timing.acknowledge()), false);
    } else if (grantsAwaited > 0 && isOver(timing.echo(), grantAskedNanos, now)) {
      end("subscription not answered within " + Reason.seconds(timing.echo()), false);
    } else if (echo.isMissing(now)) {
      end("no echo through the broker for " + Reason.seconds(timing.echo()), false);
    } else if (echo.isDue(now)) {
      sendEcho();
    }
  }

  private static boolean isOver(Duration limit, long sinceNanos, long nowNanos) {
    return nowNanos - sinceNanos >= limit.toNanos();
  }

  private void sendEcho() {
    outbox.echo(echo.next(System.nanoTime()));
    sendWhatFits();
  }

  private void sendWhatFits() {
    Outgoing next = isUp() ? outbox.next(echo.provenNanos()) : null;
    while (next != null) {
      send(next);
      next = isUp() ? outbox.next(echo.provenNanos()) : null;
    }
  }

  private void send(Outgoing outgoing) {
    long secondsLeft = outgoing.expirySecondsLeft(System.nanoTime());
    Command command = outgoing.command();
    if (secondsLeft <= 0 && command != null) {
      outbox.done(outgoing);
      owner.lost(command, "waited longer than its expiry");
      return;
    }
    try {
      client.publish(
          outgoing.topic(),
          PahoClient.message(outgoing, secondsLeft),
          null,
          ConnectionCallback.listener(
              owner,
              token -> acknowledged(outgoing, token.getReasonCodes()),
              cause -> end("connection lost: " + Reason.of(cause), false)));
    } catch (MqttException | RuntimeException refused) {
      end("a message was refused by the client library: " + Reason.of(refused), false);
    }
  }

  private void acknowledged(Outgoing outgoing, int[] codes) {
    synchronized (lock) {
      if (!isUp() || !outbox.done(outgoing)) {
        return;
      }
      Command command = outgoing.command();
      int code = codes == null || codes.length == 0 ? 0 : codes[0];
      if (code >= FIRST_FAILURE_CODE && command != null) {
        owner.lost(command, "refused by the broker: " + Reason.code(code));
      }
      sendWhatFits();
      lock.notifyAll();
    }
  }

  void arrived(String topic, MqttMessage message) {
    synchronized (lock) {
      if (!isUp()) {
        return;
      }
      if (topic.equals(echo.topic())) {
        echoArrived(message);
        return;
      }
      if (refused.contains(topic)) {
        return;
      }
    }
    MqttProperties properties = message.getProperties();
    inbox.arrived(
        topic,
        message.getPayload(),
        message.isRetained(),
        properties == null ? null : properties.getResponseTopic(),
        properties == null ? null : properties.getCorrelationData());
  }

  private void echoArrived(MqttMessage message) {
    switch (echo.arrived(message.getPayload(), message.isRetained(), System.nanoTime())) {
      case ALIVE -> {
        owner.alive();
        sendWhatFits();
      }
      case TAKEN_OVER -> end("another daemon of this site has been at the broker", true);
      case NOTHING -> {}
    }
  }

  void disconnected(int code, String why) {
    end(why, code == MqttReturnCode.RETURN_CODE_SESSION_TAKEN_OVER);
  }

  /** Ends it once, whatever its state; never blocks. The socket is the owner's to abandon. */
  void end(String why, boolean takenOver) {
    synchronized (lock) {
      if (state != State.ENDED) {
        owner.ended(this, why, takenOver, leave());
      }
    }
  }

  private List<Command> leave() {
    state = State.ENDED;
    lock.notifyAll();
    return outbox.clear();
  }

  /** Waits until everything is delivered, says good-bye, and ends; returns by the deadline. */
  void finish(long deadlineNanos) throws InterruptedException {
    if (drained(deadlineNanos)) {
      CountDownLatch gone = new CountDownLatch(1);
      line.partInPeace();
      try {
        client.disconnect(
            0,
            null,
            ConnectionCallback.listener(owner, token -> gone.countDown(), c -> gone.countDown()),
            MqttReturnCode.RETURN_CODE_SUCCESS,
            new MqttProperties());
        gone.await(Math.max(0, deadlineNanos - System.nanoTime()), TimeUnit.NANOSECONDS);
      } catch (MqttException alreadyGone) {
        owner.fault(alreadyGone);
      }
    }
  }

  private boolean drained(long deadlineNanos) throws InterruptedException {
    synchronized (lock) {
      long left = deadlineNanos - System.nanoTime();
      while (isUp() && !outbox.isEmpty() && left > 0) {
        TimeUnit.NANOSECONDS.timedWait(lock, left);
        left = deadlineNanos - System.nanoTime();
      }
      boolean connected = isUp();
      leave().forEach(command -> owner.lost(command, "closed before it was acknowledged"));
      return connected;
    }
  }

  /** Frees the socket, and with it the library's threads; returns at once. */
  void abandon() {
    line.abandon();
  }
}

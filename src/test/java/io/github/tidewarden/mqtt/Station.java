package io.github.tidewarden.mqtt;

import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;

import io.github.tidewarden.gate.Command;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Set;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import javax.net.ssl.SSLSocketFactory;

/**
 * A link with its inbox, and a listener that does what the daemon does: rest first, then subscribe.
 */
final class Station implements LinkListener, AutoCloseable {
  static final String SITE = "harbour-lab";
  static final SiteTopics TOPICS = new SiteTopics(SITE);
  static final String READING = "lab/lagoon/redox/a";
  static final Duration PATIENCE = Duration.ofSeconds(20);

  /** Short enough for tests, long enough for a busy machine. */
  static final LinkTiming QUICK =
      new LinkTiming(
          Duration.ofSeconds(2),
          Duration.ofSeconds(2),
          Duration.ofMillis(500),
          Duration.ofSeconds(3),
          Duration.ofMillis(20),
          Duration.ofMillis(200));

  private final List<String> events = new CopyOnWriteArrayList<>();
  private final List<Command> restOnUp;
  private final boolean subscribesOnUp;
  private final List<Delivery> received = new ArrayList<>();
  private final Set<String> overflowed = new LinkedHashSet<>();
  private final List<Delivery> refused = new CopyOnWriteArrayList<>();
  final Inbox inbox =
      new Inbox(TOPICS.operate(), Instant::now, System::nanoTime, this::arrived, refused::add);
  final PahoLink link;
  volatile Runnable onArrival = () -> {};

  private Station(
      LinkSettings settings,
      LinkTiming timing,
      SSLSocketFactory tls,
      boolean subscribesOnUp,
      Command... rest) {
    this.subscribesOnUp = subscribesOnUp;
    this.restOnUp = List.of(rest);
    this.link = new PahoLink(settings, inbox, timing, tls);
    link.start(this);
  }

  static Station at(URI broker, Command... restOnUp) {
    return at(broker, QUICK, restOnUp);
  }

  static Station at(URI broker, LinkTiming timing, Command... restOnUp) {
    return new Station(
        settings(broker, Credentials.NONE),
        timing,
        (SSLSocketFactory) SSLSocketFactory.getDefault(),
        true,
        restOnUp);
  }

  /** One that does nothing by itself when it comes up. */
  static Station silentAt(URI broker) {
    return new Station(
        settings(broker, Credentials.NONE),
        QUICK,
        (SSLSocketFactory) SSLSocketFactory.getDefault(),
        false);
  }

  static Station at(URI broker, Credentials credentials) {
    return new Station(
        settings(broker, credentials),
        QUICK,
        (SSLSocketFactory) SSLSocketFactory.getDefault(),
        true);
  }

  static Station at(URI broker, SSLSocketFactory tls) {
    return new Station(settings(broker, Credentials.NONE), QUICK, tls, true);
  }

  /** One of another site. */
  static Station named(String site, URI broker) {
    return new Station(
        new LinkSettings(broker, site, Credentials.NONE, bytes("gone")),
        QUICK,
        (SSLSocketFactory) SSLSocketFactory.getDefault(),
        true);
  }

  private static LinkSettings settings(URI broker, Credentials credentials) {
    return new LinkSettings(broker, SITE, credentials, bytes("gone"));
  }

  static byte[] bytes(String text) {
    return text.getBytes(StandardCharsets.UTF_8);
  }

  static Note note(String topic, String payload) {
    return new Note(topic, bytes(payload), false);
  }

  @Override
  public void up() {
    events.add("up");
    restOnUp.forEach(link::command);
    if (subscribesOnUp) {
      link.subscribe(List.of(READING, TOPICS.operate()));
    }
  }

  @Override
  public void down(String why) {
    events.add("down " + why);
  }

  @Override
  public void refused(Set<String> topics, String why) {
    events.add("refused " + topics + " " + why);
  }

  @Override
  public void subscribed() {
    events.add("subscribed");
  }

  @Override
  public void takenOver() {
    events.add("taken over");
  }

  @Override
  public void lost(Command command, String why) {
    events.add("lost " + command.payload() + ": " + why);
  }

  @Override
  public void fault(Throwable thrown) {
    events.add("fault " + thrown);
  }

  private void arrived() {
    onArrival.run();
  }

  List<String> events() {
    return events;
  }

  List<Delivery> refusedRequests() {
    return refused;
  }

  long count(String beginning) {
    return events.stream().filter(event -> event.startsWith(beginning)).count();
  }

  Station awaitEvents(String beginning, int times) {
    await(beginning)
        .pollInterval(Duration.ofMillis(10))
        .atMost(PATIENCE)
        .until(() -> count(beginning) >= times);
    return this;
  }

  Station awaitSubscribed() {
    return awaitEvents("subscribed", 1);
  }

  /** Drains the inbox and returns all that has come so far, in order. */
  List<Delivery> received() {
    Inbox.Batch batch = inbox.drain();
    received.addAll(batch.deliveries());
    overflowed.addAll(batch.overflowed());
    return received;
  }

  Set<String> overflowed() {
    received();
    return overflowed;
  }

  List<Delivery> awaitReceived(int count) {
    await("readings")
        .pollInterval(Duration.ofMillis(10))
        .atMost(PATIENCE)
        .until(() -> received().size() >= count);
    return received;
  }

  /** As {@link #awaitReceived}, for measuring: without the pauses of polling. */
  List<Delivery> awaitReceivedBusily(int count) {
    long deadline = System.nanoTime() + PATIENCE.toNanos();
    while (received().size() < count && System.nanoTime() - deadline < 0) {
      Thread.onSpinWait();
    }
    assertThat(received).hasSizeGreaterThanOrEqualTo(count);
    return received;
  }

  static String text(Delivery delivery) {
    return new String(delivery.payload(), StandardCharsets.UTF_8);
  }

  /** Lets real time pass where a broker's clock is on the other side. */
  static void letPass(Duration time) {
    try {
      new CountDownLatch(1).await(time.toMillis(), TimeUnit.MILLISECONDS);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }

  @Override
  public void close() {
    link.close(Duration.ofSeconds(2));
  }
}

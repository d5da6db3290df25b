package io.github.tidewarden.mqtt;

import static io.github.tidewarden.mqtt.Station.TOPICS;
import static io.github.tidewarden.mqtt.Station.bytes;
import static io.github.tidewarden.mqtt.Station.letPass;
import static io.github.tidewarden.mqtt.Station.note;
import static io.github.tidewarden.mqtt.Station.text;
import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.awaitility.Awaitility.await;

import io.github.tidewarden.WaitsForBrokers;
import io.github.tidewarden.broker.FaultProxy;
import io.github.tidewarden.broker.FaultProxy.Mode;
import io.github.tidewarden.broker.TestBroker;
import io.github.tidewarden.gate.Command;
import io.github.tidewarden.gate.TestCommands;
import java.net.URI;
import java.time.Duration;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.eclipse.paho.mqttv5.common.MqttMessage;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;

/** What the link promises, at every broker. */
@WaitsForBrokers
@Timeout(value = 60, threadMode = Timeout.ThreadMode.SEPARATE_THREAD)
abstract class LinkContract {
  static final String SET = "lab/lagoon/ozone/set";
  static final Command RUN = TestCommands.run(SET, "on 30", 30, 10);
  static final Command REST = TestCommands.rest(SET, "off");

  private TestBroker broker;
  URI uri;

  /** A broker that is not started yet. */
  abstract TestBroker newBroker();

  TestBroker broker() {
    return broker;
  }

  @BeforeEach
  void startBroker() {
    broker = newBroker();
    uri = broker.start();
  }

  @AfterEach
  void closeBroker() {
    broker.close();
  }

  @Test
  void carriesACommandWithItsExpiryAndNeverRetained() {
    try (Peer device = Peer.at(uri, "device").subscribe(SET);
        Station station = Station.at(uri).awaitSubscribed()) {
      assertThat(station.link.command(RUN)).isTrue();

      Peer.Heard heard = device.next();
      assertThat(heard.payload()).isEqualTo("on 30");
      assertThat(heard.message().getQos()).isEqualTo(1);
      assertThat(heard.message().isRetained()).isFalse();
      assertThat(heard.message().getProperties().getMessageExpiryInterval()).isBetween(9L, 10L);

      assertThat(station.link.command(REST)).isTrue();
      Peer.Heard rest = device.next();
      assertThat(rest.payload()).isEqualTo("off");
      assertThat(rest.message().getProperties().getMessageExpiryInterval()).isNull();
    }
  }

  @Test
  void aRunThatExpiredWhileTheDeviceWasAwayDoesNotArrive() {
    Peer.withSessionAt(uri, "device").subscribe(SET).close();
    try (Station station = Station.at(uri).awaitSubscribed()) {
      station.link.command(TestCommands.run(SET, "stale on", 6, 1));
      letPass(Duration.ofMillis(2500));
      station.link.command(REST);
      try (Peer device = Peer.withSessionAt(uri, "device")) {
        assertThat(device.next().payload()).isEqualTo("off");
      }
    }
  }

  @Test
  void takesRestAtOnceAndNoRunBeforeItsSubscriptionStands() {
    try (Peer device = Peer.at(uri, "device").subscribe(SET);
        Station station = Station.silentAt(uri).awaitEvents("up", 1)) {
      assertThat(station.link.command(RUN)).isFalse();
      assertThat(station.link.command(REST)).isTrue();
      assertThat(device.next().payload()).isEqualTo("off");

      station.link.subscribe(List.of(Station.READING));
      station.awaitSubscribed();
      assertThat(station.link.command(RUN)).isTrue();
      assertThat(device.next().payload()).isEqualTo("on 30");
    }
  }

  @Test
  void givesReadingsInOrderOfArrivalWithBothClocks() {
    try (Peer probe = Peer.at(uri, "probe");
        Station station = Station.at(uri).awaitSubscribed()) {
      long before = System.nanoTime();
      for (int mv = 320; mv < 330; mv++) {
        probe.publish(Station.READING, Integer.toString(mv));
      }
      List<Delivery> received = station.awaitReceived(10);
      assertThat(received.stream().map(Station::text))
          .containsExactly("320", "321", "322", "323", "324", "325", "326", "327", "328", "329");
      assertThat(received.stream().map(Delivery::number))
          .containsExactly(1L, 2L, 3L, 4L, 5L, 6L, 7L, 8L, 9L, 10L);
      assertThat(received.get(0).monoNanos() - before).isPositive();
    }
  }

  @Test
  void aRetainedReadingNeverArrivesAndALiveOneSentAsRetainedDoes() {
    try (Peer probe = Peer.at(uri, "probe")) {
      probe.publishRetained(Station.READING, "320");
      try (Station station = Station.at(uri).awaitSubscribed()) {
        probe.publishRetained(Station.READING, "321");
        List<Delivery> received = station.awaitReceived(1);
        assertThat(received.stream().map(Station::text)).containsExactly("321");
        assertThat(received.get(0).retained()).isFalse();
      }
    }
  }

  @Test
  void aRequestSentAsRetainedIsRefusedAndNotDroppedSilently() {
    try (Peer keeper = Peer.at(uri, "keeper");
        Station station = Station.at(uri).awaitSubscribed()) {
      keeper.publishRetained(TOPICS.operate(), "reset");
      await().atMost(Station.PATIENCE).until(() -> station.refusedRequests().size() == 1);
      assertThat(station.refusedRequests().get(0).retained()).isTrue();
      assertThat(station.received()).isEmpty();
    }
  }

  @Test
  void theLastWillSpeaksAfterACutAndNotAfterAGoodBye() {
    try (Peer watcher = Peer.at(uri, "watcher").subscribe(TOPICS.status());
        FaultProxy proxy = new FaultProxy(uri);
        Station station = Station.at(proxy.uri()).awaitSubscribed()) {
      proxy.cut();
      assertThat(watcher.next().payload()).isEqualTo("gone");

      station.awaitEvents("subscribed", 2);
      station.link.publish(new Note(TOPICS.status(), bytes("stopped"), true));
      station.close();
      assertThat(watcher.next().payload()).isEqualTo("stopped");
      assertThat(watcher.next(Duration.ofMillis(500))).isNull();
      try (Peer late = Peer.at(uri, "late").subscribe(TOPICS.status())) {
        assertThat(late.next().payload()).isEqualTo("stopped");
      }
    }
  }

  @Test
  void comesBackAfterTheBrokerWasKilledAndForgetsWhatCouldNotBeSent() {
    try (Station station = Station.at(uri, REST).awaitSubscribed()) {
      broker.kill();
      station.awaitEvents("down", 1);
      assertThat(station.link.command(RUN)).isFalse();
      assertThat(station.link.publish(note(TOPICS.state("lagoon"), "resting"))).isFalse();
      // Long enough for several attempts that fail.
      station.awaitEvents("down not connected", 3);

      broker.start();
      station.awaitEvents("subscribed", 2);
      try (Peer probe = Peer.at(uri, "probe")) {
        probe.publish(Station.READING, "322");
        assertThat(text(station.awaitReceived(1).get(0))).isEqualTo("322");
      }
    }
  }

  @Test
  void aBrokerThatIsNotThereYetIsFoundWhenItComes() {
    broker.kill();
    try (Station station = Station.at(uri)) {
      station.awaitEvents("down not connected", 3);
      broker.start();
      station.awaitSubscribed();
    }
  }

  @Test
  void theFirstCommandAfterACutIsRest() {
    try (Peer device = Peer.at(uri, "device").subscribe(SET);
        FaultProxy proxy = new FaultProxy(uri);
        Station station = Station.at(proxy.uri(), REST).awaitSubscribed()) {
      assertThat(device.next().payload()).isEqualTo("off");
      proxy.cut();
      station.awaitEvents("subscribed", 2);
      station.link.command(RUN);
      assertThat(device.next().payload()).isEqualTo("off");
      assertThat(device.next().payload()).isEqualTo("on 30");
    }
  }

  @Test
  void aBurstIntoASlowReaderMarksTheTopicAndHangsNothing() {
    try (Peer probe = Peer.at(uri, "probe");
        Peer device = Peer.at(uri, "device").subscribe(SET);
        Station station = Station.at(uri).awaitSubscribed()) {
      for (int i = 0; i < 5000; i++) {
        probe.publish(Station.READING, new MqttMessage(bytes("320"), 0, false, null));
      }
      probe.publish(TOPICS.operate(), "after the burst");
      await()
          .atMost(Station.PATIENCE)
          .until(
              () -> station.received().stream().anyMatch(d -> d.topic().equals(TOPICS.operate())));
      assertThat(station.overflowed()).containsExactly(Station.READING);

      assertThat(station.link.command(RUN)).isTrue();
      assertThat(device.next().payload()).isEqualTo("on 30");
      assertThat(station.count("down")).isZero();
    }
  }

  @Test
  void aPayloadTooLargeMarksItsTopicAndAPacketTooLargeHurtsNothing() {
    try (Peer probe = Peer.at(uri, "probe");
        Station station = Station.at(uri).awaitSubscribed()) {
      probe.publish(Station.READING, new byte[Inbox.LARGEST_PAYLOAD + 1], false);
      await().atMost(Station.PATIENCE).until(() -> !station.overflowed().isEmpty());
      assertThat(station.received()).isEmpty();

      probe.publish(Station.READING, new byte[(int) PahoClient.LARGEST_PACKET - 1000], false);
      probe.publish(Station.READING, "323");
      assertThat(text(station.awaitReceived(1).get(0))).isEqualTo("323");
      assertThat(station.count("down")).isZero();
    }
  }

  @Test
  void aTakeoverIsToldAndLeavesNothingButRest() {
    try (Peer device = Peer.at(uri, "device").subscribe(SET);
        Station first = Station.at(uri).awaitSubscribed();
        Station second = Station.at(uri).awaitSubscribed()) {
      first.awaitEvents("taken over", 1);
      await().atMost(Station.PATIENCE).until(() -> first.link.command(REST));
      assertThat(device.next().payload()).isEqualTo("off");
      assertThat(first.link.command(RUN)).isFalse();
      assertThat(first.link.publish(note(TOPICS.status(), "mine"))).isFalse();

      // Longer than any pause between attempts: they do not drive each other out.
      letPass(Duration.ofMillis(500));
      assertThat(first.count("taken over")).isEqualTo(1);
      assertThat(second.count("taken over")).isZero();
      await().atMost(Station.PATIENCE).until(() -> second.link.command(RUN));
      assertThat(device.next().payload()).isEqualTo("on 30");
    }
  }

  @Test
  void aDaemonThatStartsAgainFindsItsForerunnersMarkAndStays() {
    Station.at(uri).awaitSubscribed().close();
    try (FaultProxy proxy = new FaultProxy(uri);
        Station station = Station.at(proxy.uri()).awaitSubscribed()) {
      proxy.cut();
      station.awaitEvents("subscribed", 2);
      letPass(Duration.ofMillis(700));
      assertThat(station.count("taken over")).isZero();
      assertThat(station.count("down")).isEqualTo(1);
    }
  }

  @Test
  void answersARequestWithItsCorrelation() throws Exception {
    try (Station station = Station.at(uri).awaitSubscribed()) {
      CompletableFuture<Optional<byte[]>> asked =
          CompletableFuture.supplyAsync(() -> ask("reset redox-ceiling", Duration.ofSeconds(15)));
      Delivery request = station.awaitReceived(1).get(0);
      assertThat(text(request)).isEqualTo("reset redox-ceiling");
      assertThat(request.responseTopic()).startsWith("tidewarden/harbour-lab/answer/");
      assertThat(
              station.link.reply(
                  request.responseTopic(), request.correlation(), bytes("refused: cause stands")))
          .isTrue();
      assertThat(asked.get(20, TimeUnit.SECONDS).map(String::new))
          .contains("refused: cause stands");
    }
  }

  @Test
  void aRequestThatNobodyAnswersComesBackEmpty() {
    assertThat(ask("note filter changed", Duration.ofSeconds(5))).isEmpty();
  }

  private Optional<byte[]> ask(String request, Duration timeout) {
    try {
      return Requester.ask(uri, Credentials.NONE, Station.SITE, bytes(request), timeout);
    } catch (Exception e) {
      throw new IllegalStateException(e);
    }
  }

  @Test
  void speaksOnNoTopicButItsOwn() {
    try (Peer device = Peer.at(uri, "device").subscribe(SET);
        Station station = Station.at(uri).awaitSubscribed()) {
      assertThatThrownBy(() -> station.link.publish(note(SET, "on 30")))
          .isInstanceOf(IllegalArgumentException.class);
      assertThatThrownBy(() -> station.link.publish(note("tidewarden/elsewhere/status", "x")))
          .isInstanceOf(IllegalArgumentException.class);
      // A request names where it wants its answer; that must not reach an actuator.
      assertThat(station.link.reply(SET, null, bytes("on 30"))).isFalse();
      assertThat(station.link.reply(null, null, bytes("on 30"))).isFalse();
      station.link.command(REST);
      assertThat(device.next().payload()).isEqualTo("off");
    }
  }

  @Test
  void aBlackHoleIsNoticedByTheMissingEchoAndLeft() {
    try (FaultProxy proxy = new FaultProxy(uri);
        Station station = Station.at(proxy.uri()).awaitSubscribed()) {
      proxy.set(Mode.BLACK_HOLE);
      station.awaitEvents("down no echo", 1);
      proxy.set(Mode.PASS);
      station.awaitEvents("subscribed", 2);
    }
  }

  @Test
  void aCommandThatIsNotAcknowledgedLosesTheLinkAndIsTold() {
    try (FaultProxy proxy = new FaultProxy(uri);
        Station station = Station.at(proxy.uri()).awaitSubscribed()) {
      proxy.set(Mode.MUTE);
      long sent = System.nanoTime();
      assertThat(station.link.command(RUN)).isTrue();
      station.awaitEvents("down a command was not acknowledged", 1);
      assertThat(Duration.ofNanos(System.nanoTime() - sent))
          .isBetween(Duration.ofSeconds(2), Duration.ofSeconds(4));
      assertThat(station.count("lost on 30")).isEqualTo(1);
    }
  }

  @Test
  void aPeerThatNeverAnswersTheConnectIsGivenUpAndTriedAgain() {
    try (FaultProxy proxy = new FaultProxy(uri)) {
      proxy.set(Mode.BLACK_HOLE);
      try (Station station = Station.at(proxy.uri())) {
        station.awaitEvents("down not connected: no answer within 2.0 s", 2);
        assertThat(proxy.accepted()).isGreaterThanOrEqualTo(2);
        assertThat(station.count("up")).isZero();
        proxy.set(Mode.PASS);
        station.awaitSubscribed();
      }
    }
  }

  @Test
  void restOvertakesEverythingThatWaits() {
    try (Peer device = Peer.at(uri, "device").subscribe(SET, TOPICS.state("lagoon"));
        FaultProxy proxy = new FaultProxy(uri);
        Station station = Station.at(proxy.uri()).awaitSubscribed()) {
      proxy.delay(Duration.ofMillis(100));
      for (int i = 0; i < 100; i++) {
        assertThat(station.link.publish(note(TOPICS.state("lagoon"), "state " + i))).isTrue();
      }
      assertThat(station.link.command(REST)).isTrue();
      int overtaken = 0;
      while (!device.next().payload().equals("off")) {
        overtaken++;
      }
      assertThat(overtaken).isLessThanOrEqualTo(Outbox.NOTES_WINDOW);
      proxy.delay(Duration.ZERO);
      int after = 0;
      while (!device.next().payload().equals("state 99")) {
        after++;
      }
      assertThat(overtaken + after).isEqualTo(99);
    }
  }

  @Test
  void leavesNoThreadsBehindAfterManyConnectionsAndUsesNoWallClockTimer() {
    try (FaultProxy proxy = new FaultProxy(uri);
        Station station = Station.named(leakCheck(), proxy.uri()).awaitSubscribed()) {
      for (int round = 2; round <= 21; round++) {
        proxy.cut();
        station.awaitEvents("subscribed", round);
      }
      await("old threads end").atMost(Station.PATIENCE).until(() -> libraryThreads().count() <= 3);
      assertThat(timerThreads()).isEmpty();
      assertThat(station.count("fault")).isZero();
    }
    await("all threads end").atMost(Station.PATIENCE).until(() -> libraryThreads().count() == 0);
  }

  /** A site of this class alone, since the threads are told apart by their names. */
  private String leakCheck() {
    return "leak-check-" + getClass().getSimpleName();
  }

  private Stream<String> libraryThreads() {
    return Thread.getAllStackTraces().keySet().stream()
        .map(Thread::getName)
        .filter(name -> name.startsWith("MQTT ") && name.contains(leakCheck()));
  }

  private List<String> timerThreads() {
    return Thread.getAllStackTraces().keySet().stream()
        .filter(thread -> thread.getClass().getName().equals("java.util.TimerThread"))
        .map(Thread::getName)
        .filter(name -> name.startsWith("MQTT") && name.contains(leakCheck()))
        .toList();
  }

  @Test
  void aThrowingListenerAndAThrowingInboxAreToldAsFaults() {
    try (Peer probe = Peer.at(uri, "probe");
        Station station = Station.at(uri).awaitSubscribed()) {
      station.onArrival =
          () -> {
            throw new IllegalStateException("the reader is broken");
          };
      probe.publish(Station.READING, "324");
      station.awaitEvents("fault java.lang.IllegalStateException: the reader is broken", 1);

      station.onArrival = () -> {};
      probe.publish(Station.READING, "325");
      assertThat(text(station.awaitReceived(2).get(1))).isEqualTo("325");
      assertThat(station.count("down")).isZero();
    }
  }

  @Test
  void fromAReadingToARestTakesFarLessThanADelayedAcknowledgement() {
    int rounds = 200;
    long[] nanos = new long[rounds];
    try (Peer device = Peer.at(uri, "device").subscribe(SET);
        Peer probe = Peer.at(uri, "probe");
        Station station = Station.at(uri).awaitSubscribed()) {
      station.onArrival = () -> station.link.command(REST);
      for (int i = 0; i < rounds; i++) {
        long sent = System.nanoTime();
        probe.publish(Station.READING, "400");
        assertThat(device.next().payload()).isEqualTo("off");
        nanos[i] = System.nanoTime() - sent;
        station.inbox.drain();
      }
    }
    Arrays.sort(nanos);
    double medianMillis = nanos[rounds / 2] / 1e6;
    System.out.printf(
        "%s: QoS 1 from a reading to a rest, median %.3f ms%n",
        broker.getClass().getSimpleName(), medianMillis);
    // Held back, nearly every round takes 40 ms, the delay of an acknowledgement on Linux (seen;
    // the figure is common practice). A tenth must be quicker by half: a busy machine slows others.
    assertThat(nanos[rounds / 10]).isLessThan(20_000_000L);
  }

  @Test
  void closesInTimeWhenTheBrokerHasFallenSilent() {
    try (FaultProxy proxy = new FaultProxy(uri)) {
      Station station = Station.at(proxy.uri()).awaitSubscribed();
      proxy.set(Mode.MUTE);
      station.link.command(REST);
      long began = System.nanoTime();
      station.link.close(Duration.ofMillis(700));
      assertThat(Duration.ofNanos(System.nanoTime() - began)).isLessThan(Duration.ofMillis(1500));
      assertThat(station.count("lost off: closed")).isEqualTo(1);
    }
  }
}

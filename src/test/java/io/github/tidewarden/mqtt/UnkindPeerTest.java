package io.github.tidewarden.mqtt;

import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;

import io.github.tidewarden.WaitsForBrokers;
import io.github.tidewarden.broker.ScriptedBroker;
import io.github.tidewarden.gate.TestCommands;
import java.util.List;
import java.util.concurrent.CopyOnWriteArrayList;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;

/** What a real broker cannot easily be made to do. */
@WaitsForBrokers
@Timeout(value = 60, threadMode = Timeout.ThreadMode.SEPARATE_THREAD)
class UnkindPeerTest {
  private static final String SET = "lab/lagoon/ozone/set";

  private final ScriptedBroker broker = new ScriptedBroker();

  @AfterEach
  void closeBroker() {
    broker.close();
  }

  @Test
  void aTopicThatIsRefusedIsToldAndTheOthersGoOn() {
    broker.granting(filter -> filter.equals(Station.READING) ? 0x87 : 1);
    try (Station station = Station.at(broker.uri()).awaitSubscribed()) {
      assertThat(station.events())
          .containsExactly("up", "refused [lab/lagoon/redox/a] 0x87", "subscribed");
      assertThat(station.link.command(TestCommands.run(SET, "on", 30, 10))).isTrue();
    }
  }

  @Test
  void aTopicGrantedWithQosZeroIsNotEnoughAndNothingOfItIsHeard() {
    broker.granting(filter -> filter.equals(Station.READING) ? 0 : 1);
    try (Station station = Station.at(broker.uri()).awaitSubscribed()) {
      station.awaitEvents("refused [lab/lagoon/redox/a] 0x00", 1);
      station.link.command(TestCommands.rest(Station.READING, "320")); // it comes back from here
      station.link.command(TestCommands.rest("lab/lagoon/air", "8"));
      assertThat(station.awaitReceived(1))
          .extracting(Delivery::topic)
          .containsExactly("lab/lagoon/air");
    }
  }

  @Test
  void withoutItsRequestsOrItsEchoTheConnectionEnds() {
    for (String needed : List.of(Station.TOPICS.operate(), Station.TOPICS.echo())) {
      broker.granting(filter -> filter.equals(needed) ? 0x87 : 1);
      try (Station station = Station.at(broker.uri())) {
        station.awaitEvents("down subscription to " + needed + " not granted: 0x87", 2);
        assertThat(station.count("subscribed")).isZero();
      }
    }
  }

  @Test
  void aPeerThatClosesAtOnceIsTriedAgainAndLeavesNoThreads() {
    broker.closingAtOnce();
    try (Station station = Station.named("closed-at-once", broker.uri())) {
      await().atMost(Station.PATIENCE).until(() -> broker.connections() >= 10);
      station.awaitEvents("down not connected", 9);
    }
    await("threads end").atMost(Station.PATIENCE).until(() -> threads("closed-at-once") == 0);
  }

  private static long threads(String site) {
    return Thread.getAllStackTraces().keySet().stream()
        .filter(thread -> thread.getName().contains("tidewarden-" + site))
        .count();
  }

  @Test
  void keepsWithinTheWindowThatTheBrokerAllows() {
    broker.receiveMaximum(2);
    try (Station station = Station.at(broker.uri()).awaitSubscribed()) {
      for (int i = 0; i < 200; i++) {
        station.link.publish(Station.note(Station.TOPICS.state("lagoon"), "state " + i));
        station.link.command(TestCommands.rest(SET + "/" + i, "off"));
      }
      assertThat(station.link.command(TestCommands.run(SET, "on", 30, 10))).isTrue();
      Station.letPass(Station.QUICK.acknowledge().plusMillis(500));
      assertThat(station.count("down")).isZero();
      assertThat(station.count("lost")).isZero();
    }
  }

  @Test
  void notesThatStandStillDoNotKeepACommandBack() {
    broker.acknowledging(topic -> topic.endsWith("/state") ? -1 : 0);
    try (Station station = Station.at(broker.uri()).awaitSubscribed()) {
      for (int i = 0; i < Outbox.MOST_NOTES + Outbox.NOTES_WINDOW; i++) {
        assertThat(station.link.publish(Station.note(Station.TOPICS.state("lagoon"), "s")))
            .isTrue();
      }
      assertThat(station.link.publish(Station.note(Station.TOPICS.state("lagoon"), "s"))).isFalse();
      assertThat(station.link.command(TestCommands.rest(SET, "off"))).isTrue();
      Station.letPass(Station.QUICK.acknowledge().plusMillis(500));
      assertThat(station.count("lost")).isZero();
      assertThat(station.count("down")).isZero();
    }
  }

  @Test
  void aRunIsNotWrittenToABrokerWhoseEchoDoesNotComeBack() {
    try (Station station = Station.at(broker.uri()).awaitSubscribed()) {
      List<String> written = new CopyOnWriteArrayList<>();
      broker.acknowledging(
          topic -> {
            written.add(topic);
            return topic.endsWith("/echo") ? -1 : 0;
          });
      station.link.command(TestCommands.run(SET, "on", 30, 10));
      station.link.command(TestCommands.rest(SET + "/other", "off"));
      station.awaitEvents("down a command was not acknowledged", 1);
      assertThat(station.count("lost on: ")).isEqualTo(1);
      assertThat(written).contains(SET + "/other").doesNotContain(SET);
    }
  }
}

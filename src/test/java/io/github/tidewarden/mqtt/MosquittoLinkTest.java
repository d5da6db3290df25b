package io.github.tidewarden.mqtt;

import static io.github.tidewarden.mqtt.Station.TOPICS;
import static io.github.tidewarden.mqtt.Station.bytes;
import static io.github.tidewarden.mqtt.Station.letPass;
import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.awaitility.Awaitility.await;

import io.github.tidewarden.broker.FaultProxy;
import io.github.tidewarden.broker.FaultProxy.Mode;
import io.github.tidewarden.broker.Mosquitto;
import io.github.tidewarden.broker.TestBroker;
import io.github.tidewarden.gate.TestCommands;
import java.io.IOException;
import java.time.Duration;
import org.junit.jupiter.api.Test;

/** The contract at a real Mosquitto, and what only a real one can be made to do. */
class MosquittoLinkTest extends LinkContract {
  @Override
  TestBroker newBroker() {
    return new Mosquitto();
  }

  @Test
  void noEchoForTenSecondsLosesTheLinkWithinFifteen() {
    try (FaultProxy proxy = new FaultProxy(uri);
        Station station = Station.at(proxy.uri(), LinkTiming.STANDARD).awaitSubscribed()) {
      long holeNanos = System.nanoTime();
      proxy.set(Mode.BLACK_HOLE);
      await()
          .atMost(Duration.ofSeconds(15))
          .until(() -> station.count("down no echo through the broker for 10.0 s") == 1);
      assertThat(Duration.ofNanos(System.nanoTime() - holeNanos))
          .isBetween(Duration.ofSeconds(5), Duration.ofSeconds(15));
    }
  }

  @Test
  void aFrozenBrokerIsLeftAndTheFirstCommandAfterItThawsIsRest() {
    Mosquitto mosquitto = (Mosquitto) broker();
    try (Peer device = Peer.at(uri, "device").subscribe(SET);
        Station station = Station.at(uri, REST).awaitSubscribed()) {
      assertThat(device.next().payload()).isEqualTo("off");
      mosquitto.freeze();
      station.link.command(RUN);
      station.awaitEvents("down a command was not acknowledged", 1);
      assertThat(station.count("lost on 30")).isEqualTo(1);
      letPass(Duration.ofSeconds(1));
      mosquitto.thaw();
      station.awaitEvents("subscribed", 2);
      assertThat(device.next().payload()).isEqualTo("off");
      station.link.command(RUN);
      assertThat(device.next().payload()).isEqualTo("on 30");
    }
  }

  @Test
  void aWrongPasswordIsToldAndTheRightOneLetsIn() throws Exception {
    try (Mosquitto guarded = Mosquitto.withPassword("tidewarden", "sea")) {
      var address = guarded.start();
      try (Station wrong = Station.at(address, Credentials.of("tidewarden", "lake"))) {
        wrong.awaitEvents("down not connected: ", 2);
        assertThat(wrong.events().get(0)).contains("135");
      }
      Credentials right = Credentials.of("tidewarden", "sea");
      try (Station station = Station.at(address, right)) {
        station.awaitSubscribed();
      }
      assertThatThrownBy(
              () ->
                  Requester.ask(
                      address, Credentials.NONE, "harbour-lab", bytes("x"), Duration.ofSeconds(3)))
          .isInstanceOf(IOException.class)
          .hasMessageContaining("135");
    }
  }

  @Test
  void aCommandThatTheBrokerRefusesIsToldAndTheLinkStays() {
    try (Mosquitto guarded =
            Mosquitto.withAccessList(
                "topic readwrite tidewarden/harbour-lab/#", "topic read lab/#");
        Station station = Station.at(guarded.start()).awaitSubscribed()) {
      station.link.command(TestCommands.rest(SET, "off"));
      station.awaitEvents("lost off: refused by the broker: 0x87", 1);
      assertThat(station.count("down")).isZero();
      assertThat(station.link.publish(Station.note(TOPICS.state("lagoon"), "resting"))).isTrue();
    }
  }
}

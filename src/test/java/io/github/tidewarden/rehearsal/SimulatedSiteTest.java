package io.github.tidewarden.rehearsal;

import static java.nio.charset.StandardCharsets.UTF_8;
import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.awaitility.Awaitility.await;

import io.github.tidewarden.rehearsal.SimulatedDevice.Switch;
import io.github.tidewarden.sensing.Measure;
import java.io.IOException;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.TimeUnit;
import java.util.stream.Collectors;
import org.eclipse.paho.mqttv5.client.IMqttToken;
import org.eclipse.paho.mqttv5.client.MqttCallback;
import org.eclipse.paho.mqttv5.client.MqttClient;
import org.eclipse.paho.mqttv5.client.MqttDisconnectResponse;
import org.eclipse.paho.mqttv5.client.persist.MemoryPersistence;
import org.eclipse.paho.mqttv5.common.MqttException;
import org.eclipse.paho.mqttv5.common.MqttMessage;
import org.eclipse.paho.mqttv5.common.packet.MqttProperties;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Over a real Mosquitto. */
class SimulatedSiteTest {

  private static final Duration SOON = Duration.ofSeconds(10);
  private static final Duration PERIOD = Duration.ofMillis(100);

  @TempDir Path dir;
  private int port;
  private Process broker;
  private SimulatedSite site;

  @BeforeEach
  void startBrokerAndSite() throws Exception {
    try (ServerSocket free = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
      port = free.getLocalPort();
    }
    Files.writeString(
        dir.resolve("broker.conf"), "listener " + port + " 127.0.0.1\nallow_anonymous true\n");
    startBroker();
    site = site("mqtt://127.0.0.1:" + port);
    site.start();
    await().atMost(SOON).until(site::connected);
  }

  private void startBroker() throws IOException {
    broker =
        new ProcessBuilder("mosquitto", "-c", dir.resolve("broker.conf").toString())
            .redirectErrorStream(true)
            .redirectOutput(dir.resolve("broker.log").toFile())
            .start();
  }

  private static SimulatedSite site(String uri) {
    return new SimulatedSite(
        uri, List.of(HarbourLab.lagoon()), spec -> TankModel.typical(50), 5, PERIOD);
  }

  @AfterEach
  void stopSiteAndBroker() throws Exception {
    assertThat(site.counters().faults()).as("errors of the simulator itself").isZero();
    site.close();
    broker.destroyForcibly().waitFor(5, TimeUnit.SECONDS);
  }

  @Test
  void publishesWhatEverySensorSaysAgainAndAgain() throws Exception {
    try (Observer observer = new Observer()) {
      for (String topic :
          List.of(
              "lab/lagoon/redox/a",
              "lab/lagoon/redox/b",
              "lab/lagoon/skimmer/air",
              "lab/lagoon/return",
              "lab/lagoon/sump",
              "lab/lagoon/salinity",
              "lab/lagoon/new-water",
              "lab/lagoon/floor",
              "lab/gallery/ozone")) {
        await().atMost(SOON).until(() -> observer.on(topic).size() >= 3);
      }
      assertThat(observer.on("lab/lagoon/floor")).containsOnly("dry");
      assertThat(observer.on("lab/lagoon/redox/b"))
          .allSatisfy(said -> assertThat(said).matches("\\{\"mv\":3[12][0-9](\\.[0-9])?}"));
      assertThat(observer.retained()).as("a late subscriber hears nothing old").isEmpty();
    }
  }

  @Test
  void obeysConfirmsAndDropsOutByItself() throws Exception {
    try (Observer observer = new Observer()) {
      observer.publish("lab/lagoon/ozone/set", "{\"on\":true,\"for\":1}");
      await()
          .atMost(SOON)
          .untilAsserted(
              () ->
                  assertThat(observer.on("lab/lagoon/ozone/state"))
                      .containsSubsequence("{\"on\":true}", "{\"on\":false}"));
    }
    List<Switch> log = site.ask(rig -> rig.tank("lagoon").device("generator").switches());
    assertThat(log).extracting(Switch::on).containsExactly(true, false);
    assertThat(log.get(1).monoNanos() - log.get(0).monoNanos())
        .isEqualTo(TimeUnit.SECONDS.toNanos(1));
    assertThat(site.counters().commands()).isEqualTo(1);
  }

  @Test
  void aSensorSwitchedSilentSaysNothingMoreAndTheOthersGoOn() throws Exception {
    try (Observer observer = new Observer()) {
      await().atMost(SOON).until(() -> !observer.on("lab/lagoon/redox/a").isEmpty());
      site.act(rig -> rig.tank("lagoon").sensor("redox-a").silent(true));
      site.act(rig -> rig.tank("lagoon").tank().set(Measure.LEAK, 1));
      await().atMost(SOON).until(() -> observer.on("lab/lagoon/floor").contains("wet"));
      int before = observer.on("lab/lagoon/redox/a").size();
      int others = observer.on("lab/lagoon/redox/b").size();
      await().atMost(SOON).until(() -> observer.on("lab/lagoon/redox/b").size() >= others + 5);
      assertThat(observer.on("lab/lagoon/redox/a")).hasSize(before);
    }
  }

  @Test
  void survivesTheBrokersDeathWhileItsDeviceDropsOut() throws Exception {
    try (Observer observer = new Observer()) {
      observer.publish("lab/lagoon/ozone/set", "{\"on\":true,\"for\":2}");
      await().atMost(SOON).until(() -> observer.on("lab/lagoon/ozone/state").size() >= 1);
    }
    broker.destroyForcibly().waitFor(5, TimeUnit.SECONDS);
    await().atMost(SOON).until(() -> !site.connected());
    await().atMost(SOON).until(() -> !site.ask(rig -> rig.tank("lagoon").device("generator").on()));
    long before = site.counters().readings();

    startBroker();
    await().atMost(SOON).until(site::connected);
    assertThat(site.counters().connects()).isEqualTo(2);
    await().atMost(SOON).until(() -> site.counters().readings() > before + 20);
    try (Observer observer = new Observer()) {
      observer.publish("lab/lagoon/drain/set", "on 12");
      await().atMost(SOON).until(() -> site.ask(rig -> rig.tank("lagoon").device("drain").on()));
    }
    await()
        .atMost(SOON)
        .untilAsserted(
            () ->
                assertThat(simulatorThreads())
                    .as("one client: receive, send, call, ping; and the site's own")
                    .hasSizeLessThanOrEqualTo(5));
  }

  @Test
  void survivesABrokerThatFreezes() throws Exception {
    signal("STOP");
    await().atMost(Duration.ofSeconds(20)).until(() -> !site.connected());
    signal("CONT");
    await().atMost(SOON).until(site::connected);
    long before = site.counters().readings();
    await().atMost(SOON).until(() -> site.counters().readings() > before + 20);
  }

  private void signal(String name) throws Exception {
    Process kill = new ProcessBuilder("kill", "-" + name, Long.toString(broker.pid())).start();
    assertThat(kill.waitFor()).isZero();
  }

  @Test
  void givesUpOnAPeerThatNeverAnswersAndTriesAgain() throws Exception {
    try (ServerSocket mute = new ServerSocket(0, 5, InetAddress.getLoopbackAddress());
        SimulatedSite lost = site("tcp://127.0.0.1:" + mute.getLocalPort())) {
      mute.setSoTimeout(10_000);
      lost.start();
      mute.accept();
      mute.accept(); // the second attempt; a time-out here fails the test
      assertThat(lost.connected()).isFalse();
    }
  }

  @Test
  void closedItLeavesNoThreadBehind() {
    site.close();
    site.close();
    await().atMost(SOON).untilAsserted(() -> assertThat(simulatorThreads()).isEmpty());
    assertThat(site.connected()).isFalse();
  }

  @Test
  void startsOnlyOnceAndOnlyOnPlainMqtt() {
    assertThatThrownBy(site::start).isInstanceOf(IllegalStateException.class);
    assertThatIllegalArgumentException().isThrownBy(() -> site("mqtts://127.0.0.1:1"));
    assertThatIllegalArgumentException()
        .isThrownBy(() -> new SimulatedSite("mqtt://h:1", List.of(), s -> null, 1, Duration.ZERO));
  }

  private static List<String> simulatorThreads() {
    return Thread.getAllStackTraces().keySet().stream()
        .map(Thread::getName)
        .filter(name -> name.contains("simulated-site"))
        .collect(Collectors.toList());
  }

  private record Heard(String topic, String payload, boolean retained) {}

  /** A client of its own that hears everything below {@code lab/}. */
  private final class Observer implements MqttCallback, AutoCloseable {
    private final MqttClient client;
    private final List<Heard> heard = new CopyOnWriteArrayList<>();

    Observer() throws MqttException {
      client = new MqttClient("tcp://127.0.0.1:" + port, "observer", new MemoryPersistence());
      client.setCallback(this);
      client.connect();
      client.subscribe("lab/#", 1);
    }

    List<String> on(String topic) {
      return heard.stream().filter(m -> m.topic().equals(topic)).map(Heard::payload).toList();
    }

    List<Heard> retained() {
      return heard.stream().filter(Heard::retained).toList();
    }

    void publish(String topic, String payload) throws MqttException {
      client.publish(topic, payload.getBytes(UTF_8), 1, false);
    }

    @Override
    public void messageArrived(String topic, MqttMessage message) {
      heard.add(new Heard(topic, new String(message.getPayload(), UTF_8), message.isRetained()));
    }

    @Override
    public void close() throws MqttException {
      client.disconnectForcibly(0, 500, true);
      client.close(true);
    }

    @Override
    public void disconnected(MqttDisconnectResponse response) {}

    @Override
    public void mqttErrorOccurred(MqttException error) {}

    @Override
    public void deliveryComplete(IMqttToken token) {}

    @Override
    public void connectComplete(boolean reconnect, String uri) {}

    @Override
    public void authPacketArrived(int reasonCode, MqttProperties properties) {}
  }
}

package io.github.tidewarden.system;

import static org.awaitility.Awaitility.await;

import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.rehearsal.SimulatedDevice;
import io.github.tidewarden.rehearsal.SimulatedDevice.Fault;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import java.util.UUID;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.ScheduledThreadPoolExecutor;
import java.util.concurrent.TimeUnit;
import java.util.function.Consumer;
import java.util.function.Function;
import org.eclipse.paho.mqttv5.client.IMqttToken;
import org.eclipse.paho.mqttv5.client.MqttAsyncClient;
import org.eclipse.paho.mqttv5.client.MqttCallback;
import org.eclipse.paho.mqttv5.client.MqttConnectionOptions;
import org.eclipse.paho.mqttv5.client.MqttDisconnectResponse;
import org.eclipse.paho.mqttv5.client.persist.MemoryPersistence;
import org.eclipse.paho.mqttv5.common.MqttException;
import org.eclipse.paho.mqttv5.common.MqttMessage;
import org.eclipse.paho.mqttv5.common.packet.MqttProperties;

/**
 * Tanks of water at a broker, in real time, with a client of their own: sensors that speak, pumps
 * and a hold on top-off that obey, drop out and report. All state belongs to one thread.
 */
final class WaterSite implements AutoCloseable {
  private static final Duration PATIENCE = Duration.ofMinutes(2);
  private static final long TICK_MILLIS = 100;

  /** A level is said every so many ticks, and the other things. */
  private static final int LEVEL_TICKS = 10;

  private static final int OTHER_TICKS = 50;
  private static final long RETRY_MILLIS = 300;
  private static final long CONNECT_MILLIS = 5_000;

  /** Is told what each device is told, on a thread that must not be held up. */
  interface Listener {
    void told(String tank, String device, boolean runs);
  }

  private final String uri;
  private final String site;
  private final Map<String, WaterTank> tanks = new LinkedHashMap<>();
  private final Map<SimulatedDevice, Boolean> reported = new LinkedHashMap<>();
  private final Listener listener;
  private final Set<String> confirmed = ConcurrentHashMap.newKeySet();
  private final Thread link = new Thread(this::stayConnected, "water-link");
  private final ScheduledThreadPoolExecutor thread =
      new ScheduledThreadPoolExecutor(
          1,
          work -> {
            Thread made = new Thread(work, "water");
            made.setDaemon(true);
            return made;
          });
  private volatile MqttAsyncClient client;
  private volatile boolean closed;
  private long ticks;

  @SuppressWarnings("FutureReturnValueIgnored") // what a tick would throw, the test would see
  WaterSite(URI broker, WaterFile file, Listener listener) {
    this.listener = listener;
    uri = "tcp://127.0.0.1:" + broker.getPort();
    site = file.site();
    long now = System.nanoTime();
    file.tanks().forEach(tank -> tanks.put(tank.name(), new WaterTank(site, tank, now)));
    link.setDaemon(true);
    link.start();
    thread.scheduleAtFixedRate(this::tick, TICK_MILLIS, TICK_MILLIS, TimeUnit.MILLISECONDS);
  }

  // What a test asks and changes.

  /** What is so of a tank now. */
  <T> T ask(String tank, Function<WaterTank, T> question) {
    return CompletableFuture.supplyAsync(
            () -> {
              WaterTank asked = tanks.get(tank);
              asked.advanceTo(System.nanoTime());
              return question.apply(asked);
            },
            thread)
        .join();
  }

  /** Changes a tank, and says at once what its sensors make of it; when that was, monotonic. */
  long change(String tank, Consumer<WaterTank> change) {
    return ask(
        tank,
        changed -> {
          change.accept(changed);
          sayAll(changed);
          report(changed, List.of());
          return System.nanoTime();
        });
  }

  /** A contact of a pump that sticks comes loose again. */
  void comesLoose(String tank, Function<WaterTank, SimulatedDevice> device) {
    change(
        tank,
        changed -> {
          device.apply(changed).fault(Fault.WELDED, false);
          device.apply(changed).hear("off", System.nanoTime());
        });
  }

  /** The keeper says that new water is mixed, until the daemon answers that this is noted. */
  void confirmNewWater(String tank) {
    await("new water of " + tank + " is confirmed")
        .atMost(PATIENCE)
        .pollInterval(Duration.ofSeconds(2))
        .until(
            () -> {
              if (!confirmed.contains(tank)) {
                operate(
                    tank,
                    ("{\"act\":\"batch\",\"tank\":\"%s\",\"salinity\":\"35 PSU\","
                            + "\"temperature\":\"25 Cel\",\"mixed-for\":\"4 h\",\"by\":\"Ines\","
                            + "\"id\":\"%s\",\"sent\":\"%s\"}")
                        .formatted(tank, UUID.randomUUID(), Figures.recordTime(Instant.now())));
              }
              return confirmed.contains(tank);
            });
  }

  private void operate(String tank, String request) {
    MqttProperties properties = new MqttProperties();
    properties.setResponseTopic(answers() + tank);
    MqttMessage message = new MqttMessage(request.getBytes(StandardCharsets.UTF_8), 1, false, null);
    message.setProperties(properties);
    publish("tidewarden/" + site + "/operate", message);
  }

  private String answers() {
    return "tidewarden/" + site + "/answer/";
  }

  boolean connected() {
    return client != null;
  }

  // The thread of the water.

  private void tick() {
    ticks++;
    long now = System.nanoTime();
    for (WaterTank tank : tanks.values()) {
      tank.advanceTo(now);
      report(tank, List.of());
      if (ticks % OTHER_TICKS == 0) {
        sayAll(tank);
        report(tank, tank.devices());
      } else if (ticks % LEVEL_TICKS == 0) {
        sayLevel(tank);
      }
    }
  }

  private void sayAll(WaterTank tank) {
    sayLevel(tank);
    say(tank, "return", tank.returnRuns ? "1" : "0");
    say(tank, "floor", "dry");
    say(tank, "salinity", figure(tank.psu()));
    say(tank, "bin", figure(tank.binLitres()));
  }

  private void sayLevel(WaterTank tank) {
    if (tank.levelSpeaks) {
      say(tank, "level", figure(tank.reading()));
    }
  }

  private static String figure(double value) {
    return String.format(Locale.ROOT, "%.2f", value);
  }

  private void say(WaterTank tank, String below, String payload) {
    publish(
        site + "/" + tank.figures.name() + "/" + below,
        new MqttMessage(payload.getBytes(StandardCharsets.UTF_8), 0, false, null));
  }

  /** Reports of devices that have changed, and of those that were asked. */
  private void report(WaterTank tank, List<SimulatedDevice> asked) {
    for (SimulatedDevice device : tank.devices()) {
      boolean changed = !Boolean.valueOf(device.on()).equals(reported.put(device, device.on()));
      if ((changed || asked.contains(device)) && !device.has(Fault.MUTE)) {
        publish(
            device.spec().topic().replace("/set", "/state"),
            new MqttMessage(
                (device.on() ? "on" : "off").getBytes(StandardCharsets.UTF_8), 1, false, null));
      }
    }
  }

  private void hear(String topic, String payload) {
    if (topic.startsWith(answers()) && payload.startsWith("{\"done\":true")) {
      confirmed.add(topic.substring(answers().length()));
    }
    for (WaterTank tank : tanks.values()) {
      for (SimulatedDevice device : tank.devices()) {
        if (device.spec().topic().equals(topic)) {
          long now = System.nanoTime();
          tank.advanceTo(now);
          device.hear(payload, now);
          report(tank, List.of(device));
          listener.told(tank.figures.name(), device.spec().name(), payload.startsWith("on "));
        }
      }
    }
  }

  // The link.

  private void publish(String topic, MqttMessage message) {
    MqttAsyncClient present = client;
    if (present == null) {
      return;
    }
    try {
      present.publish(topic, message);
    } catch (MqttException lost) {
      // The link is being lost; the device says it again later.
    }
  }

  private void stayConnected() {
    while (!closed) {
      try {
        MqttAsyncClient next = connect();
        client = next;
        while (!closed && next.isConnected()) {
          pause(20);
        }
        client = null;
        next.disconnectForcibly(0, 0, false);
        next.close(true);
      } catch (MqttException notThere) {
        // It is tried again.
      }
      pause(RETRY_MILLIS);
    }
  }

  private MqttAsyncClient connect() throws MqttException {
    MqttAsyncClient next =
        new MqttAsyncClient(uri, "water-" + UUID.randomUUID(), new MemoryPersistence());
    next.setCallback(new Callback());
    MqttConnectionOptions options = new MqttConnectionOptions();
    options.setCleanStart(true);
    options.setKeepAliveInterval(5);
    try {
      next.connect(options).waitForCompletion(CONNECT_MILLIS);
      List<String> topics = new ArrayList<>();
      tanks.values().forEach(t -> t.devices().forEach(d -> topics.add(d.spec().topic())));
      topics.add(answers() + "#");
      int[] qos = topics.stream().mapToInt(topic -> 1).toArray();
      next.subscribe(topics.toArray(String[]::new), qos).waitForCompletion(CONNECT_MILLIS);
    } catch (MqttException failed) {
      next.close(true);
      throw failed;
    }
    return next;
  }

  private static void pause(long millis) {
    try {
      TimeUnit.MILLISECONDS.sleep(millis);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }

  private final class Callback implements MqttCallback {
    @Override
    public void messageArrived(String topic, MqttMessage message) {
      String payload = new String(message.getPayload(), StandardCharsets.UTF_8);
      thread.execute(() -> hear(topic, payload));
    }

    @Override
    public void disconnected(MqttDisconnectResponse response) {}

    @Override
    public void mqttErrorOccurred(MqttException error) {}

    @Override
    public void deliveryComplete(IMqttToken token) {}

    @Override
    public void connectComplete(boolean reconnect, String serverUri) {}

    @Override
    public void authPacketArrived(int reasonCode, MqttProperties properties) {}
  }

  @Override
  public void close() {
    closed = true;
    thread.shutdownNow();
    link.interrupt();
  }
}

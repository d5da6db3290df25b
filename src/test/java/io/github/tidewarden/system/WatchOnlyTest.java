package io.github.tidewarden.system;

import static io.github.tidewarden.system.Rig.TANK;
import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;

import com.fasterxml.jackson.databind.JsonNode;
import io.github.tidewarden.WaitsForBrokers;
import io.github.tidewarden.broker.Mosquitto;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.daemon.Exit;
import java.io.BufferedReader;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.concurrent.CopyOnWriteArrayList;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;

/**
 * A daemon that watches beside one that commands, at a real broker. What it publishes is what a
 * subscriber to {@code #} hears while it runs alone.
 */
@WaitsForBrokers
@Timeout(value = 150, threadMode = Timeout.ThreadMode.SEPARATE_THREAD)
class WatchOnlyTest {

  private static final class Listener implements AutoCloseable {
    final List<String> heard = new CopyOnWriteArrayList<>();
    private final Process child;

    Listener(Mosquitto broker) {
      child = Children.start("mosquitto_sub", broker.uri(), "-q", "1", "-F", "%t %p", "-t", "#");
      Thread reader =
          new Thread(
              () -> {
                try (BufferedReader lines = child.inputReader()) {
                  lines.lines().forEach(heard::add);
                } catch (IOException e) {
                  throw new UncheckedIOException(e);
                } catch (UncheckedIOException gone) {
                  // The test is over.
                }
              });
      reader.setDaemon(true);
      reader.start();
    }

    List<String> below(String start) {
      return heard.stream().filter(line -> line.startsWith(start)).toList();
    }

    @Override
    public void close() {
      child.destroyForcibly();
    }
  }

  private static String newest(List<String> lines) {
    String line = lines.get(lines.size() - 1);
    return line.substring(line.indexOf(' ') + 1);
  }

  @Test
  void decidesAndRecordsBesideTheDaemonThatCommandsAndPublishesNothingButItsOwnTopics() {
    SiteFile site = new SiteFile();
    try (Mosquitto broker = new Mosquitto()) {
      broker.start();
      try (Rig rig = new Rig(broker.uri(), site);
          Listener all = new Listener(broker)) {
        String own = "tidewarden/" + site.site() + "-watch-only/";
        DaemonProcess watches =
            rig.keep(
                DaemonProcess.start(
                    rig.directory(), "run", "--watch-only", "--config", rig.config().toString()));
        rig.allIsWell(TANK, 320);
        await("it would dose")
            .atMost(Rig.PATIENCE)
            .until(() -> all.below(own + TANK + "/state").stream().anyMatch(WatchOnlyTest::doses));
        // Several renewals and the time for a report, after which it would call it unconfirmed.
        Rig.letPass(Duration.ofSeconds(8));

        assertThat(all.heard)
            .allMatch(
                line ->
                    line.startsWith(own)
                        || line.startsWith(site.site() + "/" + TANK)
                        || line.startsWith("bystander/"));
        assertThat(all.below(site.site() + "/" + TANK + "/ozone/set")).isEmpty();
        assertThat(rig.seen.runs(TANK)).isFalse();
        assertThat(all.below(own + "status")).isNotEmpty().allMatch(WatchOnlyTest::saysWatchOnly);
        assertThat(doses(newest(all.below(own + TANK + "/state")))).isTrue();

        rig.startInside();
        rig.awaitOn(System.nanoTime() - Duration.ofMinutes(1).toNanos());
        assertThat(watches.isAlive()).isTrue();
        Rig.letPass(Duration.ofSeconds(2));

        Path state = rig.directory().resolve("state").resolve("watch-only");
        assertThat(Rig.audit(state.resolve("audit"), Kind.START))
            .hasSize(1)
            .allMatch(start -> Boolean.TRUE.equals(start.fields().get("watch-only")));
        assertThat(Rig.audit(state.resolve("audit"), Kind.RUN)).isNotEmpty();
        assertThat(Rig.audit(state.resolve("audit"), Kind.LATCHED)).isEmpty();
        assertThat(Rig.audit(state.resolve("audit"), Kind.DEVICE)).isEmpty();
        assertThat(rig.audit(Kind.START))
            .hasSize(1)
            .noneMatch(start -> start.fields().containsKey("watch-only"));
      }
    }
  }

  private static boolean doses(String line) {
    return line.contains("\"watch-only\":true") && line.contains("\"ozone\":\"run\"");
  }

  private static boolean saysWatchOnly(String line) {
    JsonNode told = Bystander.json(line.substring(line.indexOf(' ') + 1));
    return told.path("watch-only").asBoolean(false);
  }

  @Test
  void aDaemonThatCommandsNeverTakesOverWhatOneThatWatchesKept() throws Exception {
    Path directory = Files.createTempDirectory("tidewarden-watch-only");
    Path state = directory.resolve("state");
    Path own = state.resolve("watch-only");
    Files.createDirectories(own);
    Files.writeString(own.resolve("commands-nothing"), "");
    Path config = new SiteFile().stateDir(own).write(directory.resolve("site.yaml"));
    try (DaemonProcess daemon =
        DaemonProcess.start(directory, "run", "--config", config.toString())) {
      assertThat(daemon.awaitExit()).isEqualTo(Exit.CONFIG.code());
      assertThat(daemon.err()).contains("a daemon that only watched", "name another `state-dir`");
      assertThat(own.resolve("audit")).doesNotExist();
    }
    // Nor the other way round.
    Files.delete(own.resolve("commands-nothing"));
    Files.createDirectories(own.resolve("audit"));
    Path outer = new SiteFile().stateDir(state).write(directory.resolve("outer.yaml"));
    try (DaemonProcess daemon =
        DaemonProcess.start(directory, "run", "--watch-only", "--config", outer.toString())) {
      assertThat(daemon.awaitExit()).isEqualTo(Exit.CONFIG.code());
      assertThat(daemon.err()).contains("a daemon that commands has recorded");
    }
  }
}

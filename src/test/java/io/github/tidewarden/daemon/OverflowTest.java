package io.github.tidewarden.daemon;

import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import io.github.tidewarden.audit.AuditListener;
import io.github.tidewarden.audit.AuditLog;
import io.github.tidewarden.audit.AuditRecovery;
import io.github.tidewarden.audit.AuditThread;
import io.github.tidewarden.audit.DirectoryFiles;
import io.github.tidewarden.audit.Head;
import io.github.tidewarden.audit.SiteFold;
import io.github.tidewarden.audit.Trace;
import io.github.tidewarden.config.ClockSpec;
import io.github.tidewarden.config.ConfigReader;
import io.github.tidewarden.config.Configuration;
import io.github.tidewarden.control.Site;
import io.github.tidewarden.control.SiteMemory;
import io.github.tidewarden.daemon.ControlLoop.Letter;
import io.github.tidewarden.gate.Command;
import io.github.tidewarden.mqtt.Inbox;
import io.github.tidewarden.mqtt.Link;
import io.github.tidewarden.mqtt.LinkListener;
import io.github.tidewarden.mqtt.Note;
import io.github.tidewarden.mqtt.SiteTopics;
import io.github.tidewarden.schedule.ClockWatch;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.Collection;
import java.util.List;
import java.util.Map;
import java.util.concurrent.CopyOnWriteArrayList;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** More readings than may wait, before the control thread looks. */
class OverflowTest {
  private static final ObjectMapper JSON = new ObjectMapper();

  private final Mailbox<Letter> mailbox = new Mailbox<>();
  private final SiteTopics topics = new SiteTopics("harbour-lab");
  private final Inbox inbox =
      new Inbox(topics.operate(), Instant::now, System::nanoTime, mailbox::wake, unused -> {});
  private final Notes notes = new Notes();

  @Test
  void whatWasLostIsToldAfterTheOlderMessagesThatWereQueued(@TempDir Path directory)
      throws Exception {
    for (int i = 0; i <= Inbox.MOST_PER_TOPIC; i++) {
      inbox.arrived("lab/lagoon/redox", bytes("330"), false, null, null);
    }
    AuditThread audit = audit(directory);
    audit.start();
    Configuration configuration = ConfigReader.read(Path.of("config/smallest.yaml"));
    try (Clocks clocks =
            new Clocks(
                new ClockSpec(ClockSpec.TrustedWhen.BATTERY_BACKED, ClockSpec.DEFAULT_MARKER));
        Wakes wakes =
            new Wakes(configuration.site(), configuration.reviewAt(), mailbox::wake, () -> {})) {
      Thread control = new Thread(loop(configuration, clocks, wakes, audit), "control");
      control.start();
      await()
          .atMost(Duration.ofSeconds(20))
          .untilAsserted(
              () -> assertThat(redox().path("reason").asText()).contains("messages were lost"));
      assertThat(redox().path("quality").asText()).isEqualTo("bad");

      mailbox.post(new Letter.Stop("the test is over", Exit.OK));
      control.join(Duration.ofSeconds(20).toMillis());
      assertThat(control.isAlive()).isFalse();
    }
    audit.close();
  }

  /** What the tank's state topic says last of its probe. */
  private JsonNode redox() {
    List<JsonNode> states =
        notes.said.stream()
            .filter(note -> note.topic().equals(topics.state("lagoon")))
            .map(note -> json(note.payload()).path("signals").path("redox"))
            .toList();
    return states.isEmpty() ? JSON.missingNode() : states.get(states.size() - 1);
  }

  private static JsonNode json(byte[] payload) {
    try {
      return JSON.readTree(payload);
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  private static byte[] bytes(String text) {
    return text.getBytes(StandardCharsets.UTF_8);
  }

  private ControlLoop loop(
      Configuration configuration, Clocks clocks, Wakes wakes, AuditThread audit) {
    Site site = new Site(configuration.site());
    ClockWatch.Observation first = ClockWatch.start(clocks.source(), clocks.sample());
    return new ControlLoop(
        new ControlLoop.Wiring(
            site,
            topics,
            configuration.site().zone(),
            clocks,
            inbox,
            mailbox,
            notes,
            audit,
            new Trace(
                configuration.stateDir().resolve("trace"),
                "test",
                configuration.digest(),
                configuration.site().name(),
                configuration.site().zone()),
            wakes,
            Watcher.SILENT,
            false),
        first,
        site.boot(SiteMemory.BLANK, "boot-1", "", true, Map.of(), first.now()));
  }

  private static AuditThread audit(Path directory) {
    DirectoryFiles files = new DirectoryFiles(directory.resolve("audit"));
    return new AuditThread(
        new AuditLog<>(files, AuditRecovery.recover(files), SiteMemory.BLANK, new SiteFold()),
        new AuditListener() {
          @Override
          public void synced(long ticket) {}

          @Override
          public void failed(long ticket, String why) {}

          @Override
          public void head(Head head) {}
        });
  }

  /** A link that takes everything and keeps what was said. */
  private static final class Notes implements Link {
    final List<Note> said = new CopyOnWriteArrayList<>();

    @Override
    public void start(LinkListener listener) {}

    @Override
    public boolean command(Command command) {
      return true;
    }

    @Override
    public boolean publish(Note note) {
      return said.add(note);
    }

    @Override
    public boolean reply(
        @Nullable String responseTopic, byte @Nullable [] correlation, byte[] payload) {
      return true;
    }

    @Override
    public void subscribe(Collection<String> filters) {}

    @Override
    public void close(Duration atMost) {}
  }
}

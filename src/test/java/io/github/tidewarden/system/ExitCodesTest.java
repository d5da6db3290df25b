package io.github.tidewarden.system;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.WaitsForBrokers;
import java.nio.file.Files;
import java.nio.file.Path;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** How the program ends when it cannot begin. Codes after sysexits.h. */
@WaitsForBrokers
class ExitCodesTest {
  @TempDir private Path directory;

  @Test
  void aBadConfigurationIsRefusedWithEveryPlace() throws Exception {
    Path good =
        new SiteFile().stateDir(directory.resolve("state")).write(directory.resolve("good"));
    Path bad =
        Files.writeString(
            directory.resolve("bad.yaml"),
            Files.readString(good)
                .replace("ceiling: 400 mV", "ceiling: 400")
                .replace("shortest-on", "shortest-one"));
    try (DaemonProcess daemon = DaemonProcess.start(directory, "run", "--config", bad.toString())) {
      assertThat(daemon.awaitExit()).isEqualTo(78);
      assertThat(daemon.err().lines().filter(line -> line.startsWith(bad + ":")))
          .hasSize(2)
          .allMatch(line -> line.matches(".*bad\\.yaml:[0-9]+:[0-9]+: .+; .+"))
          .anyMatch(line -> line.contains("shortest-one") && line.contains("shortest-on`"));
      assertThat(daemon.out()).isEmpty();
      assertThat(directory.resolve("state")).doesNotExist();
    }
  }
}

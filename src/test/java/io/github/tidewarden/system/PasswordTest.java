package io.github.tidewarden.system;

import static java.nio.charset.StandardCharsets.ISO_8859_1;
import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;

import io.github.tidewarden.broker.Mosquitto;
import io.github.tidewarden.broker.TestBroker;
import java.io.IOException;
import java.net.URI;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** The broker's password, right or wrong, is in nothing that the program puts out (F65). */
class PasswordTest extends SystemSuite {
  private static final String USER = "tidewarden";
  private static final String RIGHT = "canary-8d1f6c";
  private static final String WRONG = "canary-0b77e2";

  @TempDir private Path directory;

  @Override
  TestBroker newBroker() {
    return Mosquitto.withPassword(USER, RIGHT);
  }

  @Test
  void standsInNothingThatIsPutOut() throws Exception {
    Path good = config("good.yaml", RIGHT);
    Path bad = config("bad.yaml", WRONG);
    Path heard = directory.resolve("topics");
    Process listener = listen(heard);
    try (DaemonProcess daemon = verb("run", good)) {
      await()
          .atMost(Rig.PATIENCE)
          .until(() -> Files.readString(heard).contains("/status {\"online\":true"));
      ends(0, verb("note", good, "--tank", "lagoon", "--by", "Ines", "probe cleaned"));
      ends(65, verb("reset", good, "--tank", "lagoon", "--by", "Ines", "--interlock", "leak"));
      ends(69, verb("note", bad, "--tank", "lagoon", "--by", "Ines", "probe cleaned"));
      ends(0, verb("check", good));
      ends(0, verb("check", good, "--json"));
      ends(0, verb("review", good));
      refused(bad);
      daemon.signal("TERM");
      assertThat(daemon.awaitExit()).isZero();
    } finally {
      listener.destroy();
    }

    Map<String, String> written = written();
    assertThat(String.join("\n", written.values()))
        .contains("done: ", "refused: ", "ready; connecting", "not reached", "\"kind\":\"act\"");
    assertThat(written)
        .hasSizeGreaterThan(10)
        .allSatisfy((file, text) -> assertThat(text).as(file).doesNotContain("canary"));
  }

  /** A daemon that the broker does not let in says so again and again. */
  private void refused(Path bad) {
    Path elsewhere = directory.resolve("elsewhere");
    try (DaemonProcess daemon = verb("run", bad)) {
      await().atMost(Rig.PATIENCE).until(() -> daemon.err().contains("not reached"));
      daemon.signal("TERM");
      assertThat(daemon.awaitExit()).isZero();
    }
    assertThat(elsewhere).isDirectory();
  }

  private static void ends(int code, DaemonProcess verb) {
    assertThat(verb.awaitExit()).isEqualTo(code);
  }

  private DaemonProcess verb(String verb, Path config, String... options) {
    return DaemonProcess.start(
        directory,
        Stream.concat(Stream.of(verb, "--config", config.toString()), Stream.of(options))
            .toArray(String[]::new));
  }

  private Path config(String name, String password) throws IOException {
    Path secret = Files.createDirectories(directory.resolve("secret")).resolve(name);
    Files.writeString(secret, password + "\n");
    String state = name.equals("good.yaml") ? "state" : "elsewhere";
    Path file =
        new SiteFile()
            .broker(uri())
            .stateDir(directory.resolve(state))
            .write(directory.resolve(name));
    String keys = ", user: " + USER + ", password-file: " + secret + " }";
    return Files.writeString(
        file, Files.readString(file).replaceFirst("(broker: \\{ url: \"[^\"]+\") }", "$1" + keys));
  }

  private Process listen(Path heard) throws IOException {
    URI broker = uri();
    return new ProcessBuilder(
            List.of(
                "mosquitto_sub",
                "-V",
                "mqttv5",
                "-h",
                "127.0.0.1",
                "-p",
                Integer.toString(broker.getPort()),
                "-u",
                USER,
                "-P",
                RIGHT,
                "-v",
                "-t",
                "#"))
        .redirectOutput(heard.toFile())
        .start();
  }

  /** Every file in the test's directory but the secrets: streams, topics, audit, state. */
  private Map<String, String> written() throws IOException {
    Map<String, String> written = new TreeMap<>();
    try (Stream<Path> files = Files.walk(directory)) {
      for (Path file : files.filter(Files::isRegularFile).toList()) {
        if (!file.startsWith(directory.resolve("secret"))) {
          written.put(directory.relativize(file).toString(), Files.readString(file, ISO_8859_1));
        }
      }
    }
    return written;
  }
}

package io.github.tidewarden.broker;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.net.InetAddress;
import java.net.Socket;
import java.net.URI;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.jspecify.annotations.Nullable;

/** A Mosquitto of its own, as a child process with a configuration in a temporary directory. */
public final class Mosquitto implements TestBroker {
  private static final Duration START_LIMIT = Duration.ofSeconds(10);
  private static final List<String> PLACES =
      List.of("/usr/sbin/mosquitto", "/usr/local/sbin/mosquitto", "/usr/bin/mosquitto");

  private final Path directory;
  private final int port = LoopbackPort.free();
  private @Nullable Process process;

  /** A broker that lets everybody in. */
  public Mosquitto() {
    this(List.of("allow_anonymous true"));
  }

  private Mosquitto(List<String> access) {
    try {
      directory = Files.createTempDirectory("mosquitto");
      List<String> lines = new ArrayList<>();
      lines.add("listener " + port + " 127.0.0.1");
      lines.add("persistence false");
      lines.add("log_dest file " + directory.resolve("log"));
      lines.add("user root");
      lines.addAll(access);
      lines.replaceAll(line -> line.replace("DIRECTORY", directory.toString()));
      Files.write(directory.resolve("conf"), lines);
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  /** A broker that lets in one user with a password. */
  public static Mosquitto withPassword(String user, String password) {
    Mosquitto broker =
        new Mosquitto(List.of("allow_anonymous false", "password_file DIRECTORY/passwords"));
    broker.runToEnd("mosquitto_passwd", "-b", "-c", broker.file("passwords"), user, password);
    return broker;
  }

  /** A broker that sends small messages at once, for measuring time. */
  public static Mosquitto withoutDelay() {
    return new Mosquitto(List.of("allow_anonymous true", "set_tcp_nodelay true"));
  }

  /** A broker that lets everybody in, but only to what the given access list names. */
  public static Mosquitto withAccessList(String... lines) {
    Mosquitto broker = new Mosquitto(List.of("allow_anonymous true", "acl_file DIRECTORY/acl"));
    try {
      Files.write(Path.of(broker.file("acl")), List.of(lines));
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
    return broker;
  }

  /** A broker that lets everybody in, and refuses a subscription to the given topic. */
  public static Mosquitto refusing(String topic) {
    Mosquitto broker =
        new Mosquitto(
            List.of(
                "allow_anonymous true",
                "plugin " + plugin(),
                "plugin_opt_config_file DIRECTORY/access.json"));
    String access =
        """
        { "defaultACLAccess": { "publishClientSend": true, "publishClientReceive": true,
            "subscribe": true, "unsubscribe": true },
          "anonymousGroup": "all",
          "groups": [ { "groupname": "all", "roles": [ { "rolename": "most" } ] } ],
          "roles": [ { "rolename": "most", "acls": [
            { "acltype": "subscribeLiteral", "topic": "%s", "allow": false } ] } ] }
        """;
    try {
      Files.writeString(Path.of(broker.file("access.json")), access.formatted(topic));
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
    return broker;
  }

  private static Path plugin() {
    try (Stream<Path> found =
        Files.find(
            Path.of("/usr/lib"),
            2,
            (path, facts) -> path.endsWith("mosquitto_dynamic_security.so"))) {
      return found
          .findFirst()
          .orElseThrow(() -> new IllegalStateException("mosquitto has no dynamic security"));
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  private String file(String name) {
    return directory.resolve(name).toString();
  }

  private static String executable() {
    return PLACES.stream()
        .filter(place -> Files.isExecutable(Path.of(place)))
        .findFirst()
        .orElseThrow(
            () ->
                new IllegalStateException(
                    "these tests need a Mosquitto broker; install it: apt-get install mosquitto"
                        + " mosquitto-clients"));
  }

  @Override
  public URI start() {
    try {
      Files.deleteIfExists(directory.resolve("log"));
      process =
          new ProcessBuilder(executable(), "-c", file("conf"))
              .redirectErrorStream(true)
              .redirectOutput(directory.resolve("output").toFile())
              .start();
      awaitListening(process);
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
    return uri();
  }

  private void awaitListening(Process started) throws IOException {
    long deadline = System.nanoTime() + START_LIMIT.toNanos();
    while (System.nanoTime() - deadline < 0) {
      if (!started.isAlive()) {
        throw new IllegalStateException("mosquitto ended at once: " + log());
      }
      try (Socket probe = new Socket(InetAddress.getLoopbackAddress(), port)) {
        return;
      } catch (IOException notYet) {
        pause();
      }
    }
    throw new IllegalStateException("mosquitto does not listen: " + log());
  }

  private static void pause() {
    try {
      TimeUnit.MILLISECONDS.sleep(10);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      throw new IllegalStateException(e);
    }
  }

  /** What it has logged. */
  public String log() {
    try {
      Path log = directory.resolve("log");
      Path output = directory.resolve("output");
      return (Files.exists(log) ? Files.readString(log) : "")
          + (Files.exists(output) ? Files.readString(output) : "");
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  /** Its address, also while it does not run. */
  public URI uri() {
    return URI.create("mqtt://127.0.0.1:" + port);
  }

  /** Its port, also while it does not run. */
  public int port() {
    return port;
  }

  /** Ends it in good order. */
  public void stop() {
    if (process != null) {
      process.destroy();
      awaitEnd(process);
    }
  }

  @Override
  public void kill() {
    if (process != null) {
      process.destroyForcibly();
      awaitEnd(process);
    }
  }

  /** Freezes it: it keeps its connections and answers nothing. */
  public void freeze() {
    signal("-STOP");
  }

  /** Lets it go on after {@link #freeze}. */
  public void thaw() {
    signal("-CONT");
  }

  private void signal(String name) {
    if (process != null) {
      runToEnd("kill", name, Long.toString(process.pid()));
    }
  }

  private void runToEnd(String... command) {
    try {
      Process child =
          new ProcessBuilder(command)
              .redirectErrorStream(true)
              .redirectOutput(directory.resolve("output").toFile())
              .start();
      awaitEnd(child);
      if (child.exitValue() != 0) {
        throw new IllegalStateException(String.join(" ", command) + ": " + log());
      }
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  private static void awaitEnd(Process child) {
    try {
      if (!child.waitFor(START_LIMIT.toSeconds(), TimeUnit.SECONDS)) {
        child.destroyForcibly();
      }
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      child.destroyForcibly();
    }
  }

  @Override
  public void close() {
    kill();
    try (Stream<Path> files = Files.list(directory)) {
      for (Path file : files.toList()) {
        Files.delete(file);
      }
      Files.delete(directory);
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }
}

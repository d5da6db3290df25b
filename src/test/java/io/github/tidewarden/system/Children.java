package io.github.tidewarden.system;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.net.URI;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.TimeUnit;

/** Child processes of the tests. */
final class Children {
  private Children() {}

  /** Starts one of Mosquitto's clients at a broker. */
  static Process start(String client, URI broker, String... options) {
    List<String> command = new ArrayList<>();
    command.addAll(List.of(client, "-V", "mqttv5", "-h", "127.0.0.1"));
    command.addAll(List.of("-p", Integer.toString(broker.getPort())));
    command.addAll(List.of(options));
    try {
      return new ProcessBuilder(command).redirectError(ProcessBuilder.Redirect.DISCARD).start();
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  /** Sends a signal, such as {@code STOP}. */
  static void signal(Process process, String name) {
    try {
      Process kill = new ProcessBuilder("kill", "-" + name, Long.toString(process.pid())).start();
      if (awaitEnd(kill, Duration.ofSeconds(10)) != 0) {
        throw new IllegalStateException("no signal " + name);
      }
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  /** Waits for the end; the exit code. */
  static int awaitEnd(Process process, Duration atMost) {
    try {
      if (!process.waitFor(atMost.toMillis(), TimeUnit.MILLISECONDS)) {
        throw new AssertionError(process.info().command().orElse("a child") + " does not end");
      }
      return process.exitValue();
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      throw new IllegalStateException(e);
    }
  }
}

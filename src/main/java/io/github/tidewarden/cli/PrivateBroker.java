package io.github.tidewarden.cli;

import io.github.tidewarden.rehearsal.DemoBroker;
import java.io.File;
import java.io.IOException;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.net.URI;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/** A private Mosquitto as a child process, for a demo away from the build. */
final class PrivateBroker implements DemoBroker {
  private static final int MOST_TRIES = 100;
  private static final long TRY_MILLIS = 50;
  private static final List<String> PLACES =
      List.of("/usr/sbin/mosquitto", "/usr/local/sbin/mosquitto", "/usr/bin/mosquitto");

  private @Nullable Process process;
  private @Nullable Path settings;

  @Override
  public URI start() {
    String program =
        PLACES.stream()
            .filter(place -> new File(place).canExecute())
            .findFirst()
            .orElseThrow(
                () ->
                    new IllegalStateException(
                        "the demo needs a broker: install Mosquitto (apt-get install mosquitto),"
                            + " or run the demo from the sources"));
    try {
      int port;
      try (ServerSocket free = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
        port = free.getLocalPort();
      }
      Path file = Files.createTempFile("tidewarden-demo", ".conf");
      settings = file;
      Files.writeString(file, "listener " + port + " 127.0.0.1\nallow_anonymous true\n");
      Process started =
          new ProcessBuilder(program, "-c", file.toString())
              .redirectErrorStream(true)
              .redirectOutput(ProcessBuilder.Redirect.DISCARD)
              .start();
      process = started;
      await(started, port);
      return URI.create("mqtt://127.0.0.1:" + port);
    } catch (IOException e) {
      throw new IllegalStateException("the broker did not start: " + e.getMessage(), e);
    }
  }

  private static void await(Process started, int port) throws IOException {
    for (int tries = 0; tries < MOST_TRIES && started.isAlive(); tries++) {
      try (Socket socket = new Socket()) {
        socket.connect(new InetSocketAddress(InetAddress.getLoopbackAddress(), port), 1_000);
        return;
      } catch (IOException notYet) {
        pause();
      }
    }
    throw new IOException("it does not answer on port " + port);
  }

  private static void pause() {
    try {
      TimeUnit.MILLISECONDS.sleep(TRY_MILLIS);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }

  @Override
  public void close() {
    Process running = process;
    if (running != null) {
      running.destroy();
    }
    Path file = settings;
    if (file != null) {
      try {
        Files.deleteIfExists(file);
      } catch (IOException e) {
        // A file of two lines in the system's temporary directory may stay.
      }
    }
  }
}

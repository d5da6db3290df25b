package io.github.tidewarden.broker;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.net.InetAddress;
import java.net.ServerSocket;

/** A port of the loopback interface that was free a moment ago. */
public final class LoopbackPort {
  private LoopbackPort() {}

  /** Finds one. */
  public static int free() {
    try (ServerSocket probe = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
      return probe.getLocalPort();
    } catch (IOException none) {
      throw new UncheckedIOException(none);
    }
  }
}

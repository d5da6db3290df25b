package io.github.tidewarden.rehearsal;

import java.net.URI;

/**
 * A broker for the demo, found by {@link java.util.ServiceLoader}, so that none has to be part of
 * the run-time jar.
 */
public interface DemoBroker extends AutoCloseable {

  /**
   * Starts it on a free port of the loopback interface and waits until it takes connections.
   *
   * @return its {@code mqtt://} address
   * @throws IllegalStateException if it cannot be started
   */
  URI start();

  /** Stops it; does nothing if it does not run. */
  @Override
  void close();
}

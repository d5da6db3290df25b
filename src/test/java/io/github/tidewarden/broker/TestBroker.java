package io.github.tidewarden.broker;

import java.net.URI;

/**
 * A broker that a test starts, kills and starts again on the same port of the loopback interface.
 */
public interface TestBroker extends AutoCloseable {

  /** Starts it and waits until it takes connections; on the same port each time. */
  URI start();

  /** Ends it without a good-bye to anybody. */
  void kill();

  @Override
  void close();
}

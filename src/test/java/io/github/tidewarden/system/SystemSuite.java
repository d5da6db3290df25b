package io.github.tidewarden.system;

import io.github.tidewarden.WaitsForBrokers;
import io.github.tidewarden.broker.TestBroker;
import java.net.URI;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.TestInstance;
import org.junit.jupiter.api.Timeout;

/** Tests of the whole system at one broker. They share it; each has a site of its own. */
@WaitsForBrokers
@TestInstance(TestInstance.Lifecycle.PER_CLASS)
@Timeout(value = 240, threadMode = Timeout.ThreadMode.SEPARATE_THREAD)
abstract class SystemSuite {
  private TestBroker broker;
  private URI uri;

  /** A broker that is not started yet. */
  abstract TestBroker newBroker();

  @BeforeAll
  void startBroker() {
    broker = newBroker();
    uri = broker.start();
  }

  @AfterAll
  void closeBroker() {
    broker.close();
  }

  /** The broker that the tests share. */
  URI uri() {
    return uri;
  }

  /** A site of one tank at the shared broker. */
  Rig rig(SiteFile site) {
    return new Rig(uri, site);
  }
}

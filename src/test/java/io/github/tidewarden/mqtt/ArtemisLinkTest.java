package io.github.tidewarden.mqtt;

import io.github.tidewarden.broker.Artemis;
import io.github.tidewarden.broker.TestBroker;

/** The contract at the embedded broker. */
class ArtemisLinkTest extends LinkContract {
  @Override
  TestBroker newBroker() {
    return new Artemis();
  }
}

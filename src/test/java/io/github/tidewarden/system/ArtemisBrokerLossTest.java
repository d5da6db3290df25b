package io.github.tidewarden.system;

import io.github.tidewarden.broker.Artemis;
import io.github.tidewarden.broker.TestBroker;

class ArtemisBrokerLossTest extends BrokerLossSuite {
  @Override
  TestBroker newBroker() {
    return new Artemis();
  }
}

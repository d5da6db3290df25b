package io.github.tidewarden.system;

import io.github.tidewarden.broker.Artemis;
import io.github.tidewarden.broker.TestBroker;

class ArtemisDiskTest extends DiskSuite {
  @Override
  TestBroker newBroker() {
    return new Artemis();
  }
}

package io.github.tidewarden.system;

import io.github.tidewarden.broker.Artemis;
import io.github.tidewarden.broker.TestBroker;

class ArtemisCrashTest extends CrashSuite {
  @Override
  TestBroker newBroker() {
    return new Artemis();
  }
}

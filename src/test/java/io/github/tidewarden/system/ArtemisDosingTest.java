package io.github.tidewarden.system;

import io.github.tidewarden.broker.Artemis;
import io.github.tidewarden.broker.TestBroker;

class ArtemisDosingTest extends DosingSuite {
  @Override
  TestBroker newBroker() {
    return new Artemis();
  }
}

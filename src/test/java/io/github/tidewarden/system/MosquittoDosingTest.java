package io.github.tidewarden.system;

import io.github.tidewarden.broker.Mosquitto;
import io.github.tidewarden.broker.TestBroker;

class MosquittoDosingTest extends DosingSuite {
  @Override
  TestBroker newBroker() {
    return new Mosquitto();
  }
}

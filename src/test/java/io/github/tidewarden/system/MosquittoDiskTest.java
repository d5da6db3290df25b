package io.github.tidewarden.system;

import io.github.tidewarden.broker.Mosquitto;
import io.github.tidewarden.broker.TestBroker;

class MosquittoDiskTest extends DiskSuite {
  @Override
  TestBroker newBroker() {
    return new Mosquitto();
  }
}

package io.github.tidewarden.system;

import io.github.tidewarden.broker.Mosquitto;
import io.github.tidewarden.broker.TestBroker;

class MosquittoCrashTest extends CrashSuite {
  @Override
  TestBroker newBroker() {
    return new Mosquitto();
  }
}

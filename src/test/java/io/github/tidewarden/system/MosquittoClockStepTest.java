package io.github.tidewarden.system;

import io.github.tidewarden.broker.Mosquitto;
import io.github.tidewarden.broker.TestBroker;

class MosquittoClockStepTest extends ClockStepSuite {
  @Override
  TestBroker newBroker() {
    return new Mosquitto();
  }
}

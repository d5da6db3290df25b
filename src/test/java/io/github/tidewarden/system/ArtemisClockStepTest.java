package io.github.tidewarden.system;

import io.github.tidewarden.broker.Artemis;
import io.github.tidewarden.broker.TestBroker;

class ArtemisClockStepTest extends ClockStepSuite {
  @Override
  TestBroker newBroker() {
    return new Artemis();
  }
}

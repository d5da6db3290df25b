package io.github.tidewarden.system;

import io.github.tidewarden.broker.Artemis;
import io.github.tidewarden.broker.TestBroker;
import org.junit.jupiter.api.Order;

/** Takes longest, and so begins first. */
@Order(1)
class ArtemisWaterStories extends WaterSuite {
  @Override
  TestBroker newBroker() {
    return new Artemis();
  }
}

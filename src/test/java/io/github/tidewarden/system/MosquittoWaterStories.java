package io.github.tidewarden.system;

import io.github.tidewarden.broker.Mosquitto;
import io.github.tidewarden.broker.TestBroker;
import org.junit.jupiter.api.Order;

/** Takes longest, and so begins first. */
@Order(1)
class MosquittoWaterStories extends WaterSuite {
  @Override
  TestBroker newBroker() {
    return new Mosquitto();
  }
}

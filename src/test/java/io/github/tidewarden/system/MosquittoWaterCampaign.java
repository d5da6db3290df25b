package io.github.tidewarden.system;

import io.github.tidewarden.broker.Mosquitto;
import io.github.tidewarden.broker.TestBroker;

class MosquittoWaterCampaign extends WaterCampaign {
  @Override
  TestBroker newBroker() {
    return new Mosquitto();
  }
}

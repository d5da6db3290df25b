package io.github.tidewarden.system;

import io.github.tidewarden.broker.Artemis;
import io.github.tidewarden.broker.TestBroker;

class ArtemisWaterCampaign extends WaterCampaign {
  @Override
  TestBroker newBroker() {
    return new Artemis();
  }
}

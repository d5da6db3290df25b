package io.github.tidewarden.mqtt;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.broker.Artemis;
import io.github.tidewarden.broker.TestBroker;
import io.github.tidewarden.rehearsal.DemoBroker;
import java.util.ServiceLoader;
import org.junit.jupiter.api.Test;

/** The contract at the embedded broker. */
class ArtemisLinkTest extends LinkContract {
  @Override
  TestBroker newBroker() {
    return new Artemis();
  }

  @Test
  void theDemoFindsItAsAService() {
    assertThat(ServiceLoader.load(DemoBroker.class).findFirst())
        .hasValueSatisfying(found -> assertThat(found).isInstanceOf(Artemis.class));
  }
}

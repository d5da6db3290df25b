package io.github.tidewarden.system;

import static io.github.tidewarden.system.Rig.REDOX_A;
import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import io.github.tidewarden.WaitsForBrokers;
import io.github.tidewarden.broker.Mosquitto;
import io.github.tidewarden.control.Kind;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;

/** A broker whose access list forgets one topic of one tank. */
@WaitsForBrokers
@Timeout(value = 120, threadMode = Timeout.ThreadMode.SEPARATE_THREAD)
class RefusedTopicTest {

  @Test
  void theTankWhoseTopicIsRefusedRestsAndTheOtherDoses() {
    SiteFile site = new SiteFile().tanks("nursery", "lagoon");
    String refused = site.site() + "/nursery/" + REDOX_A;
    try (Mosquitto broker = Mosquitto.refusing(refused)) {
      broker.start();
      try (Rig rig = new Rig(broker.uri(), site)) {
        long began = System.nanoTime();
        rig.startInside();
        rig.allIsWell("nursery", 320);
        rig.allIsWell("lagoon", 320);
        rig.seen.awaitSwitch("lagoon", true, began);

        assertThat(rig.seen.runs("nursery")).isFalse();
        JsonNode told = rig.seen.state("nursery", began).path("signals").path("redox-a");
        assertThat(told.path("quality").asText()).isEqualTo("bad");
        assertThat(rig.awaitRecord(Kind.NOTICE, "code", "0x87").why())
            .isEqualTo("the broker does not let these topics be heard: " + refused);
      }
    }
  }
}

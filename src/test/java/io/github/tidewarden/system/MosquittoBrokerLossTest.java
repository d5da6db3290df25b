package io.github.tidewarden.system;

import static io.github.tidewarden.system.Rig.TANK;
import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.broker.Mosquitto;
import io.github.tidewarden.broker.TestBroker;
import java.time.Duration;
import java.util.List;
import org.junit.jupiter.api.Test;

/** With a real Mosquitto, which can also be frozen. */
class MosquittoBrokerLossTest extends BrokerLossSuite {
  @Override
  TestBroker newBroker() {
    return new Mosquitto();
  }

  @Test
  void aFrozenBrokerLeavesTheDevicesToDropOutAndComesBackToRestFirst() {
    try (Mosquitto broker = new Mosquitto()) {
      broker.start();
      try (Rig rig = new Rig(broker.uri(), new SiteFile().tanks(TANK, OTHER))) {
        rig.startInside();
        bothDose(rig);

        long frozen = System.nanoTime();
        broker.freeze();
        dropOut(rig, frozen);

        long back = System.nanoTime();
        broker.thaw();
        comesBackToRestFirst(rig, back);
      }
    }
  }

  /** The readings that wait for the daemon meanwhile would have it dose; the water would not. */
  @Test
  void aDaemonThatStoodStillFor45SecondsActsOnNothingOld() {
    try (Rig rig = rig(new SiteFile().tanks(TANK, OTHER))) {
      DaemonProcess daemon = rig.startProcess();
      bothDose(rig);

      long stopped = System.nanoTime();
      daemon.signal("STOP");
      dropOut(rig, stopped);
      Rig.letPass(Duration.ofSeconds(12));
      List.of(TANK, OTHER).forEach(tank -> rig.sayRedox(tank, 350));
      Rig.letPass(Duration.ofNanos(stopped + 45_000_000_000L - System.nanoTime()));

      long on = System.nanoTime();
      daemon.signal("CONT");
      // Silence itself is what is tested: long enough to work off all that has waited.
      Rig.letPass(Duration.ofSeconds(6));
      for (String tank : List.of(TANK, OTHER)) {
        List<Bystander.Heard> commands = rig.seen.commandsSince(tank, on);
        assertThat(commands).isNotEmpty().noneMatch(Bystander.Heard::runs);
        assertThat(rig.seen.switchesSince(tank, on)).isEmpty();
      }
      List.of(TANK, OTHER).forEach(tank -> rig.sayRedox(tank, 320));
      rig.awaitOn(on);
    }
  }
}

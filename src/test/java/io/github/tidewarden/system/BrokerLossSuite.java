package io.github.tidewarden.system;

import static io.github.tidewarden.system.Rig.TANK;
import static io.github.tidewarden.system.Rig.between;
import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;

import io.github.tidewarden.broker.FaultProxy;
import io.github.tidewarden.broker.TestBroker;
import io.github.tidewarden.rehearsal.SimulatedDevice.Switch;
import java.net.URI;
import java.time.Duration;
import java.util.List;
import org.junit.jupiter.api.Test;

/** What happens when the broker goes and comes back. Each test has a broker of its own. */
abstract class BrokerLossSuite extends SystemSuite {
  static final Duration SECOND = Duration.ofSeconds(1);
  static final String OTHER = "nursery";

  @Test
  void aKilledBrokerLeavesTheDevicesToDropOutAndComesBackToRestFirst() {
    try (TestBroker broker = newBroker()) {
      URI uri = broker.start();
      try (FaultProxy between = new FaultProxy(uri);
          Rig rig = new Rig(uri, between.uri(), new SiteFile().tanks(TANK, OTHER), SECOND)) {
        rig.seen.awaitListening();
        rig.startInside();
        bothDose(rig);

        long killed = System.nanoTime();
        // The daemon is kept away until the bystander hears again, so that it misses nothing.
        between.set(FaultProxy.Mode.REFUSE);
        broker.kill();
        dropOut(rig, killed);

        broker.start();
        rig.seen.awaitListening();
        long back = System.nanoTime();
        between.set(FaultProxy.Mode.PASS);
        comesBackToRestFirst(rig, back);
      }
    }
  }

  /** Both tanks dose, and have been renewed. */
  static void bothDose(Rig rig) {
    long began = System.nanoTime();
    for (String tank : List.of(TANK, OTHER)) {
      rig.allIsWell(tank, 320);
    }
    for (String tank : List.of(TANK, OTHER)) {
      long on = rig.seen.awaitSwitch(tank, true, began);
      await().atMost(Rig.PATIENCE).until(() -> rig.seen.commandsSince(tank, on).size() >= 2);
    }
  }

  /** Each device rests by itself when its lease is over; nothing more is said to it. */
  static void dropOut(Rig rig, long sinceNanos) {
    for (String tank : List.of(TANK, OTHER)) {
      long rest = rig.seen.awaitSwitch(tank, false, sinceNanos);
      assertThat(between(sinceNanos, rest))
          .isLessThanOrEqualTo(Duration.ofSeconds(SiteFile.LEASE_SECONDS + 1));
      assertThat(rig.seen.commandsSince(tank, rest)).isEmpty();
    }
  }

  /** The first thing said on each set-topic is rest; a run comes after it, and is a new one. */
  static void comesBackToRestFirst(Rig rig, long sinceNanos) {
    for (String tank : List.of(TANK, OTHER)) {
      long on = rig.seen.awaitSwitch(tank, true, sinceNanos);
      List<Bystander.Heard> commands = rig.seen.commandsSince(tank, sinceNanos);
      assertThat(commands.get(0).payload()).isEqualTo("off");
      assertThat(commands).noneMatch(Bystander.Heard::retained);
      // Readings heard within two seconds of a connect may be old ones and permit nothing.
      assertThat(between(commands.get(0).nanos(), on)).isGreaterThan(Duration.ofMillis(1800));
      assertThat(rig.seen.switchesSince(tank, sinceNanos)).first().isEqualTo(new Switch(on, true));
    }
  }

  @Test
  void aBrokerThatIsNotThereAtTheStartIsWaitedFor() {
    try (TestBroker broker = newBroker()) {
      URI uri = broker.start();
      broker.kill();
      try (Rig rig = new Rig(uri, uri, new SiteFile(), SECOND)) {
        DaemonProcess daemon = rig.startProcess();
        await("several attempts")
            .atMost(Duration.ofSeconds(60))
            .until(() -> daemon.err().split("not reached", -1).length > 3);
        assertThat(daemon.isAlive()).isTrue();

        broker.start();
        rig.seen.awaitListening();
        rig.awaitOn(rig.allIsWell(TANK, 320));
        assertThat(daemon.isAlive()).isTrue();
      }
    }
  }
}

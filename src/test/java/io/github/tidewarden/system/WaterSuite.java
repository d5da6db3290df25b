package io.github.tidewarden.system;

import static io.github.tidewarden.system.Rig.between;
import static io.github.tidewarden.system.WaterRig.TANK;
import static io.github.tidewarden.system.WaterRig.TO_FIRST_PORTION;
import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.broker.TestBroker;
import io.github.tidewarden.rehearsal.SimulatedDevice.Fault;
import java.time.Duration;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.parallel.Execution;
import org.junit.jupiter.api.parallel.ExecutionMode;

/**
 * What the water does when the daemon is killed, the broker goes, or a device fails in a portion.
 * The first portion begins 160 s after a start, and each half of it is judged two minutes after its
 * pump, as ever; so each story ends here where its danger is over, and {@link WaterCampaign} tells
 * it to the end. All of them pass at the same time and take one of the threads that tests have.
 */
@Timeout(value = 420, threadMode = Timeout.ThreadMode.SEPARATE_THREAD)
abstract class WaterSuite extends SystemSuite {
  private static final double PORTION = 0.4;
  private static final double SMALL_PORTION = 0.1;
  private static final Duration SECOND = Duration.ofSeconds(1);
  private static final Duration LEASE = Duration.ofSeconds(WaterFile.LEASE_SECONDS);
  private static final Duration EXPIRY = Duration.ofSeconds(WaterFile.EXPIRY_SECONDS);
  private static final Duration LEVEL_STALE = Duration.ofSeconds(WaterFile.LEVEL_STALE_SECONDS);

  // Tanks of one site.
  private static final String BLOCKED = "blocked";
  private static final String UNHELD = "unheld";
  private static final String PAIRED = "paired";
  private static final String SILENT = "silent";
  private static final String STOPS = "stops";

  private WaterRig devices;
  private Story killed;
  private Story brokerLost;
  private Story drainBlocked;
  private Story holdUnconfirmed;
  private Story paired;
  private Story levelSilent;
  private Story returnStops;

  @BeforeAll
  void beginEveryStory() {
    devices =
        new WaterRig(
            uri(),
            new WaterFile()
                .tank(BLOCKED, SMALL_PORTION, 1)
                .tank(UNHELD, PORTION, 1)
                .pairedTank(PAIRED, SMALL_PORTION, 1)
                .tank(SILENT, PORTION, 1)
                .tank(STOPS, PORTION, 1));
    devices.water.change(BLOCKED, tank -> tank.drainLitresPerMinute = 0);
    devices.water.change(UNHELD, tank -> tank.hold.fault(Fault.MUTE, true));
    devices.start();
    killed = Story.of(this::kill);
    brokerLost = Story.of(this::loseBroker);
    drainBlocked = Story.of(this::blockDrain);
    holdUnconfirmed = Story.of(this::confirmNoHold);
    paired = Story.of(this::pair);
    levelSilent = Story.of(this::silenceLevel);
    returnStops = Story.of(this::stopReturn);
  }

  @AfterAll
  void closeDevices() {
    devices.close();
  }

  // Killed.

  @Test
  @Execution(ExecutionMode.SAME_THREAD)
  void killedWhileItDrainsThePumpDropsOutAndNothingIsDrainedAgain() {
    killed.awaitEnd();
  }

  private void kill() {
    try (WaterRig rig = new WaterRig(uri(), new WaterFile().tank(TANK, PORTION, 2))) {
      DaemonProcess daemon = rig.start();
      rig.water.confirmNewWater(TANK);
      rig.awaitEvent(TANK, "drain renewed", 2, TO_FIRST_PORTION);
      long killed = daemon.kill();
      rig.start();
      assertThat(between(killed, rig.awaitRest(TANK, tank -> tank.drain)))
          .isLessThanOrEqualTo(LEASE.plus(EXPIRY).plus(SECOND));
      // Silence itself is what is tested.
      Rig.letPass(Duration.ofSeconds(80));
      assertThat(rig.count(TANK, "drain on")).isEqualTo(1);
      assertThat(rig.count(TANK, "fill on")).isZero();
      assertHeldAndWell(rig, TANK);
    }
  }

  /** Nothing was latched, nothing topped off, and all else is as it must be. */
  private static void assertHeldAndWell(WaterRig rig, String tank) {
    new WaterJudge(rig, tank).judge().neverToppedOffInAPortion();
    assertThat(rig.latches(tank)).isEmpty();
    assertThat(rig.water.<Boolean>ask(tank, asked -> asked.hold.on())).as("held").isTrue();
  }

  // The broker goes.

  @Test
  @Execution(ExecutionMode.SAME_THREAD)
  void aBrokerLostWhileItDrainsLeavesThePumpToDropOut() {
    brokerLost.awaitEnd();
  }

  private void loseBroker() {
    try (TestBroker broker = newBroker();
        WaterRig rig = new WaterRig(broker.start(), new WaterFile().tank(TANK, PORTION, 2))) {
      rig.start();
      rig.water.confirmNewWater(TANK);
      rig.awaitEvent(TANK, "drain renewed", 2, TO_FIRST_PORTION);
      long lost = System.nanoTime();
      broker.kill();
      assertThat(between(lost, rig.awaitRest(TANK, tank -> tank.drain)))
          .isLessThanOrEqualTo(LEASE.plus(SECOND));
      Rig.letPass(Duration.ofSeconds(5));
      broker.start();
      rig.awaitEvent("", "link", 3, Rig.PATIENCE);
      // Silence itself is what is tested: no more than the portion may be drained.
      Rig.letPass(Duration.ofSeconds(60));
      assertThat(rig.count(TANK, "fill on")).isZero();
      assertHeldAndWell(rig, TANK);
    }
  }

  // Devices fail.

  @Test
  @Execution(ExecutionMode.SAME_THREAD)
  void aDrainThatIsBlockedLatchesAndNothingIsFilled() {
    drainBlocked.awaitEnd();
  }

  private void blockDrain() {
    devices.water.confirmNewWater(BLOCKED);
    devices.awaitEvent(BLOCKED, "trip", 1, TO_FIRST_PORTION.plusSeconds(90));
    assertThat(devices.latches(BLOCKED)).containsExactly("drain-blocked");
    assertThat(devices.count(BLOCKED, "fill on")).isZero();
    new WaterJudge(devices, BLOCKED).judge().neverToppedOffInAPortion();
  }

  @Test
  @Execution(ExecutionMode.SAME_THREAD)
  void aHoldOnTopOffThatIsNotConfirmedLetsNoPumpRun() {
    holdUnconfirmed.awaitEnd();
  }

  private void confirmNoHold() {
    devices.water.confirmNewWater(UNHELD);
    Rig.letPass(TO_FIRST_PORTION); // silence itself is what is tested
    assertThat(devices.count(UNHELD, "portion")).isZero();
    assertThat(devices.count(UNHELD, "drain on")).isZero();
    assertThat(devices.count(UNHELD, "fill on")).isZero();
    new WaterJudge(devices, UNHELD).judge();
  }

  @Test
  @Execution(ExecutionMode.SAME_THREAD)
  void pairedHeadsMoveAPortionAndTheWaterIsWhereItWas() {
    paired.awaitEnd();
  }

  private void pair() {
    devices.water.confirmNewWater(PAIRED);
    devices.awaitEvent(PAIRED, "filled", 1, TO_FIRST_PORTION.plusSeconds(90));
    assertThat(devices.latches(PAIRED)).isEmpty();
    new WaterJudge(devices, PAIRED).judge().neverToppedOffInAPortion().allIsDone();
  }

  @Test
  @Execution(ExecutionMode.SAME_THREAD)
  void aLevelThatFallsSilentWhileItDrainsEndsTheRun() {
    levelSilent.awaitEnd();
  }

  private void silenceLevel() {
    devices.water.confirmNewWater(SILENT);
    devices.awaitEvent(SILENT, "drain renewed", 1, TO_FIRST_PORTION);
    long silent = devices.water.change(SILENT, tank -> tank.levelSpeaks = false);
    assertThat(between(silent, devices.awaitRest(SILENT, tank -> tank.drain)))
        .isLessThanOrEqualTo(LEVEL_STALE.plus(SECOND.multipliedBy(2)));
    assertHeldAndWell(devices, SILENT);
  }

  /** Hazard F68. */
  @Test
  @Execution(ExecutionMode.SAME_THREAD)
  void aReturnThatStopsWhileItDrainsEndsTheRunWithinTwoSecondsAndLatchesNothing() {
    returnStops.awaitEnd();
  }

  private void stopReturn() {
    devices.water.confirmNewWater(STOPS);
    devices.awaitEvent(STOPS, "drain renewed", 1, TO_FIRST_PORTION);
    long stopped = devices.water.change(STOPS, tank -> tank.returnRuns = false);
    assertThat(between(stopped, devices.awaitRest(STOPS, tank -> tank.drain)))
        .isLessThan(Duration.ofSeconds(2));
    // Silence itself is what is tested: the water of the pipes comes down, and nothing runs.
    Rig.letPass(Duration.ofSeconds(60));
    assertThat(devices.count(STOPS, "drain on")).isEqualTo(1);
    assertThat(devices.count(STOPS, "fill on")).isZero();
    assertHeldAndWell(devices, STOPS);
  }
}

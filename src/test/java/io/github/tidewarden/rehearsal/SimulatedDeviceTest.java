package io.github.tidewarden.rehearsal;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.rehearsal.SimulatedDevice.Fault;
import io.github.tidewarden.rehearsal.SimulatedDevice.Switch;
import java.util.List;
import java.util.SplittableRandom;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;

class SimulatedDeviceTest {

  private static final long START = -3_000_000_000L;

  private static final ActuatorSpec RELAY =
      new ActuatorSpec(
          "generator",
          TankFunction.OZONE,
          "lab/lagoon/ozone/set",
          "{\"on\":true,\"for\":{seconds}}",
          "{\"on\":false}",
          30);
  private static final ActuatorSpec PUMP =
      new ActuatorSpec(
          "drain", TankFunction.EXCHANGE, "lab/lagoon/drain/set", "on {seconds}", "off", 12);
  private static final ActuatorSpec WITHOUT_LEASE =
      new ActuatorSpec("fill", TankFunction.EXCHANGE, "lab/lagoon/fill/set", "run", "stop", 12);

  private static long at(double seconds) {
    return START + Math.round(seconds * 1e9);
  }

  @Test
  void wakesAtRest() {
    SimulatedDevice relay = new SimulatedDevice(RELAY, START);
    assertThat(relay.on()).isFalse();
    assertThat(relay.leaseEndNanos()).isEmpty();
    assertThat(relay.switches()).isEmpty();
  }

  @Test
  void runsForItsLeaseAndDropsOutToTheNanosecond() {
    SimulatedDevice relay = new SimulatedDevice(RELAY, START);
    assertThat(relay.hear("{\"on\":true,\"for\":30}", at(1))).isTrue();
    relay.advanceTo(at(31) - 1);
    assertThat(relay.on()).isTrue();
    relay.advanceTo(at(31));
    assertThat(relay.on()).isFalse();
    assertThat(relay.onNanos()).isEqualTo(TimeUnit.SECONDS.toNanos(30));
  }

  @Test
  void logsTheTrueTimeOfADropOutThatIsLookedAtLate() {
    SimulatedDevice pump = new SimulatedDevice(PUMP, START);
    pump.hear("on 7", at(2));
    pump.advanceTo(at(500));
    assertThat(pump.switches()).containsExactly(new Switch(at(2), true), new Switch(at(9), false));
    assertThat(pump.onNanos()).isEqualTo(TimeUnit.SECONDS.toNanos(7));
  }

  @Test
  void everyMessageBeginsTheLeaseAnew() {
    SimulatedDevice pump = new SimulatedDevice(PUMP, START);
    pump.hear("on 12", at(0));
    pump.hear("on 12", at(4));
    pump.hear("on 6", at(8));
    assertThat(pump.leaseEndNanos()).hasValue(at(14));
    pump.advanceTo(at(60));
    assertThat(pump.switches()).containsExactly(new Switch(at(0), true), new Switch(at(14), false));
  }

  @Test
  void neverRunsLongerThanItsOwnDropOutWhateverTheMessageSays() {
    SimulatedDevice pump = new SimulatedDevice(PUMP, START);
    pump.hear("on 999", at(0));
    assertThat(pump.leaseEndNanos()).hasValue(at(12));
  }

  @Test
  void runsItsDropOutTimeWhenMessagesCarryNoLease() {
    SimulatedDevice pump = new SimulatedDevice(WITHOUT_LEASE, START);
    assertThat(pump.hear("run", at(0))).isTrue();
    assertThat(pump.leaseEndNanos()).hasValue(at(12));
    assertThat(pump.hear("stop", at(3))).isTrue();
    assertThat(pump.on()).isFalse();
  }

  @Test
  void restsAtOnceWhenTold() {
    SimulatedDevice relay = new SimulatedDevice(RELAY, START);
    relay.hear("{\"on\":true,\"for\":30}", at(0));
    relay.hear("{\"on\":false}", at(5));
    assertThat(relay.on()).isFalse();
    assertThat(relay.leaseEndNanos()).isEmpty();
    assertThat(relay.onNanos()).isEqualTo(TimeUnit.SECONDS.toNanos(5));
  }

  @Test
  void aLeaseOfNothingIsRest() {
    SimulatedDevice pump = new SimulatedDevice(PUMP, START);
    pump.hear("on 12", at(0));
    assertThat(pump.hear("on 0", at(1))).isTrue();
    assertThat(pump.on()).isFalse();
  }

  @Test
  void doesNothingOnWhatItDoesNotUnderstand() {
    SimulatedDevice pump = new SimulatedDevice(PUMP, START);
    List<String> nonsense =
        List.of("", "on", "on ", "on -3", "on 3.5", "on +3", "ON 5", "on 5 ", "on 1234567", "on ٣");
    for (String payload : nonsense) {
      assertThat(pump.hear(payload, at(1))).as("'%s'", payload).isFalse();
      assertThat(pump.on()).as("'%s'", payload).isFalse();
    }
    assertThat(pump.notUnderstood()).isEqualTo(nonsense.size());
    pump.hear("on 12", at(2));
    pump.hear("nonsense", at(3));
    assertThat(pump.leaseEndNanos()).hasValue(at(14));
  }

  @Test
  void weldedItIgnoresRestAndDropOut() {
    SimulatedDevice relay = new SimulatedDevice(RELAY, START);
    relay.fault(Fault.WELDED, true);
    assertThat(relay.on()).isFalse();
    relay.hear("{\"on\":true,\"for\":30}", at(0));
    relay.hear("{\"on\":false}", at(5));
    assertThat(relay.on()).isTrue();
    relay.advanceTo(at(1000));
    assertThat(relay.on()).isTrue();
    assertThat(relay.onNanos()).isEqualTo(TimeUnit.SECONDS.toNanos(1000));
    relay.power(false, at(1000));
    assertThat(relay.on()).isFalse();
    relay.power(true, at(1010));
    assertThat(relay.on()).as("still welded").isTrue();
    relay.fault(Fault.WELDED, false);
    relay.hear("{\"on\":false}", at(1020));
    assertThat(relay.on()).isFalse();
  }

  @Test
  void deafItDoesNotRunAndDropsOutWhileRunning() {
    SimulatedDevice relay = new SimulatedDevice(RELAY, START);
    relay.hear("{\"on\":true,\"for\":30}", at(0));
    relay.fault(Fault.DEAF, true);
    relay.hear("{\"on\":true,\"for\":30}", at(10));
    assertThat(relay.leaseEndNanos()).hasValue(at(30));
    relay.advanceTo(at(30));
    assertThat(relay.on()).isFalse();
    relay.hear("{\"on\":true,\"for\":30}", at(40));
    assertThat(relay.on()).isFalse();
  }

  @Test
  void aPowerCutEndsTheLease() {
    SimulatedDevice pump = new SimulatedDevice(PUMP, START);
    pump.hear("on 12", at(0));
    pump.power(false, at(3));
    assertThat(pump.on()).isFalse();
    assertThat(pump.hear("on 12", at(4))).isFalse();
    pump.power(true, at(5));
    assertThat(pump.on()).isFalse();
    assertThat(pump.switches()).containsExactly(new Switch(at(0), true), new Switch(at(3), false));
  }

  @Test
  void aBadOneWakesRunningWithoutALease() {
    SimulatedDevice pump = new SimulatedDevice(PUMP, START);
    pump.fault(Fault.WAKES_ON, true);
    pump.power(false, at(1));
    pump.power(true, at(2));
    assertThat(pump.on()).isTrue();
    assertThat(pump.leaseEndNanos()).isEmpty();
    pump.advanceTo(at(600));
    assertThat(pump.on()).isTrue();
    pump.hear("off", at(601));
    assertThat(pump.on()).isFalse();
  }

  @Test
  void neverRunsWithoutALeaseAndItsLogAddsUp() {
    SplittableRandom random = new SplittableRandom(17);
    for (int run = 0; run < 200; run++) {
      SimulatedDevice pump = new SimulatedDevice(PUMP, START);
      long now = START;
      long mayRunUntil = START;
      for (int i = 0; i < 100; i++) {
        now += random.nextLong(1, TimeUnit.SECONDS.toNanos(10));
        switch (random.nextInt(4)) {
          case 0 -> {
            int lease = random.nextInt(1, 20);
            pump.hear("on " + lease, now);
            mayRunUntil = now + TimeUnit.SECONDS.toNanos(Math.min(lease, 12));
          }
          case 1 -> {
            pump.hear("off", now);
            mayRunUntil = now;
          }
          default -> pump.advanceTo(now);
        }
        assertThat(pump.on()).as("run %s, message %s", run, i).isEqualTo(now < mayRunUntil);
      }
      pump.advanceTo(now + TimeUnit.SECONDS.toNanos(12));
      assertThat(pump.onNanos()).isPositive().isEqualTo(onNanos(pump.switches()));
    }
  }

  private static long onNanos(List<Switch> switches) {
    long sum = 0;
    for (int i = 0; i < switches.size(); i += 2) {
      assertThat(switches.get(i).on()).isTrue();
      assertThat(switches.get(i + 1).on()).isFalse();
      sum += switches.get(i + 1).monoNanos() - switches.get(i).monoNanos();
    }
    return sum;
  }
}

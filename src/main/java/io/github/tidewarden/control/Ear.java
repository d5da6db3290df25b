package io.github.tidewarden.control;

import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.interlock.ConfirmSpec;
import io.github.tidewarden.interlock.Device;
import io.github.tidewarden.sensing.Payload;
import io.github.tidewarden.sensing.Reading;
import io.github.tidewarden.sensing.Sensor;
import io.github.tidewarden.sensing.SensorSpec;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.concurrent.TimeUnit;

/** Takes in what one event says, before anything is decided on it. */
final class Ear {

  /** How long after a connect or a standstill readings may be old ones that were held up. */
  static final long SETTLE_NANOS = TimeUnit.SECONDS.toNanos(2);

  /** How long after a failed write no reservation is tried. */
  static final long RETRY_NANOS = TimeUnit.SECONDS.toNanos(60);

  /** Sensors with a longer stale limit report on change; their late messages still count. */
  private static final long REPORTS_ON_CHANGE_NANOS = TimeUnit.SECONDS.toNanos(120);

  private final Turn turn;

  Ear(Turn turn) {
    this.turn = turn;
  }

  /** One event. */
  void hears(Event event) {
    if (event instanceof Event.Heard heard) {
      hear(heard.reading());
    } else if (event instanceof Event.Lost lost) {
      for (SensorSpec spec : turn.tank.sensorsByTopic.getOrDefault(lost.topic(), List.of())) {
        distrust(spec.name(), "incomplete, messages were lost: too many or too large");
      }
    } else if (event instanceof Event.LinkUp) {
      linkIsUp();
    } else if (event instanceof Event.LinkDown down) {
      turn.linkUp = false;
      turn.interruption = "the broker was lost: " + down.why();
      devicesUnheard();
    } else if (event instanceof Event.Undelivered undelivered) {
      turn.interruption = "a command did not get to the broker: " + undelivered.why();
    } else if (event instanceof Event.Synced synced) {
      synced(synced.ticket());
    } else if (event instanceof Event.Unwritten unwritten) {
      unwritten(unwritten);
    } else if (event instanceof Event.Stalled stalled) {
      turn.interruption =
          "the program stood still for " + TimeUnit.NANOSECONDS.toSeconds(stalled.nanos()) + " s";
      distrustAll("not heard since the program stood still");
    } else if (event instanceof Event.ClockChanged clock) {
      // The site writes that, once for all.
      turn.remembers(AuditRecord.of(turn.now, "", Kind.CLOCK, clock.what(), Map.of()));
    } else if (event instanceof Event.Stopping stopping) {
      turn.interruption = stopping.why();
      turn.linkUp = false; // what still comes in before the end must start nothing
    }
  }

  private void hear(Reading heard) {
    if (turn.before.faulted()) {
      return;
    }
    Reading reading = notYounger(heard);
    boolean late = reading.arrival().monoNanos() - turn.settledNanos < 0;
    for (SensorSpec spec : turn.tank.sensorsByTopic.getOrDefault(reading.topic(), List.of())) {
      Sensor was = turn.sensors.getOrDefault(spec.name(), Sensor.UNHEARD);
      Sensor is = was.accept(spec, reading);
      boolean held = late && spec.staleNanos() <= REPORTS_ON_CHANGE_NANOS;
      turn.sensors =
          turn.sensors.with(
              spec.name(),
              held ? is.distrusted("not certainly new, it may have been held up") : is);
      turn.narrator.hears(spec, was, is);
    }
    if (reading.retained()) {
      return;
    }
    for (String name : turn.tank.actuatorsByTopic.getOrDefault(reading.topic(), List.of())) {
      ConfirmSpec confirm = Objects.requireNonNull(turn.tank.confirm(name));
      String state = Payload.state(confirm.pointer(), reading.payload());
      if (confirm.onText().equals(state) || confirm.offText().equals(state)) {
        turn.devices =
            turn.devices.with(
                name,
                turn.device(name).reported(confirm.onText().equals(state), reading.arrival()));
      }
    }
  }

  /** One that came after the clocks were read for this step is as old as the step. */
  private Reading notYounger(Reading heard) {
    return turn.now.since(heard.arrival().monoNanos()) >= 0
        ? heard
        : new Reading(
            heard.arrivalNumber(), heard.topic(), heard.payload(), heard.retained(), turn.now);
  }

  private void linkIsUp() {
    turn.linkUp = true;
    turn.reconnected = true;
    if (turn.lease != null) {
      turn.interruption = "the broker was lost and is back";
    }
    distrustAll("not heard since the broker was reached");
    devicesUnheard();
    // While it is to be held the rest of the hold on top-off is no rest: fresh water would come in.
    TopOff topOff = turn.water.topOff();
    boolean holds =
        turn.memory.water().portion() != null
            || topOff.lease() != null
            || turn.now.since(topOff.untilNanos()) < 0
            || turn.memory.latches().keySet().stream().anyMatch(TopOffKeeper::isEndless);
    String held = holds ? turn.tank.hold() : null;
    turn.tank.gate.restAll().stream()
        .filter(rest -> !rest.actuator().equals(held))
        .forEach(turn::send);
    turn.narrator.tellsAllTrips();
  }

  /** No run outlives a gap, and a device's report from before it proves nothing. */
  private void devicesUnheard() {
    for (ActuatorSpec actuator : turn.tank.spec.actuators()) {
      Device device = turn.device(actuator.name());
      turn.devices = turn.devices.with(actuator.name(), device.toldToRest(turn.now).unheard());
    }
  }

  private void distrustAll(String why) {
    turn.settledNanos = turn.now.monoNanos() + SETTLE_NANOS;
    turn.tank.spec.sensors().forEach(spec -> distrust(spec.name(), why));
  }

  private void distrust(String name, String why) {
    Sensor sensor = turn.sensors.get(name);
    if (sensor != null) {
      turn.sensors = turn.sensors.with(name, sensor.distrusted(why));
    }
  }

  private void synced(long ticket) {
    TankState.Pending waiting = turn.pending;
    if (waiting != null && waiting.ticket() == ticket) {
      turn.memory = waiting.after();
      turn.pending = null;
    }
  }

  private void unwritten(Event.Unwritten unwritten) {
    TankState.Pending waiting = turn.pending;
    if (waiting != null && waiting.ticket() == unwritten.ticket()) {
      turn.pending = null;
      turn.retryNanos = turn.now.monoNanos() + RETRY_NANOS;
      turn.write(
          Kind.NOTICE, "no run can be recorded, so none starts: " + unwritten.why(), Map.of());
    }
  }
}

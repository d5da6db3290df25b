package io.github.tidewarden.rehearsal;

import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.rehearsal.SimulatedDevice.Fault;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.SensorSpec;
import java.time.Duration;
import java.util.List;
import java.util.Locale;
import java.util.concurrent.TimeUnit;
import java.util.function.UnaryOperator;
import org.jspecify.annotations.Nullable;

/**
 * What can go wrong at a rehearsed site: the rows of SAFETY.md that software can feel. Each begins
 * at a tank and gives what ends it again; it gives nothing where that tank cannot have it.
 */
enum Hazard {

  // Sensing.

  /** A redox probe repeats its last value. */
  REDOX_FROZEN(scene -> onSensor(scene, Measure.REDOX, SimulatedSensor::frozen), "F01"),

  /** A sensor says what a broken cable or converter says. */
  UNPLUGGED(Hazard::unplugged, "F02", "F13"),

  /** A redox probe falls dry: a step, then nothing moves. */
  REDOX_DRY(
      scene ->
          onSensor(
              scene,
              Measure.REDOX,
              (sensor, on) -> {
                sensor.offset(on ? -80 : 0);
                sensor.frozen(on);
              }),
      "F03"),

  /** A redox probe answers slowly. */
  REDOX_FOULED(
      scene -> onSensor(scene, Measure.REDOX, (sensor, on) -> sensor.fouled(on ? 0.02 : 1)), "F04"),

  /** A redox probe reads wrong. */
  REDOX_OFF(
      scene -> {
        double by = scene.random().nextDouble(-90, 90);
        return onSensor(scene, Measure.REDOX, (sensor, on) -> sensor.offset(on ? by : 0));
      },
      "F06"),

  /** Any sensor falls silent. */
  SILENT(
      scene -> {
        SensorSpec sensor = scene.sensor(any -> true);
        return sensor == null ? null : switched(scene.simulated(sensor), SimulatedSensor::silent);
      },
      "F07",
      "F16"),

  /** What reads all sensors of a tank has lost its power. */
  ALL_SILENT(Hazard::allSilent, "F07", "F16"),

  /** An old reading lies at the broker as retained when the daemon connects again. */
  RETAINED_READING(Hazard::retainedReading, "F08"),

  /** Messages are lost, come twice, come again later and pass each other. */
  UNRELIABLE_NETWORK(
      scene -> {
        scene.site().broker().unreliable(0.1, 0.3, 0.3);
        scene.site().broker().reorders(true);
        return () -> {
          scene.site().broker().unreliable(0, 0, 0);
          scene.site().broker().reorders(false);
        };
      },
      "F09"),

  /** Every message takes seconds. */
  SLOW_NETWORK(
      scene -> {
        scene.site().broker().slow(seconds(scene.random().nextLong(1, 12)));
        return () -> scene.site().broker().slow(0);
      },
      "F09",
      "F20"),

  /** A sensor changes its unit by a thousand. */
  WRONG_UNIT(Hazard::wrongUnit, "F11"),

  /** A contact stays as it is. */
  CONTACT_STUCK(
      scene -> {
        SensorSpec sensor = scene.sensor(spec -> spec.measure().contact());
        return sensor == null ? null : switched(scene.simulated(sensor), SimulatedSensor::frozen);
      },
      "F14"),

  /** Waves on the level. */
  WAVES(
      scene -> onSensor(scene, Measure.LEVEL, (sensor, on) -> sensor.noisier(on ? 20 : 1)), "F15"),

  // Ozone.

  /** A device's contact is welded. */
  WELDED(scene -> onDevice(scene, scene.anyActuator(), Fault.WELDED), "F19", "F42", "F45"),

  /** A device does not hear that it should run. */
  DEAF(scene -> onDevice(scene, scene.anyActuator(), Fault.DEAF), "F20", "F39"),

  /** A device reports nothing. */
  MUTE(scene -> onDevice(scene, scene.anyActuator(), Fault.MUTE), "F20"),

  /** A device leaves the network and comes back. */
  DEVICE_AWAY(
      scene -> {
        ActuatorSpec device = scene.anyActuator();
        scene.site().broker().away(device.topic(), true);
        return () -> scene.site().broker().away(device.topic(), false);
      },
      "F20"),

  /** A device has a cut of its own power and wakes running. */
  WAKES_ON(
      scene -> {
        ActuatorSpec actuator = scene.anyActuator();
        SimulatedDevice device = scene.device(actuator);
        scene.excuses(actuator);
        device.fault(Fault.WAKES_ON, true);
        power(scene, device, false);
        power(scene, device, true);
        return () -> {
          device.fault(Fault.WAKES_ON, false);
          power(scene, device, false);
          power(scene, device, true);
        };
      },
      "F66"),

  /** The broker is gone. */
  BROKER_DOWN(
      scene -> {
        scene.site().broker().lose("gone");
        return () -> scene.site().broker().connect();
      },
      "F21"),

  /** The connection is there and nothing goes through it. */
  DUMB_LINK(
      scene -> {
        scene.site().broker().dumb(true);
        return () -> scene.site().broker().dumb(false);
      },
      "F23"),

  /** Somebody else switches a device on. */
  FOREIGN_COMMAND(
      scene -> {
        foreign(scene, scene.anyActuator());
        return () -> {};
      },
      "F24"),

  /** Somebody says whatever on every topic of the tank. */
  HOSTILE_CLIENT(Hazard::hostile, "F25"),

  /** The skimmer's air is gone; ozone goes into the room. */
  AIR_LOST(
      scene -> {
        if (scene.sensor(Measure.AIR_FLOW) == null) {
          return null;
        }
        scene.water().airLost(true);
        return () -> scene.water().airLost(false);
      },
      "F26",
      "F29"),

  /** What takes up waste is full. */
  WASTE_FULL(scene -> contact(scene, Measure.FULL, 1), "F27"),

  /** The return stops, and what the display held comes down. */
  RETURN_STOPS(scene -> contact(scene, Measure.RUNNING, 0), "F28", "F68"),

  /** Ozone in the air of the room. */
  ROOM_OZONE(
      scene -> onSensor(scene, Measure.OZONE_IN_AIR, (sensor, on) -> sensor.offset(on ? 120 : 0)),
      "F29"),

  /** Redox rises by itself, to the ceiling and over it. */
  REDOX_RISES(
      scene -> {
        scene.water().baseline(scene.random().nextDouble(360, 640));
        return () -> scene.water().baseline(scene.model().redox().baselineMillivolts());
      },
      "F30",
      "F31"),

  /** The probes' leads pick up the generator. */
  PICK_UP(
      scene -> {
        if (scene.tank().ozone() == null) {
          return null;
        }
        scene.water().pickUp(scene.random().nextBoolean() ? -64 : 64);
        return () -> scene.water().pickUp(0);
      },
      "F67"),

  // Water.

  /** Somebody pours water into the sump, or takes some out. */
  LEVEL_WRONG(Hazard::levelWrong, "F35"),

  /** A pump moves less than it should, nothing, or more. */
  PUMPS_WEAK(
      scene -> {
        double[] moved = {0, 0.5, 0.8, 1.3};
        double out = moved[scene.random().nextInt(moved.length)];
        double in = moved[scene.random().nextInt(moved.length)];
        scene.excusesWater();
        scene.water().water().pumpsMove(out, in);
        return () -> scene.water().water().pumpsMove(1, 1);
      },
      "F36",
      "F38",
      "F41",
      "F71"),

  /** Water runs out of the sump. */
  SIPHON(
      scene -> {
        scene.water().water().runsOut(scene.random().nextDouble(0.05, 0.5));
        return () -> {
          scene.water().water().runsOut(0);
          middle(scene);
        };
      },
      "F37"),

  /** A clogged weir holds water back in the display. */
  WEIR_CLOGGED(
      scene -> {
        scene.water().water().heldBack(scene.random().nextDouble(0.1, 0.5));
        return () -> scene.water().water().heldBack(0);
      },
      "F69"),

  /** The bin of new water is empty. */
  BIN_EMPTY(
      scene -> {
        scene.water().bin().holds(0.1);
        return () -> {};
      },
      "F38"),

  /** Somebody fills the bin up with fresh water and says nothing. */
  BIN_FRESH(
      scene -> {
        ExchangeSpec exchange = scene.tank().exchange();
        if (exchange == null) {
          return null;
        }
        SimulatedBin bin = scene.water().bin();
        bin.holds(bin.litres() / 2);
        bin.fill(exchange.bin().holdsLitres() - bin.litres(), 0);
        return () -> {};
      },
      "F18",
      "F70"),

  /** A keeper confirms new water that has only just been mixed. */
  BIN_NOT_MIXED(
      scene -> {
        if (scene.tank().exchange() == null) {
          return null;
        }
        scene.keeper().confirms(scene.tank(), scene.water().bin(), Duration.ZERO);
        return () -> {};
      },
      "F73"),

  /** The floor is wet. */
  LEAK(scene -> contact(scene, Measure.LEAK, 1), "F44"),

  // Keeper.

  /** A keeper holds everything, and the daemon is killed meanwhile. */
  HELD(
      scene -> {
        scene.keeper().holds(scene.tank(), "tank", Duration.ofHours(2));
        scene.site().kill();
        scene.site().starts();
        return () -> {};
      },
      "F28",
      "F74"),

  /** A keeper resets whatever is latched, whether its cause is over or not. */
  RESETS(
      scene -> {
        scene.keeper().resets(scene.tank());
        return () -> scene.keeper().resets(scene.tank());
      },
      "F60"),

  // Time, process, host.

  /** The process is killed. */
  KILLED(
      scene -> {
        scene.site().kill();
        return () -> scene.site().starts();
      },
      "F22",
      "F40",
      "F55"),

  /** The process is killed again and again. */
  CRASH_LOOP(
      scene -> {
        for (int i = 1; i <= 5; i++) {
          scene.site().time().in(seconds(20L * i), scene.site()::kill);
          scene.site().time().in(seconds(20L * i + 3), scene.site()::starts);
        }
        return () -> {};
      },
      "F32",
      "F43",
      "F58"),

  /** The board's power goes, in a write of the disk if there is one soon; its clock is lost. */
  BOARD_POWER(
      scene -> {
        RehearsedDaemon daemon = scene.site().daemon();
        int life = daemon.life();
        int calls = scene.random().nextInt(6);
        // One that is dead writes nothing, and its disk is that of the next life.
        if (daemon.alive()) {
          daemon.disk().losePowerAfter(calls);
          scene.site().time().in(seconds(5), () -> scene.site().losePower(life));
        }
        return () -> scene.site().time().in(seconds(6), () -> boots(scene));
      },
      "F40",
      "F46"),

  /** The power of the whole house goes. */
  HOUSE_POWER(
      scene -> {
        scene.excusesWater();
        scene.site().losePower();
        scene.rig().power(false);
        Runnable flow = contact(scene, Measure.RUNNING, 0);
        return () -> {
          scene.rig().power(true);
          if (flow != null) {
            flow.run();
          }
          boots(scene);
        };
      },
      "F40",
      "F46",
      "F68"),

  /** Somebody sets the wall clock while the time service is away. */
  CLOCK_STEPPED(
      scene -> {
        long[] steps = {-86_400, -3_600, -1, 1, 900, 3_600, 18_000, 86_400};
        scene.site().board().timeService(false);
        scene.site().board().step(Duration.ofSeconds(steps[scene.random().nextInt(steps.length)]));
        return () -> scene.site().board().timeService(true);
      },
      "F43",
      "F47"),

  /** The disk is full, or fails every call. */
  DISK_FULL(
      scene -> {
        scene.site().daemon().diskFails(true);
        return () -> scene.site().daemon().diskFails(false);
      },
      "F52"),

  /** Some writes or syncs fail. */
  SYNC_FAILS(Hazard::syncFails, "F54"),

  /** The disk is slow. */
  DISK_SLOW(
      scene -> {
        scene.site().daemon().slowDisk(seconds(scene.random().nextLong(1, 8)));
        return () -> scene.site().daemon().slowDisk(0);
      },
      "F52"),

  /** A bit of the audit turns round while the daemon is down. */
  BIT_FLIPPED(Hazard::bitFlipped, "F53", "F64"),

  /** The program stands still. */
  STANDSTILL(
      scene -> {
        scene.site().daemon().standStill(true);
        return () -> scene.site().daemon().standStill(false);
      },
      "F56");

  /** Begins at a tank; gives what ends it, or nothing where that tank cannot have it. */
  private interface Begin {
    @Nullable Runnable at(Scene scene);
  }

  /** Switches something on a sensor on or off. */
  private interface Switch<T> {
    void to(T what, boolean on);
  }

  private static final List<String> BROKEN_CABLE =
      List.of("0", "-2000", "NaN", "Infinity", "null", "", "{}", "[", "1e999", "--", "\"\"");

  private static final List<SimulatedDisk.FailedWrite> LEFT_BEHIND =
      List.of(
          SimulatedDisk.FailedWrite.NOTHING,
          SimulatedDisk.FailedWrite.A_PART,
          SimulatedDisk.FailedWrite.ALL);

  @SuppressWarnings("ImmutableEnumChecker") // none of them holds anything that changes
  private final Begin begin;

  @SuppressWarnings("ImmutableEnumChecker") // a list that cannot be changed
  private final List<String> rows;

  Hazard(Begin begin, String... rows) {
    this.begin = begin;
    this.rows = List.of(rows);
  }

  /** The rows of SAFETY.md that it is. */
  List<String> rows() {
    return rows;
  }

  /** Its name as a keeper reads it. */
  String told() {
    return name().toLowerCase(Locale.ROOT).replace('_', ' ');
  }

  /** Begins; gives what ends it, or null where that tank cannot have it. */
  @Nullable Runnable begin(Scene scene) {
    return begin.at(scene);
  }

  private static long seconds(long count) {
    return TimeUnit.SECONDS.toNanos(count);
  }

  private static <T> Runnable switched(T what, Switch<T> how) {
    how.to(what, true);
    return () -> how.to(what, false);
  }

  private static @Nullable Runnable onSensor(
      Scene scene, Measure measure, Switch<SimulatedSensor> how) {
    SensorSpec sensor = scene.sensor(measure);
    return sensor == null ? null : switched(scene.simulated(sensor), how);
  }

  private static Runnable onDevice(Scene scene, ActuatorSpec actuator, Fault fault) {
    scene.excuses(actuator);
    SimulatedDevice device = scene.device(actuator);
    device.fault(fault, true);
    return () -> {
      device.fault(fault, false);
      power(scene, device, false); // somebody opens its contact by hand
      power(scene, device, true);
    };
  }

  private static void power(Scene scene, SimulatedDevice device, boolean given) {
    scene.site().power(scene.tank().name(), device.spec().name(), given);
  }

  private static @Nullable Runnable contact(Scene scene, Measure measure, double value) {
    if (scene.sensor(measure) == null) {
      return null;
    }
    double before = scene.water().value(measure);
    scene.water().set(measure, value);
    return () -> scene.water().set(measure, before);
  }

  private static @Nullable Runnable mangled(
      Scene scene, @Nullable SensorSpec sensor, UnaryOperator<String> how) {
    if (sensor == null) {
      return null;
    }
    scene.site().broker().mangle(sensor.topic(), how);
    return () -> scene.site().broker().mangle(sensor.topic(), null);
  }

  private static @Nullable Runnable unplugged(Scene scene) {
    int which = scene.random().nextInt(BROKEN_CABLE.size() + 2);
    String said =
        which < BROKEN_CABLE.size()
            ? BROKEN_CABLE.get(which)
            : which == BROKEN_CABLE.size() ? "9".repeat(100_000) : "[".repeat(5_000);
    return mangled(scene, scene.sensor(any -> true), any -> said);
  }

  private static @Nullable Runnable wrongUnit(Scene scene) {
    SensorSpec sensor = scene.sensor(spec -> !spec.measure().contact());
    double factor = scene.random().nextBoolean() ? 1000 : 0.001;
    return mangled(
        scene,
        sensor,
        said -> {
          int digits = said.indexOf(':') + 1; // the number stands behind it, or alone
          int end = digits;
          while (end < said.length() && "+-.0123456789eE".indexOf(said.charAt(end)) >= 0) {
            end++;
          }
          try {
            double value = Double.parseDouble(said.substring(digits, end));
            return said.substring(0, digits) + value * factor + said.substring(end);
          } catch (NumberFormatException e) {
            return said;
          }
        });
  }

  private static @Nullable Runnable retainedReading(Scene scene) {
    SensorSpec sensor = scene.sensor(Measure.REDOX);
    if (sensor == null) {
      return null;
    }
    JsonAt message = new JsonAt();
    message.scalar(sensor.pointer(), "310");
    SimulatedBroker broker = scene.site().broker();
    broker.retain(new SiteRig.Message(sensor.topic(), message.payload()));
    scene.simulated(sensor).silent(true);
    broker.lose("started again");
    broker.connect();
    return () -> scene.simulated(sensor).silent(false);
  }

  private static Runnable hostile(Scene scene) {
    boolean[] over = {false};
    scene.excusesWater();
    scene.tank().actuators().forEach(scene::excuses);
    hostileOnce(scene, over);
    return () -> over[0] = true;
  }

  private static void hostileOnce(Scene scene, boolean[] over) {
    if (over[0]) {
      return;
    }
    SensorSpec sensor = scene.sensor(any -> true);
    if (sensor != null) {
      JsonAt message = new JsonAt();
      double low = sensor.plausibleLow();
      double value = low + (sensor.plausibleHigh() - low) * scene.random().nextDouble(-0.2, 1.2);
      message.scalar(sensor.pointer(), Double.toString(value));
      scene.site().broker().toDaemon(new SiteRig.Message(sensor.topic(), message.payload()));
    }
    if (scene.random().nextInt(10) == 0) {
      foreign(scene, scene.anyActuator());
    }
    scene
        .site()
        .time()
        .in(
            TimeUnit.MILLISECONDS.toNanos(scene.random().nextLong(20, 2_000)),
            () -> hostileOnce(scene, over));
  }

  private static void foreign(Scene scene, ActuatorSpec actuator) {
    scene.excuses(actuator);
    scene
        .site()
        .foreign(
            actuator.topic(),
            actuator
                .runTemplate()
                .replace(ActuatorSpec.SECONDS, Integer.toString(actuator.dropOutSeconds())));
  }

  private static @Nullable Runnable levelWrong(Scene scene) {
    ExchangeSpec.Level level = scene.level();
    if (level == null) {
      return null;
    }
    double by = scene.random().nextDouble(5, 30);
    scene
        .water()
        .set(
            Measure.LEVEL,
            scene.random().nextBoolean()
                ? level.highMillimetres() + by
                : level.lowMillimetres() - by);
    return () -> middle(scene);
  }

  private static void middle(Scene scene) {
    ExchangeSpec.Level level = scene.level();
    if (level != null) {
      scene.water().set(Measure.LEVEL, (level.lowMillimetres() + level.highMillimetres()) / 2);
    }
  }

  private static void boots(Scene scene) {
    if (scene.site().daemon().alive()) {
      return; // another fault has started it meanwhile
    }
    long[] wrong = {0, -86_400, -3_600, 3_600, -1_700_000_000};
    boolean late = scene.random().nextBoolean();
    SimulatedBoard board = scene.site().board();
    board.boots(Duration.ofSeconds(wrong[scene.random().nextInt(wrong.length)]));
    board.timeService(!late);
    scene.site().starts();
    if (late) {
      scene.site().time().in(seconds(600), () -> board.timeService(true));
    }
  }

  private static Runnable bitFlipped(Scene scene) {
    scene.site().kill();
    scene.site().flipsABit(scene.random());
    return () -> scene.site().starts();
  }

  private static Runnable allSilent(Scene scene) {
    List<SimulatedSensor> all =
        scene.tank().sensors().stream().map(scene::simulated).distinct().toList();
    all.forEach(sensor -> sensor.silent(true));
    return () -> all.forEach(sensor -> sensor.silent(false));
  }

  private static Runnable syncFails(Scene scene) {
    SimulatedDisk disk = scene.site().daemon().disk();
    disk.failedWriteLeaves(LEFT_BEHIND.get(scene.random().nextInt(LEFT_BEHIND.size())));
    disk.failNext(scene.random().nextInt(8), 1 + scene.random().nextInt(3));
    return disk::heal;
  }
}

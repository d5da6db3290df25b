package io.github.tidewarden.control;

import io.github.tidewarden.quantity.Moment;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Map;
import java.util.SplittableRandom;
import java.util.TreeMap;

/**
 * One random story of two tanks: readings good and bad, silences, a link that flaps, a clock that
 * steps, a disk that fills up or hangs, generators that say nothing or what is not true, crashes
 * with and without loss, a keeper who resets.
 */
final class RandomNight {
  private static final Duration PER_NIGHT = Duration.ofMinutes(20);
  private static final Duration PER_24H = Duration.ofMinutes(25);
  private static final Duration SHORTEST_OFF = Duration.ofSeconds(60);
  private static final List<String> TANKS = List.of("lagoon", "reef");
  private static final List<Bench.Disk> DISKS =
      List.of(
          Bench.Disk.WORKS, Bench.Disk.WORKS, Bench.Disk.WORKS, Bench.Disk.FULL, Bench.Disk.HANGS);
  private static final List<String> JUNK =
      List.of("x", "", "NaN", "-5", "1e9", "{\"mv\":null}", "null", "49.9", "[]", "{\"mv\":\"n\"}");

  /** How a tank behaves for a while. */
  private static final class Water {
    double redox = 320;
    double air = 5;
    boolean mute;
    boolean junk;
  }

  private final SplittableRandom random;
  private final boolean clockIsHonest;
  private final Map<String, Water> waters = new TreeMap<>();
  private final Instant began;
  private double roomOzone = 3;
  private long requests;
  final Lab lab;

  RandomNight(long seed) {
    random = new SplittableRandom(seed);
    clockIsHonest = random.nextInt(3) != 0;
    began = Bench.WINDOW_OPENS.minusSeconds(random.nextInt(1200));
    TankSpec[] tanks = TANKS.stream().map(RandomNight::tank).toArray(TankSpec[]::new);
    lab = new Lab(Specs.site(PER_24H, tanks), began, random);
    lab.messagesAreSlow = random.nextInt(4) == 0;
    for (String tank : TANKS) {
      waters.put(tank, new Water());
      lab.oracles.put(tank, new Oracle(tank, PER_NIGHT, PER_24H, SHORTEST_OFF, clockIsHonest));
    }
    lab.starts();
    lab.link(true);
  }

  private static TankSpec tank(String name) {
    return Specs.with(
        Specs.lagoon(name, "lab/" + name),
        Specs.ozone(PER_NIGHT, SHORTEST_OFF, Specs.window("01:30", "03:00")));
  }

  int runs() {
    return lab.oracles.values().stream().mapToInt(oracle -> oracle.runs).sum();
  }

  /** Goes on until so many steps have been taken. */
  void takes(int most) {
    while (lab.steps < most) {
      happens(random.nextInt(1000));
      if (!lab.trusted && random.nextInt(15) == 0) {
        trustsClock();
      }
      everySensorSpeaks();
      lab.event(new Event.Tick());
      for (Oracle oracle : lab.oracles.values()) {
        oracle.judgeTotals(lab.memory(oracle.tank), lab.real);
      }
    }
  }

  // What happens.

  private void happens(int what) {
    if (what < 790) {
      lab.passes(1 + random.nextInt(9));
    } else if (what < 840) {
      waterChanges(anyTank());
    } else if (what < 900) {
      TANKS.forEach(this::calms);
    } else if (what < 906) {
      roomOzone = random.nextInt(4) == 0 ? 90 + random.nextInt(20) : 3;
    } else if (what < 914) {
      linkFlaps();
    } else if (what < 919) {
      lab.passes(5 + random.nextInt(60));
      lab.stalls(5);
    } else if (what < 923) {
      String tank = anyTank();
      lab.loses(tank, topic(tank, "redox-a"), "redox-a");
    } else if (what < 926) {
      lab.event(new Event.Undelivered(anyTank(), "full"));
    } else if (what < 934) {
      clockSteps();
    } else if (what < 948) {
      lab.disk(DISKS.get(random.nextInt(DISKS.size())));
    } else if (what < 955) {
      crashes();
    } else if (what < 994) {
      keeperResets(anyTank());
    } else if (what < 997) {
      reportsWhatIsNotTrue(anyTank());
    } else if (random.nextInt(3) == 0) {
      lab.passes(86_400 - random.nextInt(7000));
      lab.stalls(80_000);
    }
  }

  private String anyTank() {
    return TANKS.get(random.nextInt(TANKS.size()));
  }

  private void waterChanges(String tank) {
    Water water = waters.get(tank);
    switch (random.nextInt(8)) {
      case 0 -> water.redox = 395 + random.nextInt(10);
      case 1 -> water.redox = 418 + random.nextInt(10);
      case 2 -> water.redox = 335 + random.nextInt(35);
      case 3 -> water.air = random.nextInt(6);
      case 4 -> water.mute = random.nextInt(3) == 0;
      case 5 -> water.junk = random.nextInt(3) == 0;
      case 6 -> lab.deviceMute.add(tank);
      default -> calms(tank);
    }
  }

  private void calms(String tank) {
    waters.put(tank, new Water());
    lab.deviceMute.remove(tank);
  }

  private void linkFlaps() {
    lab.link(!lab.linkUp);
    lab.passes(random.nextInt(5));
    if (!lab.linkUp && random.nextInt(4) != 0) {
      lab.link(true);
    }
  }

  private void clockSteps() {
    long seconds =
        random.nextInt(3) == 0 ? random.nextInt(200_000) - 100_000 : random.nextInt(4000) - 2000;
    lab.wall = lab.wall.plusSeconds(seconds);
    lab.trusted = false;
    lab.event(new Event.ClockChanged("stepped"));
    lab.passes(random.nextInt(20));
    if (random.nextInt(4) != 0) {
      trustsClock();
    }
  }

  private void trustsClock() {
    lab.trusted = true;
    if (clockIsHonest) {
      lab.wall = began.plusNanos(lab.real);
    }
    lab.event(new Event.ClockChanged("trusted"));
  }

  private void crashes() {
    lab.passes(random.nextInt(3) == 0 ? 20 + random.nextInt(300) : random.nextInt(3));
    if (random.nextInt(3) == 0) {
      lab.bootsTheMachine();
      lab.trusted = lab.trusted && random.nextBoolean();
    }
    lab.dies(random.nextBoolean());
    lab.starts();
    lab.link(true);
  }

  private void keeperResets(String tank) {
    List<String> latched = List.copyOf(lab.memory(tank).latches().keySet());
    String name = latched.isEmpty() ? "nothing" : latched.get(random.nextInt(latched.size()));
    if (!latched.isEmpty() && random.nextInt(3) == 0) {
      calms(tank);
      roomOzone = 3;
    }
    Moment now = lab.now();
    lab.event(
        new Event.Asked(
            KeeperActTest.request(
                ++requests, "reset", tank, name, "", "rosa", "id-" + requests, now.wall())));
  }

  /**
   * A generator's report that is wrong, or old. Where messages are slow none that says "off", for
   * that is taken for the confirmation of a rest that has not arrived yet.
   */
  private void reportsWhatIsNotTrue(String tank) {
    lab.reports(tank, lab.messagesAreSlow || random.nextBoolean());
  }

  // Sensors.

  private void everySensorSpeaks() {
    for (String tank : TANKS) {
      Water water = waters.get(tank);
      if (!water.mute) {
        speaks(List.of(tank), "redox-a", water.redox, water.junk);
        speaks(List.of(tank), "redox-b", water.redox + 3, false);
        speaks(List.of(tank), "skimmer-air", water.air, false);
      }
    }
    speaks(TANKS, "room-ozone", roomOzone, false);
  }

  private void speaks(List<String> heardBy, String sensor, double value, boolean junk) {
    boolean isJunk = junk && random.nextInt(3) == 0;
    boolean retained = random.nextInt(40) == 0;
    String number = Double.toString(value);
    String payload =
        isJunk
            ? JUNK.get(random.nextInt(JUNK.size()))
            : sensor.equals("redox-b") ? "{\"mv\":" + number + "}" : number;
    for (String tank : heardBy) {
      lab.oracles.get(tank).hears(sensor, isJunk ? null : value, retained, lab.mono);
    }
    lab.hear(topic(heardBy.get(0), sensor), payload, retained);
  }

  private static String topic(String tank, String sensor) {
    return switch (sensor) {
      case "redox-a" -> "lab/" + tank + "/redox/a";
      case "redox-b" -> "lab/" + tank + "/redox/b";
      case "skimmer-air" -> "lab/" + tank + "/air";
      default -> "lab/gallery/ozone";
    };
  }
}

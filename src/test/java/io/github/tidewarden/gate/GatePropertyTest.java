package io.github.tidewarden.gate;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.sensing.Quality;
import io.github.tidewarden.sensing.Signal;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;

/**
 * Random worlds against what a run needs, stated here anew and not taken from the gate. Most worlds
 * are well but for one or two things, since a world that is wrong all over proves little.
 */
class GatePropertyTest {
  private static final int WORLDS = 100_000;
  private static final long SECOND = GateBench.SECOND;
  private static final long MINUTE = GateBench.MINUTE;

  /** A bench with what it was made of. */
  private static final class World {
    final GateBench bench = new GateBench();
    final int dropOut;
    final boolean carriesLease;
    final double ceiling;
    final long perNight;
    final long per24h;
    final long quantum;
    final List<Signal> probes;
    final boolean grantOfThisNight;

    World(SplittableRandom random) {
      dropOut = random.nextInt(6, 121);
      carriesLease = random.nextInt(3) > 0;
      ceiling = random.nextDouble(60, 700);
      perNight = 1 + random.nextLong(90 * MINUTE);
      per24h = 1 + random.nextLong(240 * MINUTE);
      quantum = 1 + random.nextLong(5 * MINUTE);
      bench.gate =
          GateBench.gate(
              dropOut,
              carriesLease ? GateBench.WITH_LEASE : GateBench.WITHOUT_LEASE,
              new Gate.OzoneLimits("generator", ceiling, perNight, per24h, quantum));
      bench.mono = random.nextInt(4) == 0 ? Long.MAX_VALUE - 100 : random.nextLong();
      bench.wall = wall(random);
      bench.trusted = random.nextInt(20) > 0;
      bench.linkUp = random.nextInt(20) > 0;
      bench.asked = random.nextInt(20) > 0;
      bench.stops = random.nextInt(20) > 0 ? List.of() : List.of("leak: wet");
      bench.closed = random.nextInt(20) > 0 ? Set.of("2026-01-13#0") : Set.of(GateBench.WINDOW);
      bench.spentInNight = spent(random, perNight);
      bench.spentIn24h = spent(random, per24h);
      bench.grant = random.nextInt(3) == 0 ? 0 : random.nextLong(random.nextInt(2) + 4 * MINUTE);
      grantOfThisNight = random.nextInt(20) > 0;
      bench.grantNight = LocalDate.parse(grantOfThisNight ? "2026-01-14" : "2026-01-13");
      probes = probes(random);
      bench.redox = probes;
      bench.lease = random.nextBoolean() ? null : lease(random);
    }

    private static Instant wall(SplittableRandom random) {
      return switch (random.nextInt(6)) {
        case 0 -> GateBench.CLOSES.minusNanos(random.nextLong(-SECOND, 60 * SECOND));
        case 1 -> GateBench.OPENS.plusNanos(random.nextLong(-SECOND, SECOND));
        case 2 -> GateBench.OPENS.plusSeconds(random.nextLong(-200_000, 200_000));
        default -> GateBench.OPENS.plusMillis(random.nextLong(89 * 60_000));
      };
    }

    private static long spent(SplittableRandom random, long limit) {
      return switch (random.nextInt(8)) {
        case 0 -> limit + random.nextLong(-2, 3) < 0 ? 0 : limit + random.nextLong(-1, 3);
        case 1 -> Math.max(0, limit - random.nextLong(3 * SECOND));
        default -> random.nextLong(limit);
      };
    }

    private List<Signal> probes(SplittableRandom random) {
      List<Signal> made = new ArrayList<>();
      int count = random.nextInt(20) == 0 ? 0 : random.nextInt(1, 4);
      for (int i = 0; i < count; i++) {
        double value = random.nextDouble(50, ceiling);
        long age = random.nextLong(119 * SECOND);
        Quality quality = Quality.GOOD;
        switch (random.nextInt(60)) {
          case 0 -> value = ceiling;
          case 1 -> value = Math.nextUp(ceiling);
          case 2 -> value = Math.nextDown(ceiling);
          case 3 -> value = Double.NaN;
          case 4 -> value = random.nextDouble(-50, 50);
          case 5 -> value = random.nextBoolean() ? 1 / 0.0 : -1 / 0.0;
          case 6 -> age = 120 * SECOND + random.nextLong(-1, 2);
          case 7 -> age = random.nextBoolean() ? Long.MAX_VALUE : -1;
          case 8 -> quality = Quality.UNCERTAIN;
          case 9 -> quality = Quality.BAD;
          default -> {}
        }
        made.add(GateBench.probe("redox-" + i, value, quality, age));
      }
      return made;
    }

    /** A live run, renewed not long ago, that nearly always lies within its grant. */
    private Lease lease(SplittableRandom random) {
      int seconds = carriesLease ? random.nextInt(1, dropOut + 1) : dropOut;
      long sent = bench.mono - random.nextLong((dropOut + 2) * SECOND);
      long started = sent - random.nextLong(100 * SECOND);
      long bound = sent + (seconds + Math.max(1, seconds / 3)) * SECOND;
      if (random.nextInt(20) > 0) {
        bench.grant = bound - started + random.nextLong(100 * SECOND * random.nextInt(3) + 1);
      }
      return new Lease(started, sent, seconds, bound);
    }

    // What a run needs.

    boolean leaseLives() {
      return bench.lease == null
          || bench.mono - bench.lease.sentNanos() < bench.lease.seconds() * SECOND;
    }

    boolean leaseIsCovered() {
      return bench.lease == null
          || bench.lease.boundNanos() - bench.lease.startedNanos() <= bench.grant;
    }

    boolean everyRequirementIsMet() {
      boolean window = !bench.wall.isBefore(GateBench.OPENS) && leftInWindow() > 0;
      boolean probesAreWell =
          !probes.isEmpty()
              && probes.stream()
                  .allMatch(
                      probe ->
                          probe.quality() == Quality.GOOD
                              && Double.isFinite(probe.value())
                              && probe.value() < ceiling
                              && probe.value() >= 50
                              && probe.ageNanos() >= 0
                              && probe.ageNanos() < 120 * SECOND);
      return bench.asked
          && bench.stops.isEmpty()
          && bench.linkUp
          && bench.trusted
          && window
          && !bench.closed.contains(GateBench.WINDOW)
          && probesAreWell
          && bench.spentInNight <= perNight
          && bench.spentIn24h <= per24h
          && (bench.grant == 0 || grantOfThisNight)
          && leaseLives()
          && leaseIsCovered();
    }

    /** Only meaningful near the window. */
    long leftInWindow() {
      return Duration.between(bench.wall, GateBench.CLOSES).toNanos();
    }

    /** What is left of the reservation. */
    long granted() {
      return bench.grant - (bench.lease == null ? 0 : bench.mono - bench.lease.startedNanos());
    }

    /** The longest lease that with its expiry fits into what is left; 0 for none. */
    int longestLease(long left) {
      for (int lease = dropOut; lease >= (carriesLease ? 1 : dropOut); lease--) {
        if ((lease + Math.max(1, lease / 3)) * SECOND <= left) {
          return lease;
        }
      }
      return 0;
    }
  }

  @Test
  void runsOnlyWhenEveryRequirementIsMetAndNeverForLongerThanIsLeft() {
    int runs = 0;
    int renewals = 0;
    int rests = 0;
    int reservations = 0;
    for (int seed = 0; seed < WORLDS; seed++) {
      World world = new World(new SplittableRandom(seed));
      Lease before = world.bench.lease;
      boolean met = world.everyRequirementIsMet();
      Gate.Decision decision = world.bench.decide();
      String told = "seed " + seed + ": " + decision;
      Command command = decision.command();
      if (command != null && command.runs()) {
        runs++;
        renewals += before == null ? 0 : 1;
        assertThat(met).as(told).isTrue();
        assertThat(decision.denials()).as(told).isEmpty();
        assertCommandFits(world, before, decision, told);
      }
      if (decision.reserveNanos() != 0) {
        reservations++;
        assertThat(met).as(told).isTrue();
        assertReservationFits(world, decision.reserveNanos(), told);
      }
      boolean rest = command != null && !command.runs();
      rests += rest ? 1 : 0;
      assertThat(rest).as(told).isEqualTo(before != null && decision.lease() == null);
      if (decision.lease() != null) {
        assertThat(met).as("a run lives on only while all is well; " + told).isTrue();
      }
    }
    // Counted so that the property cannot hold for want of cases.
    assertThat(List.of(runs, renewals, rests, reservations)).allMatch(count -> count > WORLDS / 50);
  }

  private static void assertCommandFits(
      World world, Lease before, Gate.Decision decision, String told) {
    Command command = decision.command();
    long bound = (command.leaseSeconds() + command.expirySeconds()) * SECOND;
    assertThat(command.expirySeconds()).as(told).isEqualTo(Math.max(1, command.leaseSeconds() / 3));
    assertThat(bound).as("within the window; " + told).isLessThanOrEqualTo(world.leftInWindow());
    assertThat(bound).as("within the grant; " + told).isLessThanOrEqualTo(world.granted());
    assertThat(command.leaseSeconds()).as(told).isBetween(1, world.dropOut);
    if (!world.carriesLease) {
      assertThat(command.leaseSeconds()).as(told).isEqualTo(world.dropOut);
    } else {
      assertThat(command.payload()).as(told).contains("\"for\":" + command.leaseSeconds() + "}");
    }
    Lease lease = decision.lease();
    assertThat(lease.sentNanos()).as(told).isEqualTo(world.bench.mono);
    assertThat(lease.startedNanos())
        .as(told)
        .isEqualTo(before == null ? world.bench.mono : before.startedNanos());
    long later = before == null ? bound : Math.max(bound, before.boundNanos() - world.bench.mono);
    assertThat(lease.boundNanos() - world.bench.mono).as(told).isEqualTo(later);
  }

  private static void assertReservationFits(World world, long nanos, String told) {
    assertThat(nanos).as(told).isPositive();
    assertThat(nanos % SECOND).as("whole seconds; " + told).isZero();
    assertThat(nanos + Math.max(0, world.granted())).as(told).isLessThanOrEqualTo(world.quantum);
    assertThat(nanos + world.bench.spentInNight).as(told).isLessThanOrEqualTo(world.perNight);
    assertThat(nanos + world.bench.spentIn24h).as(told).isLessThanOrEqualTo(world.per24h);
    assertThat(nanos + Math.max(0, world.granted()))
        .as("what the window can hold; " + told)
        .isLessThanOrEqualTo(world.leftInWindow());
  }

  /** The other way round: where all is well and time is reserved, it runs as long as it may. */
  @Test
  void runsWheneverEveryRequirementIsMetAndTimeIsLeft() {
    int starts = 0;
    for (int seed = 0; seed < WORLDS; seed++) {
      World world = new World(new SplittableRandom(seed));
      world.bench.lease = null;
      boolean met = world.everyRequirementIsMet();
      int longest = world.longestLease(Math.min(world.leftInWindow(), world.bench.grant));
      Gate.Decision decision = world.bench.decide();
      if (met && world.bench.grant > 0) {
        int lease = decision.command() == null ? 0 : decision.command().leaseSeconds();
        assertThat(lease).as("seed " + seed + ": " + decision).isEqualTo(longest);
        assertThat(decision.denials().isEmpty()).isEqualTo(longest > 0);
        starts += longest > 0 ? 1 : 0;
      }
      if (!met && world.bench.asked) {
        assertThat(decision.denials()).as("seed " + seed).isNotEmpty();
      }
    }
    assertThat(starts).isGreaterThan(WORLDS / 50);
  }

  /** A live run is renewed when it is due and a renewal would let it run on. */
  @Test
  void renewsWheneverItIsDueAndTimeIsLeft() {
    int renewals = 0;
    for (int seed = 0; seed < WORLDS; seed++) {
      World world = new World(new SplittableRandom(seed));
      Lease lease = world.bench.lease;
      if (lease == null || !world.everyRequirementIsMet()) {
        continue;
      }
      int longest = world.longestLease(Math.min(world.leftInWindow(), world.granted()));
      long passed = world.bench.mono - lease.sentNanos();
      boolean due = passed * 3 >= lease.seconds() * SECOND;
      boolean runsOn = longest * SECOND - (lease.seconds() * SECOND - passed) >= SECOND;
      Command command = world.bench.decide().command();
      assertThat(command != null && command.runs()).as("seed " + seed).isEqualTo(due && runsOn);
      renewals += due && runsOn ? 1 : 0;
    }
    assertThat(renewals).isGreaterThan(WORLDS / 50);
  }

  /** Making any one thing worse never turns no run into a run, nor rest into a run that lives. */
  @Test
  void whatIsWorseNeverLetsItRun() {
    int stopped = 0;
    for (int seed = 0; seed < WORLDS; seed++) {
      SplittableRandom random = new SplittableRandom(seed);
      World world = new World(random);
      Lease lease = world.bench.lease;
      Gate.Decision before = world.bench.decide();
      world.bench.lease = lease;
      String worse = worsen(world, random);
      Gate.Decision after = world.bench.decide();
      String told = "seed " + seed + ", " + worse + ": " + before + " then " + after;
      if (before.command() == null || !before.command().runs()) {
        assertThat(after.command() != null && after.command().runs()).as(told).isFalse();
      }
      if (before.lease() == null) {
        assertThat(after.lease()).as(told).isNull();
      } else if (after.lease() == null) {
        stopped++;
      } else if (after.command() != null && after.command().runs()) {
        assertThat(after.command().leaseSeconds())
            .as(told)
            .isLessThanOrEqualTo(before.command().leaseSeconds());
      }
    }
    assertThat(stopped).isGreaterThan(WORLDS / 50);
  }

  private static String worsen(World world, SplittableRandom random) {
    GateBench bench = world.bench;
    int which = random.nextInt(bench.redox.isEmpty() ? 11 : 14);
    switch (which) {
      case 0 -> bench.asked = false;
      case 1 -> bench.linkUp = false;
      case 2 -> bench.trusted = false;
      case 3 -> bench.stops = List.of("leak: wet");
      case 4 -> bench.closed = Set.of(GateBench.WINDOW);
      case 5 -> bench.spentInNight += 1 + random.nextLong(10 * MINUTE);
      case 6 -> bench.spentIn24h += 1 + random.nextLong(10 * MINUTE);
      case 7 -> bench.grant -= random.nextLong(bench.grant + 1);
      case 8 -> bench.redox = List.of();
      case 9 -> bench.grantNight = null;
      case 10 -> bench.redox = with(bench.redox, GateBench.probe("more", world.ceiling));
      default -> {
        List<Signal> probes = new ArrayList<>(bench.redox);
        int at = random.nextInt(probes.size());
        probes.set(at, worse(probes.get(at), which, random));
        bench.redox = probes;
      }
    }
    return "worse " + which;
  }

  private static List<Signal> with(List<Signal> probes, Signal one) {
    List<Signal> more = new ArrayList<>(probes);
    more.add(one);
    return more;
  }

  private static Signal worse(Signal probe, int which, SplittableRandom random) {
    return switch (which) {
      case 11 ->
          GateBench.probe(
              probe.name(),
              probe.value(),
              random.nextBoolean() ? Quality.UNCERTAIN : Quality.BAD,
              probe.ageNanos());
      case 12 ->
          GateBench.probe(
              probe.name(),
              probe.value() >= 50 ? probe.value() + random.nextDouble(700) : Double.NaN,
              probe.quality(),
              probe.ageNanos());
      default ->
          GateBench.probe(
              probe.name(),
              probe.value(),
              probe.quality(),
              probe.ageNanos() < 0 ? Long.MIN_VALUE : Long.MAX_VALUE);
    };
  }
}

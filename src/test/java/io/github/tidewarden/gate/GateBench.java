package io.github.tidewarden.gate;

import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.NightPlan;
import io.github.tidewarden.schedule.WindowSpec;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Quality;
import io.github.tidewarden.sensing.Signal;
import java.time.DayOfWeek;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.ZoneId;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.List;
import java.util.Set;

/**
 * A gate before a generator, and the world that it looks at: all is well at first, half an hour
 * into a window from 01:30 to 03:00, and a test spoils what it is about.
 */
final class GateBench {
  static final long SECOND = 1_000_000_000L;
  static final long MINUTE = 60 * SECOND;
  static final double CEILING = 400;
  static final Instant OPENS = Instant.parse("2026-01-15T01:30:00Z");
  static final Instant CLOSES = Instant.parse("2026-01-15T03:00:00Z");
  static final String WINDOW = "2026-01-14#0";
  static final NightPlan PLAN =
      NightPlan.of(
          LocalDate.parse("2026-01-14"),
          ZoneId.of("Europe/Lisbon"),
          List.of(
              new WindowSpec(
                  LocalTime.of(1, 30), LocalTime.of(3, 0), EnumSet.allOf(DayOfWeek.class))));

  static final String WITH_LEASE = "{\"on\":true,\"for\":{seconds}}";
  static final String WITHOUT_LEASE = "on";

  Gate gate = gate(30, WITH_LEASE, limits());
  Lease lease;
  Instant wall = OPENS.plusSeconds(1800);
  long mono = -5 * SECOND; // the origin of a monotonic clock is arbitrary, so it may pass zero
  boolean trusted = true;
  boolean linkUp = true;
  boolean asked = true;
  List<String> stops = List.of();
  List<Signal> redox = new ArrayList<>(List.of(probe("redox-a", 320), probe("redox-b", 323)));
  Set<String> closed = Set.of();
  long spentInNight;
  long spentIn24h;
  long grant;
  LocalDate grantNight = LocalDate.parse("2026-01-14");

  static Gate.OzoneLimits limits() {
    return new Gate.OzoneLimits("generator", CEILING, 60 * MINUTE, 120 * MINUTE, 5 * MINUTE);
  }

  static Gate gate(int dropOutSeconds, String runTemplate, Gate.OzoneLimits limits) {
    return new Gate("lagoon", List.of(generator(dropOutSeconds, runTemplate)), limits, null);
  }

  static ActuatorSpec generator(int dropOutSeconds, String runTemplate) {
    return new ActuatorSpec(
        "generator",
        TankFunction.OZONE,
        "lab/lagoon/ozone/set",
        runTemplate,
        "{\"on\":false}",
        dropOutSeconds);
  }

  static Signal probe(String name, double millivolts) {
    return probe(name, millivolts, Quality.GOOD, SECOND);
  }

  static Signal probe(String name, double millivolts, Quality quality, long ageNanos) {
    return new Signal(
        name,
        Measure.REDOX,
        millivolts,
        quality,
        quality == Quality.GOOD ? "" : "in doubt",
        ageNanos,
        true,
        1);
  }

  Gate.World world() {
    return new Gate.World(
        new Moment(wall, mono, trusted),
        linkUp,
        asked,
        stops,
        redox,
        PLAN,
        closed,
        spentInNight,
        spentIn24h,
        grant,
        grantNight);
  }

  /** One cycle; the lease is carried on to the next. */
  Gate.Decision decide() {
    Gate.Decision decision = gate.decideOzone(lease, world());
    lease = decision.lease();
    return decision;
  }

  /** One cycle, after which what it wanted reserved is on disk and taken from the allowance. */
  Gate.Decision decideAndReserve() {
    Gate.Decision decision = decide();
    grant += decision.reserveNanos();
    spentInNight += decision.reserveNanos();
    spentIn24h += decision.reserveNanos();
    return decision;
  }

  /** Reserves and starts a run. */
  GateBench running() {
    decideAndReserve();
    decide();
    if (lease == null) {
      throw new AssertionError("the bench is not well");
    }
    return this;
  }

  GateBench passes(Duration time) {
    wall = wall.plus(time);
    mono += time.toNanos();
    return this;
  }

  GateBench leftInWindow(Duration left) {
    wall = CLOSES.minus(left);
    return this;
  }
}

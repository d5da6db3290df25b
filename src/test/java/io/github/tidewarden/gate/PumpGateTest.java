package io.github.tidewarden.gate;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;
import static org.assertj.core.api.Assertions.assertThatIllegalStateException;

import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.NightPlan;
import io.github.tidewarden.schedule.WindowSpec;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Quality;
import io.github.tidewarden.sensing.Signal;
import java.time.DayOfWeek;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.ZoneOffset;
import java.util.EnumSet;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.function.Consumer;
import java.util.stream.Stream;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.Arguments;
import org.junit.jupiter.params.provider.MethodSource;

/** The gate's part for water: everything that a pump needs, one by one, and its leases. */
class PumpGateTest {
  private static final long SECOND = 1_000_000_000L;
  private static final Instant OPENS = Instant.parse("2026-01-14T13:00:00Z");
  private static final NightPlan PLAN =
      NightPlan.of(
          LocalDate.of(2026, 1, 14),
          ZoneOffset.UTC,
          List.of(
              new WindowSpec(
                  LocalTime.of(13, 0), LocalTime.of(22, 0), EnumSet.allOf(DayOfWeek.class))));
  private static final List<ActuatorSpec> ACTUATORS =
      List.of(
          pump("drain", TankFunction.EXCHANGE),
          pump("fill", TankFunction.EXCHANGE),
          pump("top-off-hold", TankFunction.TOP_OFF));

  private static ActuatorSpec pump(String name, TankFunction function) {
    return new ActuatorSpec(name, function, "lab/" + name + "/set", "on {seconds}", "off", 12);
  }

  private static PumpGate.Limits limits(@Nullable String hold, boolean paired) {
    return new PumpGate.Limits("drain", "fill", hold, paired, 180, 240, 34_000, 1_700);
  }

  private static PumpGate gate(PumpGate.Limits limits) {
    return Objects.requireNonNull(new Gate("lagoon", ACTUATORS, null, limits).pumps());
  }

  /** A world in which all is well, to be spoilt. */
  private static final class World {
    Instant wall = OPENS.plusSeconds(60);
    long monoNanos = 1_000 * SECOND;
    boolean trusted = true;
    boolean linkUp = true;
    boolean asked = true;
    List<String> stops = List.of();
    @Nullable Signal level = level(212, Quality.GOOD, 0);
    boolean otherAtRest = true;
    boolean held = true;
    Set<String> closed = new TreeSet<>();
    long drained = 500;
    long apart = 0;
    long grantNanos = 120 * SECOND;

    PumpGate.World now() {
      return new PumpGate.World(
          new Moment(wall, monoNanos, trusted),
          linkUp,
          asked,
          stops,
          level,
          otherAtRest,
          held,
          PLAN,
          closed,
          drained,
          apart,
          grantNanos);
    }

    void passes(double seconds) {
      long nanos = (long) (seconds * SECOND);
      wall = wall.plusNanos(nanos);
      monoNanos += nanos;
    }
  }

  private static Signal level(double value, Quality quality, long ageNanos) {
    return new Signal(
        "sump",
        Measure.LEVEL,
        value,
        quality,
        quality == Quality.GOOD ? "" : "silent",
        ageNanos,
        true,
        1);
  }

  private static Arguments needs(String why, boolean drain, boolean fill, Consumer<World> spoils) {
    return Arguments.of(why, drain, fill, spoils);
  }

  static Stream<Arguments> needs() {
    return Stream.of(
        needs("leak: floor wet", true, true, w -> w.stops = List.of("leak: floor wet")),
        needs("the broker is not reached", true, true, w -> w.linkUp = false),
        needs("the wall clock is not trusted", true, false, w -> w.trusted = false),
        needs("no window is open", true, false, w -> w.wall = OPENS.minusSeconds(1)),
        needs("this window has closed already", true, false, w -> w.closed.add("2026-01-14#0")),
        needs("sump is silent", true, true, w -> w.level = level(212, Quality.UNCERTAIN, 0)),
        needs("sump is stale", true, true, w -> w.level = level(212, Quality.GOOD, 120 * SECOND)),
        needs("sump is stale", true, true, w -> w.level = level(212, Quality.GOOD, -1)),
        needs(
            "sump 180.0 mm is not over its lower limit",
            true,
            false,
            w -> w.level = level(180, Quality.GOOD, 0)),
        needs(
            "sump 240.0 mm is not under its upper limit",
            false,
            true,
            w -> w.level = level(240, Quality.GOOD, 0)),
        needs("the other pump may still run", true, true, w -> w.otherAtRest = false),
        needs("top-off is not held", true, true, w -> w.held = false),
        needs("the hard limit of 24 h is overdrawn", true, true, w -> w.drained = 34_001),
        needs("out and in are too far apart", true, false, w -> w.apart = 1_700),
        needs("out and in are too far apart", false, true, w -> w.apart = -1_700),
        needs("what is reserved does not cover it", true, true, w -> w.grantNanos = SECOND));
  }

  @ParameterizedTest(name = "{0} {1} {2}")
  @MethodSource("needs")
  void aPumpThatRunsIsPutToRestWithTheReason(
      String why, boolean drain, boolean fill, Consumer<World> spoils) {
    for (String name : List.of("drain", "fill")) {
      World world = new World();
      PumpGate gate = gate(limits("top-off-hold", false));
      Lease lease = gate.decide(name, null, world.now()).lease();
      assertThat(lease).isNotNull();
      world.passes(0.001);
      spoils.accept(world);

      Gate.Decision decision = gate.decide(name, lease, world.now());

      if (name.equals("drain") ? drain : fill) {
        assertThat(decision.denials()).containsExactly(why);
        assertThat(decision.lease()).isNull();
        assertThat(Objects.requireNonNull(decision.command()).runs()).isFalse();
        assertThat(gate.decide(name, null, world.now()).command()).isNull();
      } else {
        assertThat(decision.denials()).isEmpty();
        assertThat(decision.lease()).isEqualTo(lease);
      }
    }
  }

  @Test
  void pairedHeadsMayRunTogether() {
    World world = new World();
    world.otherAtRest = false;

    assertThat(gate(limits(null, true)).decide("drain", null, world.now()).lease()).isNotNull();
  }

  /** Another tank of the same sump may have it. */
  @Test
  void whereTheHoldOnTopOffIsNotItsOwnItIsNeededToo() {
    World world = new World();
    world.held = false;

    assertThat(gate(limits(null, false)).decide("drain", null, world.now()).denials())
        .containsExactly("top-off is not held");
  }

  @Test
  void aTankWithoutALevelSensorIsNotAskedForIt() {
    World world = new World();
    world.level = null;

    assertThat(gate(limits(null, false)).decide("fill", null, world.now()).lease()).isNotNull();
  }

  @Test
  void aLevelThatIsNoNumberPermitsNothing() {
    World world = new World();
    world.level = level(Double.NaN, Quality.GOOD, 0);
    PumpGate gate = gate(limits(null, false));

    assertThat(gate.decide("drain", null, world.now()).denials())
        .containsExactly("sump unknown is not over its lower limit");
    assertThat(gate.decide("fill", null, world.now()).denials())
        .containsExactly("sump unknown is not under its upper limit");
  }

  @Test
  void whatIsAtItsLimitMayStillGo() {
    World world = new World();
    world.drained = 34_000;
    world.apart = 1_699;
    world.level = level(Math.nextUp(180.0), Quality.GOOD, 120 * SECOND - 1);

    assertThat(gate(limits(null, false)).decide("drain", null, world.now()).lease()).isNotNull();
  }

  @Test
  void aRunIsRenewedInTimeAndIsOverForCertainWithinWhatIsReserved() {
    World world = new World();
    PumpGate gate = gate(limits("top-off-hold", false));
    long began = world.monoNanos;
    Lease lease = null;
    int commands = 0;
    long bound = 0;
    for (int second = 0; second < 200; second++) {
      Gate.Decision decision = gate.decide("drain", lease, world.now());
      if (lease != null && decision.lease() == null) {
        assertThat(decision.denials()).containsExactly("its time is over");
        break;
      }
      lease = decision.lease();
      if (decision.command() != null) {
        commands++;
        bound = Objects.requireNonNull(lease).boundNanos();
      }
      world.passes(1);
    }
    assertThat(bound - began).isBetween(115 * SECOND, 120 * SECOND);
    assertThat(commands).isBetween(25, 40);
    assertThat(world.monoNanos - began).isBetween(110 * SECOND, 120 * SECOND);
  }

  @Test
  void aRunThatWasNotRenewedInTimeEnds() {
    World world = new World();
    PumpGate gate = gate(limits("top-off-hold", false));
    Lease lease = gate.decide("fill", null, world.now()).lease();
    world.passes(12);

    Gate.Decision decision = gate.decide("fill", lease, world.now());

    assertThat(decision.denials()).containsExactly("its lease ran out before it was renewed");
    assertThat(Objects.requireNonNull(decision.command()).runs()).isFalse();
  }

  /** 9 s hold a lease of 7 s; when it is over, one of 1 s would fit, and nobody was late. */
  @Test
  void theLastLeaseOfWhatIsReservedEndsItsRunInOrder() {
    World world = new World();
    PumpGate gate = gate(limits("top-off-hold", false));
    world.grantNanos = 9 * SECOND;
    Lease lease = Objects.requireNonNull(gate.decide("fill", null, world.now()).lease());
    assertThat(lease.seconds()).isEqualTo(7);
    world.passes(7);

    Gate.Decision decision = gate.decide("fill", lease, world.now());

    assertThat(decision.denials()).containsExactly("its time is over");
  }

  /**
   * After 10 s a lease would be over when the last one is, so none is given; at 15 s it is over.
   */
  @Test
  void nearTheEndOfWhatIsReservedOnlyALeaseThatLetsItRunLongerIsGiven() {
    World world = new World();
    PumpGate gate = gate(limits("top-off-hold", false));
    world.grantNanos = 16 * SECOND;
    Map<Integer, Integer> given = new TreeMap<>();
    Gate.Decision decision = gate.decide("drain", null, world.now());
    int second = 0;
    while (decision.lease() != null) {
      if (decision.command() != null) {
        given.put(second, decision.command().leaseSeconds());
      }
      world.passes(1);
      second++;
      decision = gate.decide("drain", decision.lease(), world.now());
    }
    assertThat(given).isEqualTo(Map.of(0, 12, 4, 9, 7, 7, 10, 5));
    assertThat(second).isEqualTo(15);
    assertThat(decision.denials()).containsExactly("its time is over");
  }

  /** Such a pump always runs its whole drop-out time, 12 s, and 16 s hold that but once. */
  @Test
  void theOneLeaseOfAPumpWhoseMessageCarriesNoneEndsItsRunInOrder() {
    ActuatorSpec plain =
        new ActuatorSpec("drain", TankFunction.EXCHANGE, "lab/drain/set", "on", "off", 12);
    PumpGate gate =
        Objects.requireNonNull(
            new Gate("lagoon", List.of(plain, ACTUATORS.get(1)), null, limits(null, false))
                .pumps());
    World world = new World();
    world.grantNanos = 16 * SECOND;
    Gate.Decision begun = gate.decide("drain", null, world.now());
    assertThat(Objects.requireNonNull(begun.command()).payload()).isEqualTo("on");
    world.passes(12);

    Gate.Decision decision = gate.decide("drain", begun.lease(), world.now());

    assertThat(decision.denials()).containsExactly("its time is over");
    assertThat(Objects.requireNonNull(decision.command()).runs()).isFalse();
  }

  @Test
  void withTooLittleReservedNothingBegins() {
    World world = new World();
    world.grantNanos = SECOND;
    PumpGate gate = gate(limits("top-off-hold", false));

    Gate.Decision decision = gate.decide("drain", null, world.now());

    assertThat(decision.denials()).containsExactly("too little is left of its time");
    assertThat(decision.command()).isNull();
  }

  @Test
  void whatIsNotAskedForRestsWithoutADenial() {
    World world = new World();
    PumpGate gate = gate(limits("top-off-hold", false));
    Lease lease = gate.decide("drain", null, world.now()).lease();
    world.asked = false;

    Gate.Decision decision = gate.decide("drain", lease, world.now());

    assertThat(decision.denials()).isEmpty();
    assertThat(Objects.requireNonNull(decision.command()).runs()).isFalse();
  }

  @Test
  void theHoldOnTopOffIsALeaseToo() {
    World world = new World();
    PumpGate gate = gate(limits("top-off-hold", false));
    Gate.Decision begun = gate.decideHold(null, true, true, world.now().now());
    assertThat(Objects.requireNonNull(begun.command()).payload()).isEqualTo("on 12");
    world.passes(4);
    Gate.Decision renewed = gate.decideHold(begun.lease(), true, true, world.now().now());
    assertThat(Objects.requireNonNull(renewed.command()).runs()).isTrue();
    Gate.Decision ended = gate.decideHold(renewed.lease(), false, true, world.now().now());
    assertThat(Objects.requireNonNull(ended.command()).payload()).isEqualTo("off");
    assertThat(ended.denials()).as("nobody asks for it any more").isEmpty();
    Gate.Decision cut = gate.decideHold(renewed.lease(), true, false, world.now().now());
    assertThat(cut.lease()).isNull();
    assertThat(cut.denials()).containsExactly("the broker is not reached");
    assertThatIllegalStateException()
        .isThrownBy(
            () -> gate(limits(null, false)).decideHold(null, true, true, world.now().now()));
  }

  @Test
  void refusesLimitsThatAreNone() {
    assertThatIllegalArgumentException()
        .isThrownBy(() -> new PumpGate.Limits("drain", "fill", null, false, 180, 240, 0, 1_700));
    assertThatIllegalArgumentException()
        .isThrownBy(() -> new PumpGate.Limits("drain", "fill", null, false, 180, 240, 34_000, 0));
    assertThatIllegalArgumentException()
        .isThrownBy(
            () -> new PumpGate.Limits("drain", "fill", null, false, 240, 240, 34_000, 1_700));
    assertThatIllegalArgumentException()
        .isThrownBy(
            () -> new PumpGate.Limits("drain", "drain", null, false, 180, 240, 34_000, 1_700));
  }

  @Test
  void refusesPumpsThatServeSomethingElse() {
    assertThatIllegalArgumentException()
        .isThrownBy(
            () -> gate(new PumpGate.Limits("drain", "top-off-hold", null, false, 0, 1, 1, 1)))
        .withMessageContaining("serves something else");
    assertThatIllegalArgumentException()
        .isThrownBy(
            () -> gate(new PumpGate.Limits("top-off-hold", "fill", null, false, 0, 1, 1, 1)))
        .withMessageContaining("serves something else");
    assertThatIllegalArgumentException()
        .isThrownBy(() -> gate(new PumpGate.Limits("drain", "fill", "fill", false, 0, 1, 1, 1)));
    assertThat(new Gate("lagoon", ACTUATORS, null, null).pumps()).isNull();
  }
}

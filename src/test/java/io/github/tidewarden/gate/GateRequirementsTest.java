package io.github.tidewarden.gate;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.sensing.Quality;
import io.github.tidewarden.sensing.Signal;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import java.util.function.Consumer;
import org.junit.jupiter.api.Nested;
import org.junit.jupiter.api.Test;

/** Everything that a run needs, one by one; the gate's part of the invariants of DEVELOPERS.md. */
class GateRequirementsTest {

  /** One thing, taken away and given back by a change of the bench. */
  private abstract static class Needs extends RequirementSuite {
    private final Consumer<GateBench> spoil;
    private final Consumer<GateBench> mend;
    private final String why;

    Needs(Consumer<GateBench> spoil, Consumer<GateBench> mend, String why) {
      this.spoil = spoil;
      this.mend = mend;
      this.why = why;
    }

    @Override
    void spoil(GateBench bench) {
      spoil.accept(bench);
    }

    @Override
    void mend(GateBench bench) {
      mend.accept(bench);
    }

    @Override
    String why() {
      return why;
    }
  }

  /** A probe beside a good one; the order in which they stand says nothing. */
  private abstract static class NeedsProbe extends Needs {
    NeedsProbe(Signal spoiled, String why) {
      super(
          bench -> bench.redox.set(1, spoiled),
          bench -> bench.redox.set(1, GateBench.probe("redox-b", 323)),
          why);
    }
  }

  @Nested
  class Asked extends Needs {
    Asked() {
      super(bench -> bench.asked = false, bench -> bench.asked = true, "");
    }
  }

  @Nested
  class NoStop extends Needs {
    NoStop() {
      super(
          bench -> bench.stops = List.of("air-lost: skimmer-air 1.00 L/min"),
          bench -> bench.stops = List.of(),
          "air-lost: skimmer-air 1.00 L/min");
    }
  }

  @Nested
  class Link extends Needs {
    Link() {
      super(
          bench -> bench.linkUp = false, bench -> bench.linkUp = true, "the broker is not reached");
    }
  }

  @Nested
  class TrustedClock extends Needs {
    TrustedClock() {
      super(
          bench -> bench.trusted = false,
          bench -> bench.trusted = true,
          "the wall clock is not trusted");
    }
  }

  @Nested
  class AfterItOpens extends Needs {
    AfterItOpens() {
      super(
          bench -> bench.wall = GateBench.OPENS.minusNanos(1),
          bench -> bench.wall = GateBench.OPENS,
          "no window is open");
    }
  }

  @Nested
  class BeforeItCloses extends Needs {
    BeforeItCloses() {
      super(
          bench -> bench.wall = GateBench.CLOSES,
          bench -> bench.wall = GateBench.CLOSES.minusSeconds(60),
          "no window is open");
    }
  }

  /** Before and after the night of the plan nothing is known, so nothing is open. */
  @Nested
  class TheNightOfThePlan extends Needs {
    TheNightOfThePlan() {
      super(
          bench -> bench.wall = Instant.parse("2026-01-16T02:00:00Z"),
          bench -> bench.wall = Instant.parse("2026-01-15T02:00:00Z"),
          "no window is open");
    }
  }

  @Nested
  class WindowNotClosed extends Needs {
    WindowNotClosed() {
      super(
          bench -> bench.closed = Set.of("2026-01-13#0", GateBench.WINDOW),
          bench -> bench.closed = Set.of("2026-01-13#0", "2026-01-14#1"),
          "this night's window has closed already");
    }
  }

  @Nested
  class AProbe extends Needs {
    AProbe() {
      super(
          bench -> bench.redox = new ArrayList<>(),
          bench -> bench.redox.add(GateBench.probe("redox-a", 320)),
          "there is no redox probe");
    }
  }

  @Nested
  class NoUncertainProbe extends NeedsProbe {
    NoUncertainProbe() {
      super(
          GateBench.probe("redox-b", 323, Quality.UNCERTAIN, GateBench.SECOND),
          "redox-b is in doubt");
    }
  }

  @Nested
  class NoBadProbe extends NeedsProbe {
    NoBadProbe() {
      super(GateBench.probe("redox-b", 323, Quality.BAD, GateBench.SECOND), "redox-b is in doubt");
    }
  }

  @Nested
  class UnderTheCeiling extends NeedsProbe {
    UnderTheCeiling() {
      super(
          GateBench.probe("redox-b", 400), "redox-b 400.0 mV is at or over the ceiling, 400.0 mV");
    }
  }

  /** What a bad probe last said may not be forgotten: the ceiling is named first. */
  @Nested
  class UnderTheCeilingEvenInDoubt extends NeedsProbe {
    UnderTheCeilingEvenInDoubt() {
      super(
          GateBench.probe("redox-b", 420, Quality.BAD, GateBench.SECOND),
          "redox-b 420.0 mV is at or over the ceiling, 400.0 mV");
    }
  }

  @Nested
  class Finite extends NeedsProbe {
    Finite() {
      super(GateBench.probe("redox-b", Double.NaN), "redox-b unknown is not believable");
    }
  }

  @Nested
  class NotInfinite extends NeedsProbe {
    NotInfinite() {
      super(
          GateBench.probe("redox-b", Double.POSITIVE_INFINITY),
          "redox-b unknown is at or over the ceiling, 400.0 mV");
    }
  }

  @Nested
  class NotMinusInfinite extends NeedsProbe {
    NotMinusInfinite() {
      super(
          GateBench.probe("redox-b", Double.NEGATIVE_INFINITY),
          "redox-b unknown is not believable");
    }
  }

  /** SAFETY.md F02: an unplugged probe. */
  @Nested
  class NotMinusZero extends NeedsProbe {
    NotMinusZero() {
      super(GateBench.probe("redox-b", -0.0), "redox-b 0.0 mV is not believable");
    }
  }

  /** SAFETY.md F11: 0.35 V read as 0.35 mV, whatever a configuration calls plausible. */
  @Nested
  class NotInVolts extends NeedsProbe {
    NotInVolts() {
      super(GateBench.probe("redox-b", 0.35), "redox-b 0.4 mV is not believable");
    }
  }

  @Nested
  class Fresh extends NeedsProbe {
    Fresh() {
      super(
          GateBench.probe("redox-b", 323, Quality.GOOD, 120 * GateBench.SECOND),
          "redox-b is stale");
    }
  }

  @Nested
  class NotFromTheFuture extends NeedsProbe {
    NotFromTheFuture() {
      super(GateBench.probe("redox-b", 323, Quality.GOOD, -1), "redox-b is stale");
    }
  }

  @Nested
  class EverHeard extends NeedsProbe {
    EverHeard() {
      super(GateBench.probe("redox-b", 323, Quality.GOOD, Long.MAX_VALUE), "redox-b is stale");
    }
  }

  @Nested
  class AllowanceOfTheNight extends Needs {
    AllowanceOfTheNight() {
      super(
          bench -> bench.spentInNight = 60 * GateBench.MINUTE + 1,
          bench -> bench.spentInNight = 60 * GateBench.MINUTE,
          "the night's allowance is overdrawn");
    }
  }

  @Nested
  class HardLimitOf24Hours extends Needs {
    HardLimitOf24Hours() {
      super(
          bench -> bench.spentIn24h = 120 * GateBench.MINUTE + 1,
          bench -> bench.spentIn24h = 120 * GateBench.MINUTE,
          "the hard limit of 24 h is overdrawn");
    }
  }

  /** Boundaries of what is read from a probe. */
  @Nested
  class Boundaries {
    private boolean runsAt(double millivolts, long ageNanos) {
      GateBench bench = new GateBench();
      bench.redox.set(0, GateBench.probe("redox-a", millivolts, Quality.GOOD, ageNanos));
      bench.decideAndReserve();
      return bench.decide().command() != null;
    }

    @Test
    void ofTheCeilingToTheLastBit() {
      assertThat(runsAt(Math.nextDown(400.0), 0)).isTrue();
      assertThat(runsAt(400.0, 0)).isFalse();
      assertThat(runsAt(Math.nextUp(400.0), 0)).isFalse();
      assertThat(runsAt(Double.MAX_VALUE, 0)).isFalse();
    }

    @Test
    void ofTheCeilingAlsoWhileItRuns() {
      for (double millivolts : new double[] {Math.nextDown(400.0), 400.0, Math.nextUp(400.0)}) {
        GateBench bench = new GateBench().running();
        bench.redox.set(0, GateBench.probe("redox-a", millivolts));
        assertThat(bench.decide().lease() != null).isEqualTo(millivolts < 400);
      }
    }

    @Test
    void ofWhatIsBelievableToTheLastBit() {
      assertThat(runsAt(50.0, 0)).isTrue();
      assertThat(runsAt(Math.nextDown(50.0), 0)).isFalse();
      assertThat(runsAt(Math.nextUp(50.0), 0)).isTrue();
    }

    @Test
    void ofTheAgeToTheNanosecond() {
      assertThat(runsAt(320, 120 * GateBench.SECOND - 1)).isTrue();
      assertThat(runsAt(320, 120 * GateBench.SECOND)).isFalse();
      assertThat(runsAt(320, 0)).isTrue();
      assertThat(runsAt(320, Long.MIN_VALUE)).isFalse();
    }
  }

  /** Windows of two nights may overlap at noon; each night pays for its own. */
  @Test
  void timeReservedForAnotherNightIsNotSpentInThisOne() {
    for (LocalDate other : new LocalDate[] {LocalDate.parse("2026-01-13"), null}) {
      GateBench bench = new GateBench().running();
      bench.grantNight = other;
      Gate.Decision decision = bench.decide();
      assertThat(decision.command().runs()).isFalse();
      assertThat(decision.denials()).containsExactly("what is reserved is of another night");
      assertThat(bench.decide().lease()).isNull();
      bench.grant = 0;
      assertThat(bench.decide().reserveNanos()).isEqualTo(5 * GateBench.MINUTE);
    }
  }

  @Test
  void aRunThatItsReservationDoesNotCoverRests() {
    GateBench bench = new GateBench().running();
    bench.grant = bench.lease.boundNanos() - bench.lease.startedNanos();
    assertThat(bench.decide().lease()).isNotNull();
    bench.grant -= 1;
    Gate.Decision decision = bench.decide();
    assertThat(decision.command().runs()).isFalse();
    assertThat(decision.denials()).containsExactly("what is reserved does not cover it");
  }

  @Test
  void tellsEveryReasonTheFirstOneFirst() {
    GateBench bench = new GateBench();
    bench.stops = List.of("air-lost: one", "leak: two");
    bench.linkUp = false;
    bench.redox = List.of(GateBench.probe("redox-a", 410), GateBench.probe("redox-b", 0));
    bench.spentInNight = 61 * GateBench.MINUTE;
    bench.spentIn24h = 121 * GateBench.MINUTE;
    bench.closed = Set.of(GateBench.WINDOW);
    assertThat(bench.decide().denials())
        .containsExactly(
            "air-lost: one",
            "leak: two",
            "the broker is not reached",
            "redox-a 410.0 mV is at or over the ceiling, 400.0 mV",
            "redox-b 0.0 mV is not believable",
            "the night's allowance is overdrawn",
            "the hard limit of 24 h is overdrawn",
            "this night's window has closed already");
  }

  @Test
  void tellsWhyItMayNotRunThoughNobodyAsks() {
    GateBench bench = new GateBench();
    bench.asked = false;
    bench.linkUp = false;
    assertThat(bench.decide().denials()).containsExactly("the broker is not reached");
  }
}

package io.github.tidewarden.dosing;

import static io.github.tidewarden.dosing.OzoneDosing.Phase.ASKING;
import static io.github.tidewarden.dosing.OzoneDosing.Phase.CLOSED;
import static io.github.tidewarden.dosing.OzoneDosing.Phase.DOSING;
import static io.github.tidewarden.dosing.OzoneDosing.Phase.RESTING;
import static io.github.tidewarden.dosing.OzoneDosing.Phase.WAITING;
import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.dosing.OzoneDosing.Phase;
import io.github.tidewarden.sensing.Quality;
import io.github.tidewarden.sensing.Signal;
import java.util.ArrayList;
import java.util.EnumMap;
import java.util.EnumSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;

/** Every phase, in every circumstance: where it goes, and where it never goes. */
class OzoneDosingMatrixTest {

  /** What the probes say. */
  private enum Water {
    BELOW_THE_BAND(320, true),
    WITHIN_THE_BAND(350, true),
    AT_THE_END(365, true),
    OVER_THE_CEILING(420, true),
    NOT_GOOD(320, false),
    NOT_A_NUMBER(Double.NaN, true),
    INFINITELY_LOW(Double.NEGATIVE_INFINITY, true),
    INFINITELY_HIGH(Double.POSITIVE_INFINITY, true),
    NO_PROBE(0, true);

    private final double millivolts;
    private final boolean good;

    Water(double millivolts, boolean good) {
      this.millivolts = millivolts;
      this.good = good;
    }

    /** The telling probe first or last, beside one that would let a dose start. */
    List<Signal> probes(boolean first) {
      if (this == NO_PROBE) {
        return List.of();
      }
      List<Signal> probes = new ArrayList<>();
      probes.add(DosingBench.probe("redox-a", 320, Quality.GOOD));
      probes.add(
          first ? 0 : 1,
          DosingBench.probe("redox-b", millivolts, good ? Quality.GOOD : Quality.UNCERTAIN));
      return probes;
    }

    boolean mayStart() {
      return this == BELOW_THE_BAND;
    }

    boolean mayGoOn() {
      return this == BELOW_THE_BAND || this == WITHIN_THE_BAND;
    }
  }

  private static Phase expected(
      Phase from, boolean window, boolean running, boolean rested, Water water) {
    if (!window) {
      return CLOSED;
    }
    return switch (from) {
      case CLOSED, RESTING, WAITING -> {
        if (running || !rested) {
          yield RESTING;
        }
        yield water.mayStart() ? ASKING : WAITING;
      }
      case ASKING -> {
        if (running) {
          yield water.mayGoOn() ? DOSING : RESTING;
        }
        yield water.mayStart() ? ASKING : WAITING;
      }
      case DOSING -> running && water.mayGoOn() ? DOSING : RESTING;
    };
  }

  private static OzoneDosing.Proposal propose(
      Phase from, boolean window, boolean running, boolean rested, List<Signal> probes) {
    DosingBench bench = new DosingBench(0);
    bench.mono = 100 * DosingBench.MINUTE;
    bench.windowOpen = window;
    bench.running = running;
    bench.state =
        new OzoneDosing.State(
            from, bench.mono + (rested ? 0 : 1), bench.mono - 7 * DosingBench.MINUTE);
    return bench.proposed(probes);
  }

  @ParameterizedTest
  @EnumSource(Phase.class)
  void movesAsItsTableSays(Phase from) {
    for (int circumstance = 0; circumstance < 16; circumstance++) {
      boolean window = (circumstance & 1) == 0;
      boolean running = (circumstance & 2) == 0;
      boolean rested = (circumstance & 4) == 0;
      for (Water water : Water.values()) {
        OzoneDosing.Proposal proposal =
            propose(from, window, running, rested, water.probes((circumstance & 8) == 0));
        String told =
            from + " window " + window + " running " + running + " rested " + rested + " " + water;
        Phase to = expected(from, window, running, rested, water);
        assertThat(proposal.state().phase()).as(told).isEqualTo(to);
        assertThat(proposal.run()).as(told).isEqualTo(to == ASKING || to == DOSING);
        assertThat(proposal.why()).as(told).isNotBlank();
      }
    }
  }

  /** Written out, so that a new way between two phases must be written here too. */
  @Test
  void goesNoOtherWayThanThese() {
    Map<Phase, Set<Phase>> ways = new EnumMap<>(Phase.class);
    for (Phase from : Phase.values()) {
      Set<Phase> reached = EnumSet.noneOf(Phase.class);
      for (int circumstance = 0; circumstance < 8; circumstance++) {
        for (Water water : Water.values()) {
          reached.add(
              propose(
                      from,
                      (circumstance & 1) == 0,
                      (circumstance & 2) == 0,
                      (circumstance & 4) == 0,
                      water.probes(true))
                  .state()
                  .phase());
        }
      }
      ways.put(from, reached);
    }
    assertThat(ways)
        .containsEntry(CLOSED, EnumSet.of(CLOSED, RESTING, WAITING, ASKING))
        .containsEntry(RESTING, EnumSet.of(CLOSED, RESTING, WAITING, ASKING))
        .containsEntry(WAITING, EnumSet.of(CLOSED, RESTING, WAITING, ASKING))
        .containsEntry(ASKING, EnumSet.of(CLOSED, RESTING, WAITING, ASKING, DOSING))
        .containsEntry(DOSING, EnumSet.of(CLOSED, RESTING, DOSING));
  }

  /** However a dose ends, what follows it is the shortest rest, also when the window ends it. */
  @Test
  void theEndOfADoseAlwaysBeginsARest() {
    for (Water water : Water.values()) {
      for (boolean window : new boolean[] {true, false}) {
        for (boolean running : new boolean[] {true, false}) {
          OzoneDosing.State state =
              propose(DOSING, window, running, true, water.probes(true)).state();
          if (state.phase() != DOSING) {
            assertThat(state.restUntilNanos())
                .as(water + " " + window + " " + running)
                .isEqualTo(100 * DosingBench.MINUTE + DosingBench.SHORTEST_OFF);
          }
        }
      }
    }
  }
}

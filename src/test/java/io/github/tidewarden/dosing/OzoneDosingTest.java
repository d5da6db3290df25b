package io.github.tidewarden.dosing;

import static io.github.tidewarden.dosing.OzoneDosing.Phase.CLOSED;
import static io.github.tidewarden.dosing.OzoneDosing.Phase.DOSING;
import static io.github.tidewarden.dosing.OzoneDosing.Phase.RESTING;
import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;

import io.github.tidewarden.sensing.Quality;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** Band, shortest on and shortest off as timed stories. */
class OzoneDosingTest {
  private static final long SECOND = DosingBench.SECOND;
  private static final long MINUTE = DosingBench.MINUTE;

  /** Also where the monotonic clock passes zero, or overflows, during the rest. */
  @ParameterizedTest
  @ValueSource(longs = {0, -5 * 60_000_000_000L, Long.MAX_VALUE - 60_000_000_000L, Long.MIN_VALUE})
  void afterBootItRestsForTheShortestOff(long boot) {
    DosingBench bench = new DosingBench(boot);
    bench.mono = boot + 10 * MINUTE - 1;
    OzoneDosing.Proposal resting = bench.obeyed(320, 323);
    assertThat(resting.run()).isFalse();
    assertThat(resting.state().phase()).isEqualTo(RESTING);
    bench.mono = boot + 10 * MINUTE;
    assertThat(bench.obeyed(320, 323).run()).isTrue();
  }

  @ParameterizedTest
  @CsvSource({"339.99999999999994, true", "340, false", "340.00000000000006, false"})
  void startsOnlyBelowTheStartOfTheBandToTheLastBit(double millivolts, boolean starts) {
    for (double[] probes : new double[][] {{millivolts, 320}, {320, millivolts}, {millivolts}}) {
      DosingBench bench = new DosingBench(0);
      bench.mono += 10 * MINUTE;
      assertThat(bench.obeyed(probes).run()).isEqualTo(starts);
    }
  }

  @ParameterizedTest
  @CsvSource({"364.99999999999994, true", "365, false", "365.00000000000006, false"})
  void dosesUntilAProbeIsAtTheEndOfTheBandToTheLastBit(double millivolts, boolean goesOn) {
    for (double[] probes : new double[][] {{millivolts, 320}, {320, millivolts}, {millivolts}}) {
      DosingBench bench = new DosingBench(0).dosing();
      assertThat(bench.obeyed(probes).run()).isEqualTo(goesOn);
      assertThat(bench.state.phase()).isEqualTo(goesOn ? DOSING : RESTING);
    }
  }

  @Test
  void saysWhatItIsAbout() {
    DosingBench bench = new DosingBench(0);
    bench.windowOpen = false;
    assertThat(bench.obeyed(320, 323).why()).isEqualTo("no window is open");
    bench.windowOpen = true;
    assertThat(bench.obeyed(320, 323).why()).isEqualTo("resting between doses for 600 s more");
    bench.mono += 10 * MINUTE;
    assertThat(bench.obeyed(320, 345).why())
        .isEqualTo("redox-b 345.0 mV is not below the start of the band, 340.0 mV");
    assertThat(bench.obeyed(320, 323).why())
        .isEqualTo("redox-b 323.0 mV is below the start of the band");
    assertThat(bench.obeyed(350, 343).why()).isEqualTo("redox-a 350.0 mV is within the band");
    assertThat(bench.obeyed(350, 366).why())
        .isEqualTo("redox-b 366.0 mV reached the end of the band, 365.0 mV");
    bench.mono += 15 * MINUTE;
    assertThat(bench.obeyed().why()).isEqualTo("there is no redox probe");
    assertThat(bench.proposed(List.of(DosingBench.probe("redox-a", 320, Quality.BAD))).why())
        .isEqualTo("redox-a is silent for 60 s");
    assertThat(bench.obeyed(Double.NaN).why()).isEqualTo("redox-a is not a number");
  }

  /** Shortest on never keeps a dose running; it only spaces the starts. */
  @ParameterizedTest
  @CsvSource({
    "1, 899", // 1 s of ozone: 5 min and 10 min after the start
    "299, 601",
    "300, 600",
    "301, 600", // longer than the shortest on: 10 min after the end
    "3600, 600"
  })
  void aDoseEndsAtOnceAndTheNextOneWaits(int dosedSeconds, int restSeconds) {
    DosingBench bench = new DosingBench(-20 * MINUTE).dosing();
    bench.mono += dosedSeconds * SECOND;
    assertThat(bench.obeyed(365, 330).run()).isFalse();
    bench.mono += restSeconds * SECOND - 1;
    assertThat(bench.obeyed(320, 323).run()).isFalse();
    bench.mono += 1;
    assertThat(bench.obeyed(320, 323).run()).isTrue();
  }

  @Test
  void whenTheGateEndsADoseTheRestIsTheSame() {
    DosingBench bench = new DosingBench(0).dosing();
    bench.mono += 6 * MINUTE;
    bench.running = false;
    assertThat(bench.obeyed(320, 323).run()).isFalse();
    bench.mono += 10 * MINUTE - 1;
    assertThat(bench.obeyed(320, 323).run()).isFalse();
    bench.mono += 1;
    assertThat(bench.obeyed(320, 323).run()).isTrue();
  }

  @Test
  void asksForAsLongAsTheGateSaysNo() {
    DosingBench bench = new DosingBench(0);
    bench.mono += 10 * MINUTE;
    for (int second = 0; second < 3600; second++) {
      assertThat(bench.proposed(320, 323).run()).isTrue();
      bench.mono += SECOND;
    }
    assertThat(bench.proposed(340, 323).run()).isFalse();
    assertThat(bench.proposed(339, 323).run()).as("no dose, so no rest between").isTrue();
  }

  @Test
  void aWindowThatClosesEndsTheDoseAndTheRestOutlivesIt() {
    DosingBench bench = new DosingBench(0).dosing();
    bench.mono += 20 * MINUTE;
    bench.windowOpen = false;
    OzoneDosing.Proposal closed = bench.obeyed(320, 323);
    assertThat(closed.run()).isFalse();
    assertThat(closed.state().phase()).isEqualTo(CLOSED);
    bench.mono += 4 * MINUTE;
    assertThat(bench.obeyed(320, 323).state().phase()).isEqualTo(CLOSED);
    bench.windowOpen = true;
    bench.mono += 6 * MINUTE - 1;
    assertThat(bench.obeyed(320, 323).run()).isFalse();
    bench.mono += 1;
    assertThat(bench.obeyed(320, 323).run()).isTrue();
  }

  /** A lost state or a fault must not make a dose of what nobody asked for. */
  @Test
  void aGeneratorThatRunsUnaskedIsToldToRest() {
    DosingBench bench = new DosingBench(0);
    bench.running = true;
    assertThat(bench.obeyed(320, 323).run()).isFalse();
    bench.mono += 10 * MINUTE - 1;
    assertThat(bench.obeyed(320, 323).run()).isFalse();
    bench.mono += 1;
    bench.running = true;
    assertThat(bench.proposed(320, 323).run()).as("its rest begins again").isFalse();
  }

  @ParameterizedTest
  @CsvSource({
    "340, 365, 400, 300, 600, true",
    "NaN, 365, 400, 300, 600, false",
    "340, NaN, 400, 300, 600, false",
    "340, 365, NaN, 300, 600, false",
    "365, 365, 400, 300, 600, false",
    "340, 400, 400, 300, 600, false",
    "340, 365, 400, 0, 600, false",
    "340, 365, 400, 300, 0, false",
    "340, 365, 400, -1, 600, false",
    "340, 365, 400, 300, -1, false"
  })
  void theBandLiesBelowTheCeilingAndTimesArePositive(
      double start, double stop, double ceiling, long on, long off, boolean allowed) {
    OzoneSpec spec = DosingBench.spec(start, stop, ceiling, on, off);
    if (allowed) {
      assertThat(new OzoneDosing(spec).atBoot(new DosingBench(0).now()).phase()).isEqualTo(CLOSED);
    } else {
      assertThatIllegalArgumentException().isThrownBy(() -> new OzoneDosing(spec));
    }
  }
}

package io.github.tidewarden.interlock;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.interlock.PickUp.Phase;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Quality;
import io.github.tidewarden.sensing.Signal;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.EnumSource;

/** SAFETY.md F67: the whole from-to matrix, the limits to the last bit, then timed stories. */
class PickUpTest {
  private static final long ORIGIN = -7_000_000_000_000L;
  private static final List<Signal> CALM = probes(338, 336);
  private static final List<Signal> JUMPED = probes(272, 270);

  private PickUp pickUp = PickUp.QUIET;
  private boolean running;
  private final List<Event> events = new ArrayList<>();

  /** Good values of redox-a, redox-b and so on; one that is no number is a lost probe. */
  private static List<Signal> probes(double... millivolts) {
    List<Signal> probes = new ArrayList<>();
    for (double value : millivolts) {
      boolean good = !Double.isNaN(value);
      probes.add(
          GuardBench.signal(
              "redox-" + (char) ('a' + probes.size()),
              Measure.REDOX,
              good ? value : 250,
              good ? Quality.GOOD : Quality.BAD,
              good ? "" : "silent for 60 s"));
    }
    return probes;
  }

  private static Moment at(double second) {
    long nanos = ORIGIN + Math.round(second * 1e9);
    return new Moment(Instant.EPOCH.plusNanos(nanos), nanos, true);
  }

  /** A cycle in which ozone runs, or ran until this cycle. */
  private Phase runs(double second, double... millivolts) {
    return cycle(second, true, probes(millivolts));
  }

  private Phase rests(double second, double... millivolts) {
    return cycle(second, false, probes(millivolts));
  }

  private Phase cycle(double second, boolean runs, List<Signal> probes) {
    PickUp before = pickUp;
    pickUp = before.next(probes, runs, at(second));
    pickUp.event(before, probes).ifPresent(events::add);
    running = runs;
    return pickUp.phase();
  }

  /** Switched on at second 0; in the phases after that it ran until second 1. */
  private static PickUp in(Phase phase) {
    long on = at(0).monoNanos();
    long ran = at(1).monoNanos();
    return switch (phase) {
      case RESTING -> new PickUp(phase, on, on, CALM, List.of());
      case WATCHING -> new PickUp(phase, on, ran, CALM, List.of());
      case SUSPECTED, PROVED, DONE -> new PickUp(phase, on, ran, CALM, JUMPED);
    };
  }

  private static List<Signal> seen(String word) {
    return switch (word) {
      case "calm" -> CALM;
      case "jumped" -> JUMPED;
      case "halfway" -> probes(305, 303);
      case "lost" -> probes(272, Double.NaN);
      case "gone" -> List.of();
      default -> throw new IllegalArgumentException(word);
    };
  }

  /** Every phase, running or not, in its time and late, whatever the probes say. */
  @ParameterizedTest
  @CsvSource({
    "RESTING,   no,  1, *,       RESTING",
    "RESTING,   yes, 1, calm,    WATCHING",
    "RESTING,   yes, 1, halfway, SUSPECTED",
    "RESTING,   yes, 1, jumped,  SUSPECTED",
    "RESTING,   yes, 1, lost,    DONE",
    "RESTING,   yes, 1, gone,    DONE",
    "RESTING,   yes, 4, *,       DONE",
    "WATCHING,  *,   3, calm,    WATCHING",
    "WATCHING,  *,   3, halfway, SUSPECTED",
    "WATCHING,  *,   3, jumped,  SUSPECTED",
    "WATCHING,  *,   3, lost,    DONE",
    "WATCHING,  *,   3, gone,    DONE",
    "WATCHING,  *,   4, *,       DONE",
    "SUSPECTED, yes, 6, calm,    SUSPECTED",
    "SUSPECTED, yes, 9, halfway, SUSPECTED",
    "SUSPECTED, yes, 9, jumped,  SUSPECTED",
    "SUSPECTED, no,  6, calm,    PROVED",
    "SUSPECTED, no,  6, halfway, PROVED",
    "SUSPECTED, no,  6, jumped,  SUSPECTED",
    "SUSPECTED, *,   6, lost,    DONE",
    "SUSPECTED, *,   6, gone,    DONE",
    "SUSPECTED, no,  7, *,       DONE",
    "PROVED,    yes, 9, *,       PROVED",
    "PROVED,    no,  9, *,       RESTING",
    "DONE,      yes, 9, *,       DONE",
    "DONE,      no,  9, *,       RESTING",
  })
  void movesByItsTableAndNoOtherWay(
      Phase from, String running, int second, String probes, Phase to) {
    for (String runs : running.equals("*") ? List.of("yes", "no") : List.of(running)) {
      for (String word :
          probes.equals("*")
              ? List.of("calm", "halfway", "jumped", "lost", "gone")
              : List.of(probes)) {
        PickUp next = in(from).next(seen(word), runs.equals("yes"), at(second));
        assertThat(next.phase()).as("running " + runs + ", probes " + word).isEqualTo(to);
      }
    }
  }

  @ParameterizedTest
  @CsvSource({"272, NaN", "NaN, NaN"})
  void aRunThatBeganWithALostProbeIsNotWatched(double a, double b) {
    rests(0, a, b);
    assertThat(runs(1, 272, 270)).isEqualTo(Phase.DONE);
    assertThat(runs(2, 338, 336)).isEqualTo(Phase.DONE);
    assertThat(rests(3, 338, 336)).isEqualTo(Phase.RESTING);
  }

  /** What it does beside moving. */
  @ParameterizedTest
  @EnumSource(Phase.class)
  void stopsOzoneWhileItIsSuspectedAndNeverElse(Phase phase) {
    if (phase == Phase.SUSPECTED) {
      assertThat(in(phase).stop())
          .contains(
              new Stop(
                  TankFunction.OZONE,
                  "pick-up",
                  "redox-a 338.0 mV to 272.0 mV, redox-b 336.0 mV to 270.0 mV within 3 s of ozone"
                      + " on: electrical pick-up is suspected",
                  false));
    } else {
      assertThat(in(phase).stop()).isEmpty();
    }
  }

  @ParameterizedTest
  @EnumSource(Phase.class)
  void tellsOfASuspicionInTheCycleInWhichItEndsAndOfNothingElse(Phase before) {
    for (Phase after : Phase.values()) {
      Optional<Event.Type> told = in(after).event(in(before), CALM).map(Event::type);
      if (before == Phase.SUSPECTED && after == Phase.PROVED) {
        assertThat(told).contains(Event.Type.LATCHED);
      } else if (before == Phase.SUSPECTED && after == Phase.DONE) {
        assertThat(told).contains(Event.Type.NOTICE);
      } else {
        assertThat(told).as(before + " to " + after).isEmpty();
      }
    }
  }

  // The limits, to the last bit and to the nanosecond.

  @ParameterizedTest
  @CsvSource({
    "340, -1, WATCHING",
    "340, 0, SUSPECTED",
    "340, 1, SUSPECTED",
    "300, 1, WATCHING",
    "300, 0, SUSPECTED",
    "300, -1, SUSPECTED"
  })
  void at20MillivoltsOrOverEitherWayItIsSuspected(double limit, int ulps, Phase phase) {
    double value = limit + ulps * Math.ulp(limit);
    rests(0, 320, 320);
    assertThat(runs(1, value, limit)).isEqualTo(phase);
  }

  @ParameterizedTest
  @CsvSource({
    "360, -1, PROVED",
    "360, 0, PROVED",
    "360, 1, SUSPECTED",
    "280, 1, PROVED",
    "280, 0, PROVED",
    "280, -1, SUSPECTED"
  })
  void halfOfTheJumpOrMoreIsBack(double half, int ulps, Phase phase) {
    double jumped = half == 360 ? 400 : 240;
    rests(0, 320, 320);
    assertThat(runs(1, jumped, jumped)).isEqualTo(Phase.SUSPECTED);
    assertThat(rests(2, half + ulps * Math.ulp(half), 320)).isEqualTo(phase);
  }

  @Test
  void aReturnBeyondWhereItWasIsAReturn() {
    rests(0, 338, 336);
    runs(1, 272, 270);
    assertThat(rests(2, 350, 348)).isEqualTo(Phase.PROVED);
  }

  @Test
  void furtherTheSameWayIsNoReturn() {
    rests(0, 338, 336);
    runs(1, 272, 270);
    assertThat(rests(2, 206, 204)).isEqualTo(Phase.SUSPECTED);
  }

  @ParameterizedTest
  @CsvSource({"3, SUSPECTED", "3.000000001, DONE"})
  void aJumpCountsFor3SecondsFromTheLastCycleAtRest(double second, Phase phase) {
    rests(-9, 338, 336);
    rests(0, 338, 336);
    runs(1, 338, 336);
    assertThat(runs(second, 272, 270)).isEqualTo(phase);
  }

  @ParameterizedTest
  @CsvSource({"7, PROVED", "7.000000001, DONE"})
  void aReturnCountsFor5SecondsFromTheLastCycleInWhichItRan(double second, Phase phase) {
    rests(0, 338, 336);
    runs(1, 272, 270);
    runs(2, 272, 270);
    rests(3, 272, 270);
    assertThat(rests(second, 337, 335)).isEqualTo(phase);
  }

  // What the probes may do.

  /** Two probes from 338 and 336 to 272 and 270 mV within 3 s of ozone on. */
  @Test
  void bothProbesThatJumpAndGoBackAreLatchedWithFiguresAndARemedy() {
    rests(0, 338, 336);
    assertThat(runs(0.4, 338, 336)).isEqualTo(Phase.WATCHING);
    assertThat(runs(1.2, 272, 336)).isEqualTo(Phase.WATCHING);
    assertThat(runs(1.3, 272, 270)).isEqualTo(Phase.SUSPECTED);
    assertThat(rests(2.2, 337, 270)).isEqualTo(Phase.SUSPECTED);
    assertThat(events).isEmpty();
    assertThat(rests(2.3, 337, 335)).isEqualTo(Phase.PROVED);
    assertThat(events)
        .containsExactly(
            new Event(
                Event.Type.LATCHED,
                "pick-up",
                "redox-a 338.0 mV to 272.0 mV and back to 337.0 mV, redox-b 336.0 mV to 270.0 mV"
                    + " and back to 335.0 mV within seconds of ozone on and off: the probes pick up"
                    + " the generator electrically; keep their leads away from its mains lead,"
                    + " earth the water, check the probes",
                true,
                ""));
    assertThat(rests(3, 337, 335)).isEqualTo(Phase.RESTING);
    assertThat(events).as("once").hasSize(1);
  }

  @Test
  void oneProbeAloneIsEnoughWhereThereIsOnlyOne() {
    rests(0, 320);
    assertThat(runs(1, 345)).isEqualTo(Phase.SUSPECTED);
    assertThat(rests(2, 321)).isEqualTo(Phase.PROVED);
  }

  @ParameterizedTest
  @CsvSource({
    "272, 336, only the first",
    "338, 270, only the second",
    "272, 402, apart",
    "404, 270, apart",
    "318.5, 320, both but one too little"
  })
  void lessThanEveryProbeTheSameWayIsNotSuspected(double a, double b, String story) {
    rests(0, 338, 336);
    for (int cycle = 1; cycle < 30; cycle++) {
      assertThat(runs(cycle / 10.0, a, b)).as(story).isEqualTo(Phase.WATCHING);
    }
    assertThat(runs(3.1, a, b)).isEqualTo(Phase.DONE);
    assertThat(rests(4, 338, 336)).isEqualTo(Phase.RESTING);
    assertThat(events).isEmpty();
  }

  @Test
  void withoutAProbeNothingIsEverWatched() {
    cycle(0, false, List.of());
    assertThat(cycle(1, true, List.of())).isEqualTo(Phase.DONE);
  }

  @Test
  void aValueThatIsNoNumberProvesNothing() {
    Signal odd = GuardBench.signal("redox-a", Measure.REDOX, Double.NaN, Quality.GOOD, "");
    cycle(0, false, List.of(odd));
    assertThat(runs(1, 272)).isEqualTo(Phase.WATCHING);
    pickUp = PickUp.QUIET;
    rests(0, 338);
    assertThat(cycle(1, true, List.of(odd))).isEqualTo(Phase.WATCHING);
    runs(2, 272);
    assertThat(cycle(3, false, List.of(odd))).isEqualTo(Phase.SUSPECTED);
  }

  @Test
  void aJumpThatStaysIsANoticeAndNoLatch() {
    rests(0, 338, 336);
    runs(1, 272, 270);
    rests(2, 272, 270);
    rests(6, 272, 270);
    assertThat(events).isEmpty();
    assertThat(rests(6.1, 272, 270)).isEqualTo(Phase.DONE);
    assertThat(events)
        .containsExactly(
            new Event(
                Event.Type.NOTICE,
                "pick-up",
                "redox-a 338.0 mV to 272.0 mV, redox-b 336.0 mV to 270.0 mV within 3 s of ozone on,"
                    + " not back within 5 s of ozone off: ozone was stopped; that it is electrical"
                    + " pick-up is not proved",
                false,
                ""));
    rests(7, 338, 336);
    assertThat(events).as("too late").hasSize(1);
  }

  @Test
  void probesThatDieWhileSuspectedAreANoticeAndNoLatch() {
    rests(0, 338, 336);
    runs(1, 272, 270);
    rests(2, Double.NaN, Double.NaN);
    rests(3, 338, 336);
    assertThat(events)
        .singleElement()
        .satisfies(
            event -> {
              assertThat(event.type()).isEqualTo(Event.Type.NOTICE);
              assertThat(event.why()).contains(", and a probe was lost before they could go back:");
            });
  }

  @Test
  void probesThatDieWhileWatchedAreNothing() {
    rests(0, 338, 336);
    assertThat(runs(1, Double.NaN, 336)).isEqualTo(Phase.DONE);
    assertThat(runs(2, 272, 270)).isEqualTo(Phase.DONE);
    assertThat(events).isEmpty();
  }

  /** The jump of the first probe can end the run by itself: probes apart, ceiling, band. */
  @Test
  void aRunThatTheFirstProbeEndsIsWatchedOnForTheSecond() {
    rests(0, 338, 336);
    assertThat(runs(0.2, 272, 336)).isEqualTo(Phase.WATCHING);
    assertThat(rests(0.3, 272, 270)).isEqualTo(Phase.SUSPECTED);
    assertThat(rests(1.2, 338, 336)).isEqualTo(Phase.PROVED);
  }

  @Test
  void aJumpAtRestIsNone() {
    rests(0, 338, 336);
    rests(1, 272, 270);
    assertThat(runs(2, 272, 270)).isEqualTo(Phase.WATCHING);
  }

  @Test
  void everyRunIsWatchedAnew() {
    for (int run = 0; run < 3; run++) {
      rests(run * 1000, 338, 336);
      runs(run * 1000 + 1, 338, 336);
      assertThat(runs(run * 1000 + 4, 272, 270)).isEqualTo(Phase.DONE);
      rests(run * 1000 + 900, 338, 336);
    }
    rests(4000, 338, 336);
    assertThat(runs(4001, 272, 270)).isEqualTo(Phase.SUSPECTED);
  }

  // How readings come.

  /** Probes that report so often, the first time so long after ozone on; a cycle each 100 ms. */
  @ParameterizedTest
  @CsvSource({
    "1, 0.1, PROVED",
    "1, 0.9, PROVED",
    "5, 0.1, PROVED",
    "5, 2.9, PROVED",
    "5, 3.1, DONE",
    "5, 4.9, DONE",
    "9, 2.9, DONE"
  })
  void isSeenWhereReadingsComeInItsTimes(int everySeconds, double firstSeconds, Phase last) {
    double[] heard = {338, 336};
    double next = firstSeconds;
    Phase reached = rests(0, heard);
    boolean on = true;
    for (int cycle = 1; cycle < 120 && pickUp.phase() != Phase.PROVED; cycle++) {
      double second = cycle / 10.0;
      if (second > next - 0.01) {
        heard = on ? new double[] {272, 270} : new double[] {338, 336};
        next += everySeconds;
      }
      Phase phase = on ? runs(second, heard) : rests(second, heard);
      reached = phase == Phase.RESTING ? reached : phase;
      on = running && pickUp.stop().isEmpty();
    }
    assertThat(reached).isEqualTo(last);
    assertThat(events.stream().anyMatch(Event::latched)).isEqualTo(last == Phase.PROVED);
  }

  /**
   * First order after a step, without any dead time, which is worse than any water: {@code y = gain
   * (1 - exp(-t / time constant))}, with noise of its own on each probe.
   */
  @Test
  void aTrueRiseIsNeverSuspected() {
    for (int seed = 0; seed < 300; seed++) {
      SplittableRandom random = new SplittableRandom(seed);
      double gain = random.nextDouble(-150, 150);
      double timeConstant = random.nextDouble(60, 3600);
      rests(-1, 320, 323);
      rests(0, noisy(320, random), noisy(323, random));
      for (int second = 1; second < 900; second++) {
        double rise = gain * (1 - Math.exp(-second / timeConstant));
        assertThat(runs(second, noisy(320 + rise, random), noisy(323 + rise, random)))
            .as("seed %d, second %d", seed, second)
            .isNotEqualTo(Phase.SUSPECTED);
      }
      rests(900, 320, 323);
    }
  }

  private static double noisy(double value, SplittableRandom random) {
    return value + random.nextDouble(-5, 5);
  }
}

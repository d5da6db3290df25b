package io.github.tidewarden.interlock;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.interlock.Watch.Phase;
import io.github.tidewarden.sensing.Measure;
import java.util.Set;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** The phases of one interlock: the whole from-to matrix, then its delays as timed stories. */
class WatchTest {
  private static final Condition CAUSE = new Condition.Above("redox-a", 400);
  private static final InterlockSpec SPEC =
      GuardBench.timed(GuardBench.plain("redox-ceiling", CAUSE), 5, 60, 30);

  private static long s(long seconds) {
    return TimeUnit.SECONDS.toNanos(seconds);
  }

  private static Watch in(Phase phase) {
    return switch (phase) {
      case QUIET -> Watch.QUIET;
      case STANDING -> new Watch(Phase.STANDING, s(0), s(0), null, 0);
      case TRIPPED -> new Watch(Phase.TRIPPED, s(0), s(0), null, 0);
      case RESTING -> new Watch(Phase.RESTING, s(0), null, null, s(60));
    };
  }

  /**
   * Every phase, whether its time is over (5 s of standing, 60 s of rest), every verdict on the
   * cause and on the clear condition. Where a row has "*", any verdict must give the same.
   */
  @ParameterizedTest
  @CsvSource({
    "QUIET,    1, TRUE,    *,       STANDING",
    "QUIET,    1, FALSE,   *,       QUIET",
    "QUIET,    1, UNKNOWN, *,       QUIET",
    "STANDING, 4, TRUE,    *,       STANDING",
    "STANDING, 5, TRUE,    *,       TRIPPED",
    "STANDING, 4, FALSE,   *,       QUIET",
    "STANDING, 5, FALSE,   *,       QUIET",
    "STANDING, 4, UNKNOWN, *,       STANDING",
    "STANDING, 5, UNKNOWN, *,       TRIPPED",
    "TRIPPED,  1, *,       TRUE,    RESTING",
    "TRIPPED,  1, *,       FALSE,   TRIPPED",
    "TRIPPED,  1, *,       UNKNOWN, TRIPPED",
    "RESTING, 59, TRUE,    *,       STANDING",
    "RESTING, 60, TRUE,    *,       STANDING",
    "RESTING, 59, FALSE,   *,       RESTING",
    "RESTING, 60, FALSE,   *,       QUIET",
    "RESTING, 59, UNKNOWN, *,       RESTING",
    "RESTING, 60, UNKNOWN, *,       QUIET",
  })
  void movesByItsTableAndNoOtherWay(
      Phase from, int atSecond, String cause, String clear, Phase to) {
    for (Verdict causes : verdicts(cause)) {
      for (Verdict clears : verdicts(clear)) {
        Watch next = in(from).next(SPEC, causes, clears, Verdict.FALSE, true, s(atSecond));
        assertThat(next.phase()).as("cause " + causes + ", clear " + clears).isEqualTo(to);
      }
    }
  }

  private static Set<Verdict> verdicts(String word) {
    return word.equals("*") ? Set.of(Verdict.values()) : Set.of(Verdict.valueOf(word));
  }

  /** A second of air that fails again does not cut the rest after the trip short. */
  @ParameterizedTest
  @CsvSource({"59, RESTING", "60, QUIET", "61, QUIET"})
  void aCauseThatIsBackForASecondDoesNotShortenTheRest(int atSecond, Phase then) {
    Watch again =
        in(Phase.RESTING)
            .next(SPEC, Verdict.TRUE, Verdict.FALSE, Verdict.FALSE, true, s(10))
            .next(SPEC, Verdict.FALSE, Verdict.TRUE, Verdict.FALSE, true, s(11));
    assertThat(again).isEqualTo(new Watch(Phase.RESTING, s(11), null, null, s(60)));
    Watch late = again.next(SPEC, Verdict.FALSE, Verdict.TRUE, Verdict.FALSE, true, s(atSecond));
    assertThat(late.phase()).isEqualTo(then);
    Watch standing = new Watch(Phase.STANDING, s(57), s(57), null, s(60));
    Watch over = standing.next(SPEC, Verdict.FALSE, Verdict.TRUE, Verdict.FALSE, true, s(atSecond));
    assertThat(over.phase()).as("stood until then").isEqualTo(then);
  }

  @Test
  void aTripBeganWhenItCameHoweverLongItLasts() {
    Watch tripped = in(Phase.STANDING);
    for (int second = 5; second < 100; second++) {
      tripped = tripped.next(SPEC, Verdict.TRUE, Verdict.FALSE, Verdict.FALSE, true, s(second));
    }
    assertThat(tripped).isEqualTo(new Watch(Phase.TRIPPED, s(5), s(0), null, 0));
  }

  @Test
  void withoutADelayItTripsInTheCycleOfItsCause() {
    InterlockSpec atOnce = GuardBench.plain("leak", CAUSE);
    Watch next = Watch.QUIET.next(atOnce, Verdict.TRUE, Verdict.FALSE, Verdict.FALSE, true, s(1));
    assertThat(next.phase()).isEqualTo(Phase.TRIPPED);
  }

  @Test
  void unarmedItStandsForEverAndTripsNever() {
    Watch watch = Watch.QUIET;
    for (int second = 0; second < 10_000; second++) {
      watch = watch.next(SPEC, Verdict.TRUE, Verdict.FALSE, Verdict.TRUE, false, s(second));
      assertThat(watch.phase()).isEqualTo(Phase.STANDING);
      assertThat(watch.latches(SPEC, s(second))).isFalse();
    }
  }

  @Test
  void theDelayRunsFromWhenItWasArmedNotFromWhenTheCauseCame() {
    Watch watch = Watch.QUIET.next(SPEC, Verdict.TRUE, Verdict.FALSE, Verdict.FALSE, false, s(0));
    watch = watch.next(SPEC, Verdict.TRUE, Verdict.FALSE, Verdict.FALSE, true, s(100));
    watch = watch.next(SPEC, Verdict.TRUE, Verdict.FALSE, Verdict.FALSE, false, s(104));
    assertThat(watch.phase()).isEqualTo(Phase.STANDING);
    watch = watch.next(SPEC, Verdict.TRUE, Verdict.FALSE, Verdict.FALSE, false, s(105));
    assertThat(watch.phase()).as("once armed it stays so").isEqualTo(Phase.TRIPPED);
  }

  @Test
  void aCauseThatGoesAwayInItsDelayBeginsAnew() {
    Watch watch = Watch.QUIET.next(SPEC, Verdict.TRUE, Verdict.FALSE, Verdict.TRUE, true, s(0));
    watch = watch.next(SPEC, Verdict.FALSE, Verdict.TRUE, Verdict.FALSE, true, s(4));
    watch = watch.next(SPEC, Verdict.TRUE, Verdict.FALSE, Verdict.TRUE, true, s(5));
    watch = watch.next(SPEC, Verdict.TRUE, Verdict.FALSE, Verdict.TRUE, true, s(9));
    assertThat(watch.phase()).isEqualTo(Phase.STANDING);
  }

  private static final InterlockSpec WORSE =
      new InterlockSpec(
          "redox-ceiling",
          CAUSE,
          Arming.ALWAYS,
          false,
          0,
          new Condition.Not(new Condition.Above("redox-a", 340)),
          s(600),
          new Condition.Above("redox-a", 420),
          s(30),
          3,
          Set.of(TankFunction.OZONE));

  /** The redox ceiling, as in the defaults of SAFETY.md: latches at 20 mV over for 30 s. */
  @Test
  void latchesWhenTheWorseHasStoodForItsTime() {
    GuardBench bench = new GuardBench(WORSE);
    bench.says("redox-a", Measure.REDOX, 400).seconds(100);
    assertThat(bench.latches).isEmpty();
    bench.says("redox-a", Measure.REDOX, 420).seconds(30);
    assertThat(bench.latches).as("29 s after it began").isEmpty();
    bench.seconds(1);
    assertThat(bench.latches).containsOnlyKeys("redox-ceiling");
    bench.seconds(100);
    assertThat(bench.names(Event.Type.LATCHED)).as("told once").containsExactly("redox-ceiling");
  }

  /** What was worse in the trip before, and still is in the rest, latches nothing by itself. */
  @Test
  void theWorseBeginsItsTimeAnewWithACauseThatComesInTheRest() {
    Watch watch = in(Phase.RESTING);
    watch = watch.next(SPEC, Verdict.FALSE, Verdict.TRUE, Verdict.TRUE, true, s(1));
    assertThat(watch.latches(SPEC, s(59))).isFalse();
    watch = watch.next(SPEC, Verdict.TRUE, Verdict.FALSE, Verdict.TRUE, true, s(40));
    watch = watch.next(SPEC, Verdict.TRUE, Verdict.FALSE, Verdict.TRUE, true, s(45));
    assertThat(watch.phase()).isEqualTo(Phase.TRIPPED);
    assertThat(watch.latches(SPEC, s(69))).isFalse();
    assertThat(watch.latches(SPEC, s(70))).as("30 s after it came again").isTrue();
  }

  @Test
  void theWorseBeginsItsTimeAnewWhenItWasAway() {
    GuardBench bench = new GuardBench(WORSE);
    bench.says("redox-a", Measure.REDOX, 420).seconds(30);
    bench.says("redox-a", Measure.REDOX, 419.9).seconds(1);
    bench.says("redox-a", Measure.REDOX, 420).seconds(30);
    assertThat(bench.latches).isEmpty();
    bench.seconds(1);
    assertThat(bench.latches).containsOnlyKeys("redox-ceiling");
  }

  @Test
  void aSignalThatIsLostMeanwhileBuysNoTime() {
    GuardBench bench = new GuardBench(WORSE);
    bench.says("redox-a", Measure.REDOX, 425).seconds(10);
    bench.loses("redox-a").seconds(21);
    assertThat(bench.latches).containsOnlyKeys("redox-ceiling");
  }

  @Test
  void aWorseThatCannotBeToldBeginsNoTime() {
    Watch watch = Watch.QUIET.next(WORSE, Verdict.TRUE, Verdict.FALSE, Verdict.UNKNOWN, true, s(0));
    watch = watch.next(WORSE, Verdict.TRUE, Verdict.FALSE, Verdict.UNKNOWN, true, s(100));
    assertThat(watch.latches(WORSE, s(100))).isFalse();
  }

  @Test
  void latchesOnlyAsLongAsArmed() {
    InterlockSpec wanted = GuardBench.timed(GuardBench.plain("apart", CAUSE), 0, 0, 30);
    Watch watch = Watch.QUIET.next(wanted, Verdict.TRUE, Verdict.FALSE, Verdict.TRUE, false, s(0));
    watch = watch.next(wanted, Verdict.TRUE, Verdict.FALSE, Verdict.TRUE, true, s(100));
    assertThat(watch.phase()).isEqualTo(Phase.TRIPPED);
    assertThat(watch.latches(wanted, s(129))).isFalse();
    assertThat(watch.latches(wanted, s(130))).isTrue();
  }

  @Test
  void aLatchThatIsDueBeforeTheDelayTripsByItself() {
    InterlockSpec spec =
        new InterlockSpec(
            "redox-high",
            CAUSE,
            Arming.ALWAYS,
            false,
            s(60),
            null,
            0,
            new Condition.Above("redox-a", 420),
            s(10),
            0,
            Set.of(TankFunction.OZONE));
    GuardBench bench = new GuardBench(spec);
    bench.says("redox-a", Measure.REDOX, 430).seconds(11);
    assertThat(bench.events).hasSize(1);
    assertThat(bench.events.get(0).type()).isEqualTo(Event.Type.TRIP);
    assertThat(bench.events.get(0).latched()).isTrue();
  }

  @Test
  void untilItIsClearItDoesNotEndThoughTheCauseIsOver() {
    GuardBench bench = new GuardBench(WORSE);
    bench.says("redox-a", Measure.REDOX, 401).seconds(2);
    bench.says("redox-a", Measure.REDOX, 340).seconds(3600);
    assertThat(bench.names(Event.Type.CLEARED)).isEmpty();
    bench.says("redox-a", Measure.REDOX, 339.9).seconds(600);
    assertThat(bench.names(Event.Type.CLEARED)).containsExactly("redox-ceiling");
    assertThat(bench.stops)
        .singleElement()
        .satisfies(
            stop -> assertThat(stop.why()).isEqualTo("resting for 1 s more after redox-ceiling"));
    bench.seconds(1);
    assertThat(bench.stops).isEmpty();
  }
}

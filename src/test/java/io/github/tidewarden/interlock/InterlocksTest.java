package io.github.tidewarden.interlock;

import static io.github.tidewarden.interlock.GuardBench.armed;
import static io.github.tidewarden.interlock.GuardBench.plain;
import static io.github.tidewarden.interlock.GuardBench.timed;
import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.sensing.Measure;
import java.util.EnumSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Interlocks of one tank together: arming, first-out, order, latches, resets. */
class InterlocksTest {
  private static final InterlockSpec CEILING =
      plain("redox-ceiling", new Condition.Above("redox-a", 400));
  private static final InterlockSpec AIR =
      timed(armed(plain("air-lost", new Condition.Below("air", 3)), Arming.RUNNING), 5, 600, 30);
  private static final InterlockSpec CIRCULATION =
      timed(
          armed(plain("circulation-lost", new Condition.Is("return", false)), Arming.RUNNING),
          5,
          600,
          0);

  private static GuardBench bench(InterlockSpec... specs) {
    return new GuardBench(specs)
        .says("redox-a", Measure.REDOX, 320)
        .says("air", Measure.AIR_FLOW, 5)
        .says("return", Measure.RUNNING, 1);
  }

  private static void runs(GuardBench bench) {
    bench.running.add(TankFunction.OZONE);
    bench.seconds(1);
    assertThat(bench.stops).isEmpty();
  }

  // Arming.

  @Test
  void whatIsArmedAlwaysTripsIdleToo() {
    GuardBench bench = bench(CEILING);
    bench.says("redox-a", Measure.REDOX, 400).seconds(1);
    assertThat(bench.names(Event.Type.TRIP)).containsExactly("redox-ceiling");
  }

  @Test
  void anIdleCauseOfWhatIsArmedByRunningForbidsWithoutATripOrALatch() {
    GuardBench bench = bench(AIR);
    bench.says("air", Measure.AIR_FLOW, 0).seconds(10_000);
    assertThat(bench.events).isEmpty();
    assertThat(bench.stops)
        .containsExactly(
            new Stop(
                TankFunction.OZONE,
                "air-lost",
                "air 0.00 L/min, limit 3.00 L/min or under",
                false));
    bench.says("air", Measure.AIR_FLOW, 5).seconds(1);
    assertThat(bench.stops).isEmpty();
  }

  @Test
  void aCauseThatCameInARunTripsThoughTheRunEndsWithIt() {
    GuardBench bench = bench(AIR);
    runs(bench);
    bench.says("air", Measure.AIR_FLOW, 0).seconds(1);
    assertThat(bench.stopped(TankFunction.OZONE)).as("forbidden without delay").isTrue();
    bench.running.clear();
    bench.seconds(4);
    assertThat(bench.events).isEmpty();
    bench.seconds(1);
    assertThat(bench.names(Event.Type.TRIP)).containsExactly("air-lost");
    bench.seconds(24);
    assertThat(bench.latches).isEmpty();
    bench.seconds(1);
    assertThat(bench.latches).as("30 s after the cause came").containsOnlyKeys("air-lost");
  }

  @Test
  void whatIsArmedByWantingTripsOnceTheFunctionIsWanted() {
    GuardBench bench =
        bench(
            timed(
                armed(plain("far-off", new Condition.Above("redox-a", 390)), Arming.WANTED),
                0,
                600,
                60));
    bench.says("redox-a", Measure.REDOX, 395).seconds(1000);
    assertThat(bench.events).isEmpty();
    bench.wanted.add(TankFunction.OZONE);
    bench.seconds(60);
    assertThat(bench.names(Event.Type.TRIP)).containsExactly("far-off");
    assertThat(bench.latches).isEmpty();
    bench.seconds(1);
    assertThat(bench.latches).containsOnlyKeys("far-off");
  }

  @Test
  void anotherFunctionThatRunsArmsNothing() {
    GuardBench bench = bench(AIR);
    bench.running.add(TankFunction.EXCHANGE);
    bench.says("air", Measure.AIR_FLOW, 0).seconds(100);
    assertThat(bench.events).isEmpty();
  }

  @Test
  void oneThatStopsNothingIsArmedByAnyFunction() {
    InterlockSpec tells =
        new InterlockSpec(
            "told",
            new Condition.Above("redox-a", 390),
            Arming.WANTED,
            true,
            0,
            null,
            0,
            null,
            0,
            0,
            Set.of());
    GuardBench bench = bench(tells);
    bench.says("redox-a", Measure.REDOX, 390).seconds(2);
    assertThat(bench.events).isEmpty();
    bench.wanted.add(TankFunction.EXCHANGE);
    bench.seconds(1);
    assertThat(bench.names(Event.Type.NOTICE)).containsExactly("told");
    assertThat(bench.stops).isEmpty();
  }

  // Notices.

  /** Redox low, as in the defaults of SAFETY.md: may not start, and a notice. */
  @Test
  void aNoticeThatForbidsDoesNotTrip() {
    InterlockSpec low =
        new InterlockSpec(
            "redox-low",
            new Condition.Below("redox-a", 200),
            Arming.WANTED,
            true,
            0,
            null,
            0,
            null,
            0,
            0,
            Set.of(TankFunction.OZONE));
    GuardBench bench = bench(low);
    bench.wanted.add(TankFunction.OZONE);
    bench.says("redox-a", Measure.REDOX, 200).seconds(100);
    assertThat(bench.names(Event.Type.NOTICE)).containsExactly("redox-low");
    assertThat(bench.names(Event.Type.TRIP)).isEmpty();
    assertThat(bench.counts).isEmpty();
    assertThat(bench.stopped(TankFunction.OZONE)).isTrue();
    bench.says("redox-a", Measure.REDOX, 320).seconds(3);
    assertThat(bench.stops).isEmpty();
    assertThat(bench.names(Event.Type.CLEARED)).containsExactly("redox-low");
  }

  // First-out (SAFETY.md F62).

  private static List<String> firstOuts(GuardBench bench) {
    return bench.events.stream()
        .filter(event -> event.type() == Event.Type.TRIP)
        .map(event -> event.name() + " by " + event.firstOut())
        .toList();
  }

  @Test
  void theFirstToTripIsTheFirstOutAndLaterOnesAreItsConsequences() {
    GuardBench bench = bench(CEILING, AIR, CIRCULATION);
    runs(bench);
    bench.says("air", Measure.AIR_FLOW, 0).seconds(1);
    bench.running.clear();
    bench.seconds(5);
    bench.says("return", Measure.RUNNING, 0).seconds(6);
    bench.says("redox-a", Measure.REDOX, 400).seconds(1);
    assertThat(firstOuts(bench))
        .containsExactly(
            "air-lost by air-lost", "circulation-lost by air-lost", "redox-ceiling by air-lost");
  }

  @Test
  void ofTripsInOneCycleTheOneWhoseCauseCameFirstIsFirst() {
    InterlockSpec slow = timed(plain("slow", new Condition.Above("redox-a", 390)), 10, 0, 0);
    InterlockSpec fast = timed(plain("fast", new Condition.Below("air", 3)), 5, 0, 0);
    GuardBench bench = bench(fast, slow);
    bench.says("redox-a", Measure.REDOX, 395).seconds(5);
    bench.says("air", Measure.AIR_FLOW, 0).seconds(6);
    assertThat(firstOuts(bench)).containsExactly("slow by slow", "fast by slow");
  }

  @ParameterizedTest
  @CsvSource({"59, redox-ceiling", "60, air-low"})
  void aTripWithinAMinuteOfTheFirstIsItsConsequenceThoughThatIsOver(int after, String first) {
    GuardBench bench = bench(CEILING, plain("air-low", new Condition.Below("air", 3)));
    bench.says("redox-a", Measure.REDOX, 400).seconds(1);
    bench.says("redox-a", Measure.REDOX, 320).seconds(after - 1);
    bench.says("air", Measure.AIR_FLOW, 0).seconds(1);
    assertThat(firstOuts(bench))
        .containsExactly("redox-ceiling by redox-ceiling", "air-low by " + first);
  }

  @Test
  void aTripThatComesAgainMuchLaterIsFirstAnew() {
    GuardBench bench = bench(CEILING, plain("air-low", new Condition.Below("air", 3)));
    bench.says("redox-a", Measure.REDOX, 400).seconds(1);
    bench.says("redox-a", Measure.REDOX, 320).seconds(2);
    bench.passes(3600);
    bench.says("redox-a", Measure.REDOX, 400).seconds(1);
    bench.says("redox-a", Measure.REDOX, 320).seconds(30);
    bench.says("air", Measure.AIR_FLOW, 0).seconds(1);
    assertThat(firstOuts(bench))
        .containsExactly(
            "redox-ceiling by redox-ceiling",
            "redox-ceiling by redox-ceiling",
            "air-low by redox-ceiling");
  }

  @Test
  void aTripOfLongAgoThatComesAgainInTheSameCycleIsNotFirst() {
    InterlockSpec airLow = timed(plain("air-low", new Condition.Below("air", 3)), 5, 0, 0);
    GuardBench bench = bench(CEILING, airLow);
    bench.says("redox-a", Measure.REDOX, 400).seconds(1);
    bench.says("redox-a", Measure.REDOX, 320).seconds(2);
    bench.passes(3600);
    bench.says("air", Measure.AIR_FLOW, 0).seconds(5);
    bench.says("redox-a", Measure.REDOX, 400).seconds(1);
    assertThat(firstOuts(bench))
        .containsExactly(
            "redox-ceiling by redox-ceiling", "air-low by air-low", "redox-ceiling by air-low");
  }

  @Test
  void aCauseThatFollowsAFirstOutThatStoppedARunIsItsConsequence() {
    GuardBench bench = bench(CEILING, AIR);
    runs(bench);
    bench.says("redox-a", Measure.REDOX, 400).seconds(1);
    bench.running.clear();
    bench.seconds(100);
    bench.says("air", Measure.AIR_FLOW, 0).seconds(6);
    assertThat(firstOuts(bench))
        .containsExactly("redox-ceiling by redox-ceiling", "air-lost by redox-ceiling");
  }

  /** The exchange runs on through it; that ozone ran when the cause came is not forgotten. */
  @Test
  void aFunctionThatRestsBeforeTheTripWasStoppedByItThoughAnotherRunsOn() {
    GuardBench bench = bench(timed(CEILING, 5, 0, 0), AIR);
    bench.running.add(TankFunction.EXCHANGE);
    runs(bench);
    bench.says("redox-a", Measure.REDOX, 400).seconds(1);
    bench.running.remove(TankFunction.OZONE);
    bench.seconds(5);
    assertThat(bench.names(Event.Type.TRIP)).containsExactly("redox-ceiling");
    bench.says("air", Measure.AIR_FLOW, 0).seconds(6);
    assertThat(firstOuts(bench))
        .containsExactly("redox-ceiling by redox-ceiling", "air-lost by redox-ceiling");
  }

  @Test
  void aFirstOutThatStoppedNoRunArmsNothing() {
    GuardBench bench = bench(CEILING, AIR, CIRCULATION);
    bench.says("redox-a", Measure.REDOX, 400).seconds(100);
    bench.says("air", Measure.AIR_FLOW, 0).says("return", Measure.RUNNING, 0).seconds(3600);
    assertThat(bench.names(Event.Type.TRIP)).containsExactly("redox-ceiling");
    assertThat(bench.latches).isEmpty();
  }

  @Test
  void aRunThatEndedBeforeTheFirstOutIsNotStoppedByIt() {
    GuardBench bench = bench(CEILING, AIR);
    runs(bench);
    bench.running.clear();
    bench.seconds(10);
    bench.says("redox-a", Measure.REDOX, 400).seconds(10);
    bench.says("air", Measure.AIR_FLOW, 0).seconds(100);
    assertThat(bench.names(Event.Type.TRIP)).containsExactly("redox-ceiling");
  }

  @Test
  void aFirstOutArmsOnlyWhatItStopped() {
    InterlockSpec exchangeOff =
        new InterlockSpec(
            "salinity-off",
            new Condition.Outside("salinity", 33.5, 36.5),
            Arming.RUNNING,
            false,
            0,
            null,
            0,
            null,
            0,
            0,
            Set.of(TankFunction.EXCHANGE));
    GuardBench bench = bench(CEILING, exchangeOff).says("salinity", Measure.SALINITY, 35);
    runs(bench);
    bench.says("redox-a", Measure.REDOX, 400).seconds(1);
    bench.running.clear();
    bench.says("salinity", Measure.SALINITY, 30).seconds(10);
    assertThat(bench.names(Event.Type.TRIP)).containsExactly("redox-ceiling");
  }

  @Test
  void whenTheFirstOutIsLongOverItArmsNothingAndNeitherDoesItItself() {
    GuardBench bench = bench(AIR, CIRCULATION);
    runs(bench);
    bench.says("air", Measure.AIR_FLOW, 0).seconds(1);
    bench.running.clear();
    bench.seconds(5);
    bench.says("air", Measure.AIR_FLOW, 5).seconds(1);
    bench.says("air", Measure.AIR_FLOW, 0).seconds(20);
    assertThat(bench.names(Event.Type.TRIP)).as("not armed by itself").containsExactly("air-lost");
    bench.says("air", Measure.AIR_FLOW, 5).seconds(100);
    bench.says("return", Measure.RUNNING, 0).seconds(20);
    assertThat(bench.names(Event.Type.TRIP)).containsExactly("air-lost");
  }

  // Latches.

  @Test
  void theNthTripOfANightLatches() {
    InterlockSpec third =
        new InterlockSpec(
            "redox-ceiling",
            CEILING.cause(),
            Arming.ALWAYS,
            false,
            0,
            null,
            0,
            null,
            0,
            3,
            Set.of(TankFunction.OZONE));
    GuardBench bench = bench(third);
    for (int trip = 1; trip <= 3; trip++) {
      assertThat(bench.latches).isEmpty();
      bench.says("redox-a", Measure.REDOX, 400).seconds(1);
      bench.says("redox-a", Measure.REDOX, 320).seconds(2);
    }
    assertThat(bench.latches).containsOnlyKeys("redox-ceiling");
    bench.says("redox-a", Measure.REDOX, 400).seconds(5);
    assertThat(bench.names(Event.Type.TRIP)).as("latched is latched").hasSize(3);
    bench.says("redox-a", Measure.REDOX, 320).seconds(2);
    bench.latches.clear();
    bench.says("redox-a", Measure.REDOX, 400).seconds(1);
    assertThat(bench.latches)
        .as("after a reset the next of the same night latches again (F60)")
        .containsOnlyKeys("redox-ceiling");
  }

  @Test
  void aLatchStopsFromTheCycleInWhichItCameUntilItIsReset() {
    InterlockSpec leak =
        new InterlockSpec(
            "leak",
            new Condition.Is("floor", true),
            Arming.ALWAYS,
            false,
            0,
            null,
            0,
            new Condition.Is("floor", true),
            0,
            0,
            EnumSet.allOf(TankFunction.class));
    GuardBench bench = bench(leak).says("floor", Measure.LEAK, 1);
    bench.seconds(1);
    assertThat(bench.stops.stream().filter(Stop::latched).map(Stop::function))
        .containsExactly(TankFunction.values());
    bench.seconds(1);
    assertThat(bench.stops)
        .as("latched, its cause is no second reason")
        .extracting(Stop::latched)
        .containsOnly(true);
    bench.says("floor", Measure.LEAK, 0).seconds(1);
    bench.passes(100_000);
    bench.seconds(2);
    assertThat(bench.stops)
        .containsExactly(
            new Stop(TankFunction.OZONE, "leak", "latched: floor wet", true),
            new Stop(TankFunction.EXCHANGE, "leak", "latched: floor wet", true),
            new Stop(TankFunction.TOP_OFF, "leak", "latched: floor wet", true));
    bench.latches.clear();
    bench.seconds(1);
    assertThat(bench.stops).isEmpty();
  }

  @Test
  void aLatchOfAnInterlockStopsWhatTheInterlockStops() {
    GuardBench bench = bench(CEILING);
    bench.latches.put("redox-ceiling", "redox-a 421.0 mV");
    bench.seconds(1);
    assertThat(bench.stops)
        .containsExactly(
            new Stop(TankFunction.OZONE, "redox-ceiling", "latched: redox-a 421.0 mV", true));
  }

  @Test
  void aLatchWhoseInterlockHasAnotherNameNowStopsEverything() {
    GuardBench bench = bench(CEILING);
    bench.latches.put("redox-top", "redox-a 421.0 mV");
    bench.latches.put("old-probe-silent", "old-probe is silent for 60 s");
    bench.seconds(1);
    assertThat(bench.stops.stream().map(stop -> stop.name() + " " + stop.function().word()))
        .containsExactly(
            "old-probe-silent ozone",
            "old-probe-silent exchange",
            "old-probe-silent top-off",
            "redox-top ozone",
            "redox-top exchange",
            "redox-top top-off");
    assertThat(refusal(bench, "redox-top")).isNull();
    assertThat(refusal(bench, "leak")).as("a shorter name").isNull();
  }

  /** SAFETY.md F67; how it moves is told in {@link PickUpTest}. */
  @Test
  void pickUpStopsOzoneAtOnceLatchesAndMayBeReset() {
    GuardBench bench = bench();
    bench.interlocks =
        new Interlocks(
            List.of(),
            List.of(),
            Map.of(TankFunction.OZONE, List.of("redox-b", "redox-a")),
            Map.of());
    bench.says("redox-a", Measure.REDOX, 336).says("redox-b", Measure.REDOX, 338).seconds(2);
    bench.running.add(TankFunction.OZONE);
    bench.says("redox-a", Measure.REDOX, 270).says("redox-b", Measure.REDOX, 272).seconds(1);
    assertThat(bench.stops)
        .containsExactly(
            new Stop(
                TankFunction.OZONE,
                "pick-up",
                "redox-b 338.0 mV to 272.0 mV, redox-a 336.0 mV to 270.0 mV within 3 s of ozone on:"
                    + " electrical pick-up is suspected",
                false));
    bench.running.clear();
    bench.says("redox-a", Measure.REDOX, 336).says("redox-b", Measure.REDOX, 338).seconds(1);
    assertThat(bench.latches).containsOnlyKeys("pick-up");
    assertThat(bench.stops)
        .singleElement()
        .matches(stop -> stop.latched() && stop.function() == TankFunction.OZONE);
    bench.seconds(60);
    assertThat(bench.names(Event.Type.LATCHED)).containsExactly("pick-up");
    assertThat(bench.interlocks.standingCause("pick-up", bench.state, Seen.raw(bench.signals)))
        .isNull();
    bench.latches.clear();
    bench.seconds(1);
    assertThat(bench.stops).isEmpty();
  }

  @Test
  void aLatchOfADeviceStopsWhatTheDeviceServes() {
    GuardBench bench = bench();
    bench.interlocks =
        new Interlocks(
            List.of(CEILING),
            List.of(),
            Map.of(),
            Map.of("generator-unconfirmed", TankFunction.OZONE));
    bench.latches.put("generator-unconfirmed", "it did not confirm");
    bench.seconds(1);
    assertThat(bench.stops)
        .containsExactly(
            new Stop(
                TankFunction.OZONE, "generator-unconfirmed", "latched: it did not confirm", true));
  }

  // The order of causes.

  @Test
  void latchesComeFirstThenInterlocksInTheirOrderThenLostSignalsByName() {
    GuardBench bench = bench(AIR, CEILING, CIRCULATION);
    bench.latches.put("zz", "old");
    bench.says("redox-a", Measure.REDOX, 400).says("air", Measure.AIR_FLOW, 0).loses("return");
    bench.seconds(1);
    assertThat(bench.stops.stream().filter(stop -> stop.function() == TankFunction.OZONE))
        .extracting(Stop::name)
        .containsExactly("zz", "air-lost", "redox-ceiling", "return");
  }

  // Resets.

  private static String refusal(GuardBench bench, String latch) {
    return bench.interlocks.standingCause(latch, bench.state, Seen.raw(bench.signals));
  }

  @Test
  void aResetIsRefusedWhileTheCauseStandsOrCannotBeTold() {
    GuardBench bench = bench(timed(CEILING, 0, 600, 30));
    bench.says("redox-a", Measure.REDOX, 410).seconds(40);
    assertThat(bench.latches).containsOnlyKeys("redox-ceiling");
    assertThat(refusal(bench, "redox-ceiling"))
        .isEqualTo("its cause still stands: redox-a 410.0 mV, limit 400.0 mV or over");
    bench.loses("redox-a").seconds(1);
    assertThat(refusal(bench, "redox-ceiling"))
        .isEqualTo("whether its cause still stands cannot be told: redox-a is silent for 60 s");
    bench.signals.remove("redox-a");
    assertThat(refusal(bench, "redox-ceiling"))
        .isEqualTo("whether its cause still stands cannot be told: redox-a is not configured");
    bench.says("redox-a", Measure.REDOX, 399.9).seconds(1);
    assertThat(refusal(bench, "redox-ceiling")).isNull();
  }

  @Test
  void ofSeveralSignalsOnlyTheLostOnesAreNamed() {
    Condition any =
        new Condition.AnyOf(
            List.of(new Condition.Above("redox-a", 400), new Condition.Below("air", 3)));
    GuardBench bench = bench(plain("either", any));
    bench.loses("air").seconds(1);
    assertThat(refusal(bench, "either"))
        .isEqualTo("whether its cause still stands cannot be told: air is silent for 60 s");
  }

  @Test
  void aLatchIsResetOnceItsCauseIsOverAndTheTripStopsOnUntilItIsClearAndRested() {
    InterlockSpec spec =
        new InterlockSpec(
            "redox-ceiling",
            CEILING.cause(),
            Arming.ALWAYS,
            false,
            0,
            new Condition.Not(new Condition.Above("redox-a", 340)),
            TimeUnit.MINUTES.toNanos(10),
            new Condition.Above("redox-a", 420),
            TimeUnit.SECONDS.toNanos(30),
            0,
            Set.of(TankFunction.OZONE));
    GuardBench bench = bench(spec);
    bench.says("redox-a", Measure.REDOX, 420).seconds(31);
    assertThat(bench.latches).containsOnlyKeys("redox-ceiling");
    bench.says("redox-a", Measure.REDOX, 380).seconds(1);
    assertThat(refusal(bench, "redox-ceiling")).isNull();

    bench.latches.clear();
    bench.seconds(3_600);
    assertThat(bench.latches).isEmpty();
    assertThat(bench.stops)
        .containsExactly(
            new Stop(
                TankFunction.OZONE,
                "redox-ceiling",
                "redox-a 380.0 mV, limit 400.0 mV or over",
                false));
    bench.says("redox-a", Measure.REDOX, 339).seconds(600);
    assertThat(bench.stopped(TankFunction.OZONE)).as("the rest").isTrue();
    bench.seconds(2);
    assertThat(bench.stopped(TankFunction.OZONE)).isFalse();
  }

  @Test
  void aLatchedSilenceIsResetOnceTheSignalIsBack() {
    GuardBench bench = bench(CEILING);
    bench.loses("redox-a").seconds(1);
    assertThat(refusal(bench, "redox-a-silent")).isEqualTo("redox-a is silent for 60 s");
    bench.says("redox-a", Measure.REDOX, 320).seconds(1);
    assertThat(refusal(bench, "redox-a-silent")).isNull();
    assertThat(refusal(bench, "gone-silent")).as("a sensor that is no more").isNull();
  }

  @Test
  void aLatchedSilenceStopsWhatNeedsTheSignal() {
    InterlockSpec exchangeOff =
        new InterlockSpec(
            "salinity-off",
            new Condition.Outside("salinity", 33.5, 36.5),
            Arming.ALWAYS,
            false,
            0,
            null,
            0,
            null,
            0,
            0,
            Set.of(TankFunction.EXCHANGE));
    GuardBench bench = bench(exchangeOff).says("salinity", Measure.SALINITY, 35);
    bench.latches.put("salinity-silent", "salinity is silent for 300 s");
    bench.seconds(1);
    assertThat(bench.stops).extracting(Stop::function).containsExactly(TankFunction.EXCHANGE);
  }

  @Test
  void aSignalThatOnlyTellsIsNeededByNothing() {
    InterlockSpec tells =
        new InterlockSpec(
            "told",
            new Condition.Above("room-ozone", 50),
            Arming.ALWAYS,
            true,
            0,
            null,
            0,
            null,
            0,
            0,
            Set.of());
    GuardBench bench = bench(tells).says("room-ozone", Measure.OZONE_IN_AIR, 3);
    bench.loses("room-ozone").seconds(1);
    assertThat(bench.stops).isEmpty();
    bench.latches.put("room-ozone-silent", "room-ozone is silent for 60 s");
    bench.seconds(1);
    assertThat(bench.stops)
        .as("a latch of when it was needed is one that is known no more")
        .extracting(Stop::function)
        .containsExactly(TankFunction.values());
  }
}

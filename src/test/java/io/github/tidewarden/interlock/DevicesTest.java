package io.github.tidewarden.interlock;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import io.github.tidewarden.quantity.Moment;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** Confirmation (SAFETY.md F19, F20, F24, F66) as timed stories. */
class DevicesTest {
  private static final ConfirmSpec SPEC =
      new ConfirmSpec("lab/lagoon/ozone/state", "/on", "true", "false", s(5));
  private static final int LEASE_SECONDS = 30;
  private static final long BOUND_SECONDS = 40;

  private final Devices devices =
      new Devices(
          Map.of("generator", SPEC),
          Map.of("generator", TankFunction.OZONE, "drain", TankFunction.EXCHANGE));
  private final Map<String, String> latches = new TreeMap<>();
  private final Map<String, Integer> counts = new TreeMap<>();
  private final List<Event> events = new ArrayList<>();
  private Map<String, Device> state = Map.of();
  private List<Stop> stops = List.of();
  private List<String> toRest = List.of();
  private int rests;
  private long nanos = s(-7_000);

  private static long s(long seconds) {
    return TimeUnit.SECONDS.toNanos(seconds);
  }

  private Moment now() {
    return new Moment(Instant.EPOCH.plusNanos(nanos), nanos, true);
  }

  private Device generator() {
    return state.getOrDefault("generator", Device.UNKNOWN);
  }

  private void is(Device device) {
    state = new TreeMap<>(Map.of("generator", device));
  }

  private void toldToRun() {
    is(generator().toldToRun(now(), nanos + s(LEASE_SECONDS), nanos + s(BOUND_SECONDS)));
  }

  private void toldToRest() {
    is(generator().toldToRest(now()));
  }

  private void reports(boolean on) {
    is(generator().reported(on, now()));
  }

  /** A cycle a second, the first of them now; what is to be told to rest is told so. */
  private void seconds(long seconds) {
    for (long second = 0; second < seconds; second++) {
      cycle();
      nanos += s(1);
    }
  }

  private void cycle() {
    Devices.Outcome outcome =
        devices.evaluate(
            state,
            new Situation(
                now(), Seen.raw(Map.of()), Set.of(), Set.of(), Set.of(), latches, counts));
    state = outcome.devices();
    stops = outcome.stops();
    toRest = outcome.toRest();
    for (Event event : outcome.events()) {
      events.add(event);
      if (event.latched()) {
        latches.put(event.name(), event.why());
      }
      if (event.type() == Event.Type.SILENT) {
        counts.merge(event.name(), 1, Integer::sum);
      }
    }
    for (String name : toRest) {
      rests++;
      assertThat(name).isEqualTo("generator");
      toldToRest();
    }
  }

  private List<String> names(Event.Type type) {
    return events.stream().filter(event -> event.type() == type).map(Event::name).toList();
  }

  @Test
  void confirmedInTimeNothingHappens() {
    toldToRun();
    seconds(4);
    reports(true);
    seconds(1000);
    assertThat(events).isEmpty();
    assertThat(stops).isEmpty();
    assertThat(rests).isZero();
  }

  @Test
  void renewalsNeedNoNewReport() {
    toldToRun();
    seconds(1);
    reports(true);
    for (int renewal = 0; renewal < 30; renewal++) {
      toldToRun();
      seconds(10);
    }
    assertThat(events).isEmpty();
  }

  /** The last lease before the end of a window is not renewed: the device ends the run itself. */
  @ParameterizedTest
  @ValueSource(longs = {0, 1, -17_000_000, -1_000_000_000})
  void restWhenTheLastLeaseIsOverIsAnEnd(long offNanos) {
    toldToRun();
    seconds(1);
    reports(true);
    seconds(LEASE_SECONDS - 2);
    nanos += s(1) + offNanos;
    reports(false);
    seconds(20);
    assertThat(events).isEmpty();
    assertThat(stops).isEmpty();
  }

  @Test
  void restBeforeTheLastLeaseIsOverIsNoEnd() {
    toldToRun();
    seconds(1);
    reports(true);
    seconds(LEASE_SECONDS - 2);
    nanos -= 1;
    reports(false);
    cycle();
    assertThat(names(Event.Type.SILENT)).containsExactly("generator-unconfirmed");
  }

  /** Dropped out by a lease that had been renewed: the renewals did not reach it. */
  @Test
  void restThoughTheLeaseWasRenewedIsNoEnd() {
    toldToRun();
    seconds(1);
    reports(true);
    seconds(9);
    toldToRun();
    seconds(LEASE_SECONDS - 10);
    reports(false);
    cycle();
    assertThat(names(Event.Type.SILENT)).containsExactly("generator-unconfirmed");
  }

  /** It is the lease that makes an end of it: where none is known, rest in a run is unconfirmed. */
  @Test
  void restOfADeviceOfWhichNoLeaseIsKnownIsNoEnd() {
    is(new Device(false, nanos, nanos - s(5), null, null, null, null, Silence.NONE));
    cycle();
    assertThat(names(Event.Type.SILENT)).containsExactly("generator-unconfirmed");
  }

  /** A report of the run may cross the word to rest; only what it says after that time counts. */
  @Test
  void aReportThatCrossesTheWordToRestIsNoRunUnasked() {
    toldToRun();
    seconds(3);
    reports(true);
    seconds(20);
    toldToRest();
    nanos += 1;
    reports(true);
    seconds(4);
    reports(false);
    seconds(100);
    assertThat(events).isEmpty();
    assertThat(stops).isEmpty();
  }

  /** Once the lease of the last run is over for certain no report can be of it. */
  @ParameterizedTest
  @CsvSource({"-1, 0", "0, 1"})
  void aReportAfterTheLastLeaseIsARunUnaskedAndToldToRestAtOnce(long overNanos, int rested) {
    toldToRun();
    seconds(3);
    reports(true);
    seconds(BOUND_SECONDS - 4);
    nanos += s(1) + overNanos - 1;
    toldToRest();
    nanos += 1;
    reports(true);
    cycle();
    assertThat(names(Event.Type.DEVICE)).hasSize(rested);
    assertThat(rests).isEqualTo(rested);
  }

  /** As at a start: it was told to rest, but never to run. */
  @Test
  void aReportOfOneThatNeverHadALeaseIsARunUnaskedAtOnce() {
    toldToRest();
    nanos += 1;
    reports(true);
    cycle();
    assertThat(names(Event.Type.DEVICE)).containsExactly("generator-on-unasked");
    assertThat(rests).isEqualTo(1);
  }

  /** Told to rest late, after its lease: what it said until then is no answer to that. */
  @ParameterizedTest
  @ValueSource(longs = {0, 1, 1_000_000_000})
  void aReportFromBeforeTheWordToRestIsNoRunUnaskedInTheTimeForAReport(long beforeNanos) {
    toldToRun();
    seconds(3);
    reports(true);
    seconds(BOUND_SECONDS - 3);
    reports(true);
    nanos += beforeNanos;
    toldToRest();
    seconds(5);
    reports(false);
    seconds(1);
    assertThat(events).isEmpty();
    assertThat(rests).isZero();
  }

  /** What stays on is told to rest again once that time is over. */
  @Test
  void oneThatSaysSoForLongerIsOnUnasked() {
    toldToRun();
    seconds(3);
    reports(true);
    seconds(20);
    toldToRest();
    nanos += 1;
    reports(true);
    seconds(5);
    assertThat(events).isEmpty();
    seconds(1);
    assertThat(names(Event.Type.DEVICE)).containsExactly("generator-on-unasked");
    assertThat(rests).isEqualTo(1);
  }

  @Test
  void notConfirmedInTimeCountsAsALossAndRests5Minutes() {
    toldToRun();
    seconds(5);
    assertThat(events).isEmpty();
    seconds(1);
    assertThat(names(Event.Type.SILENT)).containsExactly("generator-unconfirmed");
    assertThat(stops)
        .containsExactly(
            new Stop(
                TankFunction.OZONE,
                "generator-unconfirmed",
                "generator did not confirm that it runs",
                false));
    toldToRest();
    reports(false);
    seconds(299);
    assertThat(stops)
        .extracting(Stop::why)
        .containsExactly("resting after generator did not confirm");
    seconds(1);
    assertThat(stops).isEmpty();
  }

  @Test
  void aLateConfirmationDoesNotUndoTheLoss() {
    toldToRun();
    seconds(6);
    reports(true);
    seconds(1);
    assertThat(stops).hasSize(1);
  }

  /** Clocks tick in steps, and a report of the same tick may be the answer. */
  @Test
  void aReportOfTheSameInstantConfirms() {
    toldToRun();
    reports(true);
    seconds(100);
    assertThat(events).isEmpty();
  }

  @Test
  void aReportFromBeforeTheRunConfirmsNothing() {
    reports(true);
    nanos += s(1);
    toldToRun();
    seconds(6);
    assertThat(names(Event.Type.SILENT)).hasSize(1);
  }

  @Test
  void aDeviceThatSaysInTheRunThatItRestsIsNotConfirmedAnyMore() {
    toldToRun();
    seconds(1);
    reports(true);
    seconds(20);
    reports(false);
    seconds(1);
    assertThat(events)
        .singleElement()
        .satisfies(
            event ->
                assertThat(event.why())
                    .isEqualTo("generator was told to run and says that it rests"));
  }

  @Test
  void theThirdUnconfirmedRunOfANightLatches() {
    for (int run = 1; run <= 3; run++) {
      assertThat(latches).isEmpty();
      toldToRun();
      seconds(6);
      toldToRest();
      seconds(301);
    }
    assertThat(latches).containsOnlyKeys("generator-unconfirmed");
    toldToRun();
    seconds(6);
    assertThat(names(Event.Type.SILENT)).as("latched is latched").hasSize(3);
    assertThat(devices.standing("generator-unconfirmed", state)).isFalse();
  }

  @Test
  void onWithoutBeingToldItIsToldToRestAtOnceAndStopped() {
    reports(true);
    seconds(1);
    assertThat(rests).isEqualTo(1);
    assertThat(names(Event.Type.DEVICE)).containsExactly("generator-on-unasked");
    assertThat(stops)
        .containsExactly(
            new Stop(
                TankFunction.OZONE,
                "generator-on-unasked",
                "generator is on without having been told to run",
                false));
    reports(false);
    seconds(1);
    assertThat(stops).isEmpty();
    assertThat(latches).isEmpty();
  }

  /** A welded relay that reports once and is silent after that. */
  @Test
  void staysStoppedWhileItIsOnThoughItWasToldToRest() {
    reports(true);
    for (int second = 0; second < 100; second++) {
      seconds(1);
      assertThat(stops).as("second " + second).hasSize(1);
    }
    assertThat(names(Event.Type.DEVICE)).as("told once").hasSize(1);
    assertThat(rests).as("every 5 s").isEqualTo(20);
  }

  @Test
  void stillOnAfterTheTimeForAReportItLatches() {
    reports(true);
    seconds(5);
    assertThat(latches).isEmpty();
    seconds(1);
    assertThat(latches).containsOnlyKeys("generator-on-unasked");
    seconds(100);
    assertThat(names(Event.Type.LATCHED)).hasSize(1);
  }

  @Test
  void aDeviceThatGoesOnSayingThatItIsOnLatchesTooAndIsToldOnceIn5Seconds() {
    for (int second = 0; second < 10; second++) {
      reports(true);
      cycle();
      nanos += s(1) / 2;
      cycle();
      nanos += s(1) / 2;
    }
    assertThat(rests).isEqualTo(2);
    assertThat(names(Event.Type.DEVICE)).hasSize(1);
    assertThat(latches).containsOnlyKeys("generator-on-unasked");
  }

  @Test
  void whatWasNotToldToRestYetIsToldInEveryCycle() {
    reports(true);
    for (int i = 0; i < 3; i++) {
      Device before = generator();
      cycle();
      is(
          new Device(
              true,
              before.reportedNanos(),
              null,
              null,
              null,
              null,
              generator().unaskedNanos(),
              Silence.NONE));
    }
    assertThat(rests).isEqualTo(3);
  }

  /** It latches only after the last lease bound and the time for a report. */
  @Test
  void aDeviceThatIgnoresRestLatchesOnlyAfterItsLastLeaseIsOver() {
    toldToRun();
    seconds(1);
    reports(true);
    seconds(9);
    toldToRest();
    reports(true);
    nanos += s(1);
    reports(true);
    seconds(BOUND_SECONDS - 11 + 5);
    assertThat(latches).as("44 s after the command").isEmpty();
    seconds(1);
    assertThat(latches).containsOnlyKeys("generator-on-unasked");
  }

  @Test
  void aReportThatCrossedTheRestHasTheTimeForAReportToBeMended() {
    toldToRun();
    seconds(1);
    reports(true);
    toldToRest();
    seconds(5);
    assertThat(events).as("the report is from before").isEmpty();
    seconds(1);
    assertThat(names(Event.Type.DEVICE)).as("5 s were enough to say that it rests").hasSize(1);
    reports(false);
    seconds(1);
    assertThat(stops).isEmpty();
  }

  @Test
  void aLatchOfADeviceThatIsStillOnMayNotBeReset() {
    assertThat(devices.standing("generator-on-unasked", state)).isFalse();
    reports(true);
    seconds(10);
    assertThat(devices.standing("generator-on-unasked", state)).isTrue();
    assertThat(devices.standing("generator-unconfirmed", state)).isFalse();
    reports(false);
    seconds(1);
    assertThat(devices.standing("generator-on-unasked", state)).isFalse();
  }

  @Test
  void afterTheLinkWasLostNothingItSaidProvesAnything() {
    toldToRun();
    seconds(1);
    reports(true);
    is(generator().unheard());
    seconds(10);
    assertThat(names(Event.Type.SILENT)).containsExactly("generator-unconfirmed");
    assertThat(generator().restConfirmedNanos()).isNull();
  }

  @Test
  void restIsConfirmedByAReportThatCameAfterIt() {
    assertThat(Device.UNKNOWN.restConfirmedNanos()).isNull();
    reports(false);
    assertThat(generator().restConfirmedNanos()).as("never told to rest").isNull();
    nanos += s(1);
    toldToRest();
    assertThat(generator().restConfirmedNanos()).as("said before").isNull();
    reports(false);
    assertThat(generator().restConfirmedNanos()).as("said at that moment").isNull();
    nanos += s(1);
    reports(true);
    assertThat(generator().restConfirmedNanos()).isNull();
    nanos += s(1);
    reports(false);
    assertThat(generator().restConfirmedNanos()).isEqualTo(nanos);
  }

  @Test
  void anActuatorWithoutAReportIsNotWatched() {
    state = new TreeMap<>(Map.of("drain", Device.UNKNOWN.reported(true, now())));
    seconds(100);
    assertThat(events).isEmpty();
    assertThat(stops).isEmpty();
  }

  @Test
  void saysWhatItsLatchesStop() {
    assertThat(devices.latches())
        .containsExactly(
            Map.entry("generator-on-unasked", TankFunction.OZONE),
            Map.entry("generator-unconfirmed", TankFunction.OZONE));
  }

  @Test
  void refusesAConfirmationForAnActuatorThatIsNotThere() {
    assertThatThrownBy(() -> new Devices(Map.of("pump", SPEC), Map.of()))
        .isInstanceOf(IllegalArgumentException.class);
  }

  @Test
  void functionsHaveTheWordsOfConfigurationsAndRecords() {
    assertThat(TankFunction.values())
        .extracting(TankFunction::word)
        .containsExactly("ozone", "exchange", "top-off");
  }

  @Test
  void aDeviceThatIsNotOnIsNotStuck() {
    assertThat(Device.UNKNOWN.stuck(SPEC, now())).isFalse();
  }
}

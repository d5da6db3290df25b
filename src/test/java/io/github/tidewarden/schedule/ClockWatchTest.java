package io.github.tidewarden.schedule;

import static io.github.tidewarden.schedule.ClockSource.BATTERY_BACKED;
import static io.github.tidewarden.schedule.ClockSource.SYNCHRONISED;
import static io.github.tidewarden.schedule.ClockWatch.Trust.STEPPED;
import static io.github.tidewarden.schedule.ClockWatch.Trust.TRUSTED;
import static io.github.tidewarden.schedule.ClockWatch.Trust.UNPROVEN;
import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.quantity.Moment;
import java.time.Duration;
import java.time.Instant;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import org.junit.jupiter.params.provider.ValueSource;

class ClockWatchTest {

  private static final Instant EVENING = Instant.parse("2026-03-10T21:00:00Z");
  private static final Duration CYCLE = Duration.ofSeconds(1);
  private static final Duration HOUR = Duration.ofHours(1);
  private static final ClockEvent GAINED = new ClockEvent(ClockEvent.Kind.GAINED, 0);

  private TestClocks clocks = new TestClocks(EVENING, HOUR);
  private @Nullable ClockWatch watch;
  private @Nullable ClockEvent event;

  // ---- the time service's marker

  @Test
  void isUnprovenUntilTheMarkerAppears() {
    start(SYNCHRONISED);
    expect(UNPROVEN, null);
    nextCycle();
    expect(UNPROVEN, null);
    clocks.touchMarker();
    nextCycle();
    expect(TRUSTED, GAINED);
    nextCycle();
    expect(TRUSTED, null);
  }

  @Test
  void isTrustedAtTheFirstSampleWhenTheMarkerIsThere() {
    clocks.touchMarker().pass(Duration.ofMinutes(20));
    start(SYNCHRONISED);
    expect(TRUSTED, GAINED);
  }

  @Test
  void staysTrustedWhenTheMarkerCannotBeReadForAWhile() {
    clocks.touchMarker();
    start(SYNCHRONISED);
    clocks.marker(null);
    nextCycle();
    expect(TRUSTED, null);
  }

  @Test
  void countsAMarkerFromTheInstantOfBootOn() {
    Instant boot = EVENING.minus(HOUR);
    clocks.marker(boot.minusNanos(1)); // left by the boot before
    start(SYNCHRONISED);
    expect(UNPROVEN, null);
    clocks.marker(boot);
    nextCycle();
    expect(TRUSTED, GAINED);
  }

  @Test
  void neverCountsAMarkerThatLayInTheFutureAtTheStart() {
    clocks.touchMarker().step(HOUR.negated());
    start(SYNCHRONISED);
    expect(UNPROVEN, null);
    clocks.pass(HOUR.plus(CYCLE)); // the marker now lies in the past, and the clock is still wrong
    nextCycle();
    expect(UNPROVEN, null);
    clocks.touchMarker();
    nextCycle();
    expect(TRUSTED, GAINED);
  }

  @Test
  void waitsForAMarkerAheadOfTheWallClock() {
    start(SYNCHRONISED);
    clocks.marker(clocks.wall().plus(CYCLE).plusNanos(1));
    nextCycle();
    expect(UNPROVEN, null);
    nextCycle();
    expect(TRUSTED, GAINED);
  }

  @Test
  void handsTheCycleItsTime() {
    ClockSample first = clocks.sample();
    ClockWatch.Observation untrusted = ClockWatch.start(SYNCHRONISED, first);
    assertThat(untrusted.now()).isEqualTo(new Moment(EVENING, first.monoNanos(), false));
    ClockSample second = clocks.touchMarker().pass(CYCLE).sample();
    ClockWatch.Observation trusted = untrusted.watch().observe(second);
    assertThat(trusted.now()).isEqualTo(new Moment(second.wall(), second.monoNanos(), true));
    ClockSample third = clocks.pass(CYCLE).sample();
    assertThat(trusted.watch().observe(third).now())
        .isEqualTo(new Moment(third.wall(), third.monoNanos(), true));
    ClockSample fourth = clocks.pass(CYCLE).step(HOUR).sample();
    assertThat(trusted.watch().observe(fourth).now())
        .isEqualTo(new Moment(fourth.wall(), fourth.monoNanos(), false));
  }

  // ---- a clock that starts in 1970

  @Test
  void aBoardWithoutAClockWaitsForTheTimeService() {
    clocks = new TestClocks(Instant.EPOCH.plusSeconds(30), Duration.ofSeconds(30));
    start(SYNCHRONISED);
    expect(UNPROVEN, null);
    Duration toNow = Duration.between(clocks.wall(), EVENING);
    clocks.step(toNow).touchMarker();
    nextCycle();
    expect(STEPPED, stepped(toNow));
    nextCycle();
    expect(TRUSTED, GAINED);
  }

  @Test
  void aBatteryThatIsFlatIsNotTrustedUntilTheClockIsSet() {
    clocks = new TestClocks(Instant.EPOCH.plusSeconds(30), Duration.ofSeconds(30));
    start(BATTERY_BACKED);
    clocks.pass(HOUR);
    nextCycle();
    expect(UNPROVEN, null);
    Duration toNow = Duration.between(clocks.wall(), EVENING);
    clocks.step(toNow);
    nextCycle();
    expect(STEPPED, stepped(toNow));
    clocks.pass(Duration.ofSeconds(59));
    nextCycle();
    expect(TRUSTED, GAINED);
  }

  @ParameterizedTest
  @EnumSource(ClockSource.class)
  void noClockIsTrustedThatReadsLessThanTheEarliestPlausibleTime(ClockSource source) {
    clocks = new TestClocks(ClockWatch.EARLIEST_PLAUSIBLE.minusSeconds(1), HOUR).touchMarker();
    start(source);
    expect(UNPROVEN, null);
    nextCycle();
    expect(TRUSTED, GAINED);
  }

  // ---- steps

  @ParameterizedTest
  @ValueSource(strings = {"PT1H", "PT-1H", "PT24H", "PT-24H", "PT2.001S", "PT-2.001S"})
  void aStepCostsTrustUntilTheTimeServiceTouchesTheMarkerAgain(Duration step) {
    clocks.touchMarker().pass(Duration.ofMinutes(10));
    start(SYNCHRONISED);
    expect(TRUSTED, GAINED);
    clocks.step(step);
    nextCycle();
    expect(STEPPED, stepped(step));
    cycles(30);
    expect(STEPPED, null);
    clocks.touchMarker();
    nextCycle();
    expect(TRUSTED, GAINED);
  }

  @ParameterizedTest
  @ValueSource(strings = {"PT1H", "PT-1H", "PT24H", "PT-24H", "PT2.001S", "PT-2.001S"})
  void aStepCostsABatteryBackedClockSixtySteadySeconds(Duration step) {
    start(BATTERY_BACKED);
    expect(TRUSTED, GAINED);
    clocks.step(step);
    nextCycle();
    expect(STEPPED, stepped(step));
    cycles(59);
    expect(STEPPED, null);
    nextCycle();
    expect(TRUSTED, GAINED);
  }

  @Test
  void anotherStepBeginsTheSixtySecondsAgain() {
    start(BATTERY_BACKED);
    clocks.step(HOUR);
    nextCycle();
    cycles(59);
    clocks.step(HOUR.negated());
    nextCycle();
    expect(STEPPED, stepped(HOUR.negated()));
    cycles(59);
    expect(STEPPED, null);
    nextCycle();
    expect(TRUSTED, GAINED);
  }

  @Test
  void aMarkerDoesNotVouchForABatteryBackedClock() {
    start(BATTERY_BACKED);
    clocks.step(HOUR);
    nextCycle();
    clocks.touchMarker();
    nextCycle();
    expect(STEPPED, null);
  }

  @Test
  void aStepBeforeAnyProofIsToldToo() {
    start(SYNCHRONISED);
    clocks.step(HOUR);
    nextCycle();
    expect(STEPPED, stepped(HOUR));
  }

  @Test
  void aSuspendIsAStepForward() {
    clocks.touchMarker();
    start(SYNCHRONISED);
    clocks.suspend(HOUR);
    nextCycle();
    expect(STEPPED, stepped(HOUR));
    clocks.touchMarker();
    nextCycle();
    expect(TRUSTED, GAINED);
  }

  @Test
  void aPauseOfTheProcessIsNoStep() {
    clocks.touchMarker();
    start(SYNCHRONISED);
    clocks.pass(Duration.ofSeconds(45));
    nextCycle();
    expect(TRUSTED, null);
  }

  // ---- which marker is newer than the step

  @Test
  void theOldMarkerNeverCountsAgainAfterAStepBack() {
    clocks.touchMarker();
    start(SYNCHRONISED);
    clocks.step(HOUR.negated());
    nextCycle();
    clocks.pass(HOUR.plus(HOUR)); // the old marker lies in the past again
    nextCycle();
    expect(STEPPED, null);
  }

  @Test
  void theOldMarkerIsStillKnownWhenItCouldNotBeReadAtTheStep() {
    clocks.touchMarker();
    start(SYNCHRONISED);
    Instant old = clocks.marker();
    clocks.marker(null);
    nextCycle();
    clocks.step(HOUR.negated());
    nextCycle();
    clocks.marker(old).pass(HOUR.plus(HOUR));
    nextCycle();
    expect(STEPPED, null);
  }

  @Test
  void aServiceThatStepsAndThenTouchesIsBelievedInTheNextCycle() {
    clocks.touchMarker();
    start(SYNCHRONISED);
    clocks.step(HOUR.negated()).touchMarker();
    nextCycle();
    expect(STEPPED, stepped(HOUR.negated())); // one cycle at rest, whatever the marker says
    nextCycle();
    expect(TRUSTED, GAINED);
  }

  @Test
  void aMarkerTouchedJustBeforeAStepForwardIsOlderThanIt() {
    clocks.touchMarker();
    start(SYNCHRONISED);
    clocks.pass(Duration.ofMillis(300)).touchMarker().pass(Duration.ofMillis(200)).step(HOUR);
    nextCycle();
    expect(STEPPED, stepped(HOUR));
    cycles(10);
    expect(STEPPED, null);
  }

  @Test
  void aMarkerTouchedJustBeforeAStepBackNeverCounts() {
    clocks.touchMarker();
    start(SYNCHRONISED);
    clocks.pass(Duration.ofMillis(300)).touchMarker(); // not seen by any sample before the step
    clocks.step(HOUR.negated());
    nextCycle();
    expect(STEPPED, stepped(HOUR.negated()));
    clocks.pass(HOUR.plus(HOUR));
    nextCycle();
    expect(STEPPED, null);
  }

  @Test
  void aMarkerTouchedInALongPauseBeforeAShortStepIsNotTakenForANewerOne() {
    clocks.touchMarker();
    start(SYNCHRONISED);
    clocks.pass(CYCLE).touchMarker(); // 1 s into a pause of 10 s, with a step back of 3 s after it
    clocks.step(Duration.ofSeconds(-3)).pass(Duration.ofSeconds(8));
    nextCycle();
    expect(STEPPED, stepped(Duration.ofSeconds(-3)));
    cycles(10);
    expect(STEPPED, null);
    clocks.touchMarker();
    nextCycle();
    expect(TRUSTED, GAINED);
  }

  @Test
  void theEdgesOfTheOldTimeAreOldAndTheEdgesOfTheNewTimeAreNew() {
    // samples 1 s apart about a step of an hour back: the old scale ran from 21:00:00 to 21:00:01,
    // the new one from 20:00:00 to 20:00:01
    Instant newFrom = EVENING.minus(HOUR);
    assertThat(trustedAfterStepBackWithMarker(EVENING)).isFalse();
    assertThat(trustedAfterStepBackWithMarker(EVENING.plus(CYCLE))).isFalse();
    assertThat(trustedAfterStepBackWithMarker(newFrom.minusNanos(1))).isFalse();
    assertThat(trustedAfterStepBackWithMarker(newFrom)).isTrue();
    assertThat(trustedAfterStepBackWithMarker(EVENING.minusNanos(1))).isTrue();
    assertThat(trustedAfterStepBackWithMarker(EVENING.plus(CYCLE).plusNanos(1))).isTrue();
  }

  private boolean trustedAfterStepBackWithMarker(Instant marker) {
    clocks = new TestClocks(EVENING, Duration.ofHours(5)).marker(EVENING.minus(HOUR.dividedBy(2)));
    start(SYNCHRONISED);
    clocks.step(HOUR.negated());
    nextCycle();
    clocks.marker(marker).pass(HOUR.plus(HOUR));
    nextCycle();
    return watch.trusted();
  }

  // ---- drift

  @Test
  void driftOfTwoSecondsIsBorneAndMoreIsAStep() {
    for (int sign : new int[] {1, -1}) {
      Duration two = Duration.ofSeconds(2).multipliedBy(sign);
      assertThat(eventAfterDrift(Duration.ofMillis(1_999L * sign))).isNull();
      assertThat(eventAfterDrift(two)).isNull();
      assertThat(eventAfterDrift(two.plusNanos(sign))).isEqualTo(stepped(two));
      assertThat(eventAfterDrift(Duration.ofMillis(2_001L * sign)))
          .isEqualTo(stepped(Duration.ofMillis(2_001L * sign)));
    }
  }

  private @Nullable ClockEvent eventAfterDrift(Duration drift) {
    clocks = new TestClocks(EVENING, HOUR).touchMarker();
    start(SYNCHRONISED);
    clocks.step(drift);
    nextCycle();
    return event;
  }

  @Test
  void slowDriftAddsUpOverDaysAndIsOneStepNotMany() {
    start(BATTERY_BACKED);
    int steps = 0;
    int gains = 0;
    for (int minute = 1; minute <= 3 * 24 * 60; minute++) {
      clocks.pass(Duration.ofSeconds(59)).step(Duration.ofNanos(600_000)); // 2.6 s in three days
      nextCycle();
      steps += event != null && event.kind() == ClockEvent.Kind.STEPPED ? 1 : 0;
      gains += GAINED.equals(event) ? 1 : 0;
    }
    assertThat(steps).isEqualTo(1);
    assertThat(gains).isEqualTo(1);
    expect(TRUSTED, null);
  }

  @Test
  void slewsThatCancelOutAreBorneForEver() {
    start(BATTERY_BACKED);
    for (int hour = 0; hour < 1_000; hour++) {
      clocks.pass(HOUR).step(Duration.ofMillis(hour % 2 == 0 ? 1_900 : -1_900));
      nextCycle();
      expect(TRUSTED, null);
    }
  }

  @Test
  void aGainOfTrustRenewsTheAnchor() {
    start(SYNCHRONISED);
    clocks.step(Duration.ofMillis(1_500));
    nextCycle();
    clocks.touchMarker();
    nextCycle();
    expect(TRUSTED, GAINED);
    clocks.step(Duration.ofMillis(1_500));
    nextCycle();
    expect(TRUSTED, null);
    clocks.step(Duration.ofMillis(1_500));
    nextCycle();
    expect(STEPPED, stepped(Duration.ofSeconds(3)));
  }

  // ---- the story's verbs

  private void start(ClockSource source) {
    take(ClockWatch.start(source, clocks.sample()));
  }

  private void nextCycle() {
    clocks.pass(CYCLE);
    take(watch.observe(clocks.sample()));
  }

  private void cycles(int count) {
    for (int cycle = 0; cycle < count; cycle++) {
      nextCycle();
    }
  }

  private void take(ClockWatch.Observation observation) {
    watch = observation.watch();
    event = observation.event();
    assertThat(observation.now().trusted()).isEqualTo(watch.trusted());
  }

  private void expect(ClockWatch.Trust trust, @Nullable ClockEvent expected) {
    assertThat(watch.trust()).isEqualTo(trust);
    assertThat(watch.trusted()).isEqualTo(trust == TRUSTED);
    assertThat(event).isEqualTo(expected);
  }

  private static ClockEvent stepped(Duration by) {
    return new ClockEvent(ClockEvent.Kind.STEPPED, by.toMillis());
  }
}

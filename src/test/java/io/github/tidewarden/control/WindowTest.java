package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.gate.Command;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.util.Map;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Windows and the clock: DEVELOPERS.md, D16; SAFETY.md F43, F46, F47. */
class WindowTest {
  private static final String WINDOW = "2026-01-14#0";

  private Bench bench;

  @BeforeEach
  void anHourBeforeTheWindow() {
    bench = Bench.lagoon();
  }

  private int runCommands() {
    return (int) bench.commands.stream().filter(Command::runs).count();
  }

  @Test
  void aWindowIsRecordedWhenItOpensAndWhenItCloses() {
    bench.windowOpens();
    assertThat(bench.last(Kind.WINDOW_OPENED).fields())
        .containsEntry("night", "2026-01-14")
        .containsEntry("window", WINDOW)
        .containsEntry("from", "2026-01-15T01:30:00Z")
        .containsEntry("to", "2026-01-15T03:00:00Z");
    bench.live(100);
    bench.steady(1, 366, 340);
    bench.liveUntil(Bench.WINDOW_CLOSES.plusSeconds(2));
    AuditRecord closed = bench.last(Kind.WINDOW_CLOSED);
    assertThat(closed.fields()).containsEntry("window", WINDOW).containsEntry("runs", 1L);
    assertThat((Long) closed.fields().get("given-ms")).isBetween(102_000L, 106_000L);
    assertThat(closed.fields().get("given-ms")).isEqualTo(103_000L);
    // at 50 mg/h 1.4306 mg, never told as less
    assertThat(closed.fields().get("given-mg")).hasToString("1.44");
    assertThat(closed.fields().get("redox").toString())
        .isEqualTo("{start-mv=323.0, peak-mv=366.0, end-mv=366.0}");
  }

  @Test
  void noCommandReachesBeyondTheEndOfTheWindow() {
    bench.passesUntil(Bench.WINDOW_CLOSES.minusSeconds(900));
    for (int second = 0; second < 905; second++) {
      int before = bench.commands.size();
      bench.live(1);
      for (Command command : bench.commands.subList(before, bench.commands.size())) {
        assertThat(bench.wall.minusSeconds(1))
            .isBeforeOrEqualTo(
                Bench.WINDOW_CLOSES.minusSeconds(command.leaseSeconds() + command.expirySeconds()));
      }
    }
    assertThat(runCommands()).isPositive();
    assertThat(bench.last(Kind.REST).at()).isAfter(Bench.WINDOW_CLOSES.minusSeconds(6));
  }

  @Test
  void aClockThatGoesBackIntoAClosedWindowOpensNothing() {
    bench.passesUntil(Bench.WINDOW_OPENS);
    bench.liveUntil(Bench.WINDOW_CLOSES.plusSeconds(5));
    int before = runCommands();
    bench.stepsClock(Duration.ofMinutes(-80));
    bench.live(5);
    bench.trustsClock();
    bench.live(3600);
    assertThat(runCommands()).isEqualTo(before);
    assertThat(bench.records(Kind.WINDOW_OPENED)).hasSize(1);
  }

  @Test
  void aClockThatGoesBackADayOpensTheNightBeforeNotAgain() {
    bench.passesUntil(Bench.WINDOW_OPENS);
    bench.liveUntil(Bench.WINDOW_CLOSES.plusSeconds(5));
    bench.passesUntil(Bench.WINDOW_OPENS.plus(Duration.ofDays(1)).minusSeconds(10));
    bench.live(1000);
    int before = runCommands();
    bench.stepsClock(Duration.ofDays(-1));
    bench.trustsClock();
    bench.live(3600);
    assertThat(runCommands()).isEqualTo(before);
  }

  @Test
  void aClockThatGoesBackBeforeAnOpenWindowClosesItForTheNight() {
    bench.windowOpens();
    bench.live(60);
    bench.stepsClock(Duration.ofHours(-1));
    bench.live(2);
    bench.trustsClock();
    assertThat(bench.last(Kind.WINDOW_CLOSED).why()).isEqualTo("the window is over");
    int before = runCommands();
    bench.live(6000);
    assertThat(runCommands()).isEqualTo(before);
  }

  @Test
  void aWindowIsOverWhenItsLengthHasPassedByTheMonotonicClock() {
    bench.windowOpens();
    bench.live(1800);
    bench.stepsClock(Duration.ofMinutes(-25));
    bench.live(1);
    bench.trustsClock();
    bench.live(3600 - 4);
    assertThat(bench.records(Kind.WINDOW_CLOSED)).isEmpty();
    bench.live(6);
    AuditRecord closed = bench.last(Kind.WINDOW_CLOSED);
    assertThat(closed.why()).isEqualTo("its time has passed by the monotonic clock");
    bench.live(1500);
    assertThat(bench.runs()).isFalse();
    assertThat(bench.records(Kind.WINDOW_OPENED)).hasSize(1);
  }

  /** SAFETY.md F47: steps at each second of a short window, back and forth. */
  @ParameterizedTest
  @ValueSource(longs = {-86_400, -3600, -130, -61, -3, 3, 61, 130, 3600, 86_400})
  void aStepAtAnySecondOfAShortWindowNeverMakesItLonger(long step) {
    for (int at = 0; at <= 120; at += 7) {
      TankSpec tank =
          Specs.with(
              Specs.lagoon(),
              Specs.ozone(
                  Duration.ofMinutes(60), Duration.ofSeconds(4), Specs.window("01:30", "01:32")));
      bench = new Bench(Specs.site(tank), Bench.WINDOW_OPENS.minusSeconds(30));
      bench.connect();
      bench.passesUntil(Bench.WINDOW_OPENS);
      bench.live(at);
      bench.stepsClock(Duration.ofSeconds(step));
      bench.live(3);
      assertThat(bench.runs()).as("at rest from the step on").isFalse();
      bench.trustsClock();
      bench.live(200);
      assertThat(bench.generator().onNanos / 1e9).as("step at " + at).isLessThanOrEqualTo(122);
      assertThat(bench.records(Kind.WINDOW_OPENED).size()).isLessThanOrEqualTo(2);
      assertThat(bench.field(Kind.WINDOW_OPENED, "window")).doesNotHaveDuplicates();
    }
  }

  @Test
  void anUntrustedClockPutsTheRunToRestAtOnce() {
    bench.windowOpens();
    bench.stepsClock(Duration.ofMinutes(10));
    assertThat(bench.runs()).isFalse();
    assertThat(bench.commands.get(bench.commands.size() - 1).runs()).isFalse();
    assertThat(bench.last(Kind.REST).why()).isEqualTo("the wall clock is not trusted");
  }

  /** SAFETY.md F46: boots without the time, at 1970, at the time last saved, a year ahead. */
  @ParameterizedTest
  @ValueSource(strings = {"1970-01-01T01:45:00Z", "2026-01-15T01:45:00Z", "2027-01-15T01:45:00Z"})
  void aBootWithoutTheTimeGivesNothing(String wall) {
    bench.trusted = false;
    bench.wall = Instant.parse(wall);
    bench.reboots(Duration.ZERO);
    bench.connect();
    bench.live(3600);
    assertThat(runCommands()).isZero();
    assertThat(bench.records(Kind.WINDOW_OPENED)).isEmpty();
  }

  // Missed windows.

  @Test
  void aWindowInWhichTheDaemonDidNotRunIsRecordedAsMissedOnce() {
    bench.restarts(Duration.ofHours(5));
    bench.connect();
    bench.live(60);
    AuditRecord missed = bench.last(Kind.MISSED);
    assertThat(missed.fields())
        .containsEntry("window", WINDOW)
        .containsEntry("from", "2026-01-15T01:30:00Z")
        .containsEntry("to", "2026-01-15T03:00:00Z");
    assertThat(missed.why()).startsWith("nothing was given: the daemon did not run");
    bench.restarts(Duration.ofMinutes(5));
    bench.live(60);
    assertThat(bench.records(Kind.MISSED)).hasSize(1);
  }

  @Test
  void afterALongTimeAwayEachNightIsMissedAsFarAsItMatters() {
    bench.restarts(Duration.ofDays(400));
    bench.live(2);
    assertThat(bench.records(Kind.MISSED)).hasSize(14);
    assertThat(bench.field(Kind.MISSED, "window")).doesNotHaveDuplicates();
  }

  @Test
  void aWindowThatPassesWhileTheClockIsNotTrustedIsMissed() {
    bench.stepsClock(Duration.ofSeconds(-30));
    bench.passesUntil(Bench.WINDOW_OPENS);
    bench.live(60);
    bench.passesUntil(Bench.WINDOW_CLOSES.plusSeconds(600));
    bench.live(10);
    assertThat(bench.records(Kind.MISSED)).isEmpty();
    bench.trustsClock();
    assertThat(bench.field(Kind.MISSED, "window")).containsExactly(WINDOW);
  }

  @Test
  void aWindowInWhichSomethingForbadeEverythingIsMissed() {
    bench.mute.add("lab/lagoon/air");
    bench.passesUntil(Bench.WINDOW_OPENS);
    bench.liveUntil(Bench.WINDOW_CLOSES.plusSeconds(1));
    AuditRecord missed = bench.last(Kind.MISSED);
    assertThat(missed.why())
        .isEqualTo("nothing was given: skimmer-air: skimmer-air is not heard yet");
    assertThat(missed.fields()).containsEntry("runs", 0L).containsEntry("given-ms", 0L);
    assertThat(bench.records(Kind.WINDOW_CLOSED)).isEmpty();
  }

  @Test
  void aWindowInWhichNothingWasNeededIsNotMissed() {
    bench.redox(350, 352);
    bench.mute.add("lab/lagoon/air");
    bench.passesUntil(Bench.WINDOW_OPENS);
    bench.live(60);
    bench.mute.clear();
    bench.liveUntil(Bench.WINDOW_CLOSES.plusSeconds(1));
    assertThat(bench.records(Kind.MISSED)).isEmpty();
    assertThat(bench.last(Kind.WINDOW_CLOSED).fields()).containsEntry("runs", 0L);
  }

  @Test
  void aRestartInTheWindowForgetsNoRunOfIt() {
    bench.windowOpens();
    bench.live(60);
    bench.steady(1, 366, 340);
    bench.live(2);
    bench.restarts(Duration.ofSeconds(10));
    bench.connect();
    bench.mute.add("lab/lagoon/air");
    bench.liveUntil(Bench.WINDOW_CLOSES.plusSeconds(1));
    assertThat(bench.records(Kind.MISSED)).as("something was given").isEmpty();
    assertThat(bench.last(Kind.WINDOW_CLOSED).fields()).containsEntry("runs", 1L);
  }

  @Test
  void anOpenWindowIsClosedAtTheNextStartIfItIsOver() {
    bench.windowOpens();
    bench.live(60);
    bench.restarts(Duration.ofHours(3));
    bench.live(2);
    assertThat(bench.last(Kind.WINDOW_CLOSED).fields())
        .containsEntry("window", WINDOW)
        .containsEntry("given-ms", 300_000L);
    assertThat(bench.records(Kind.MISSED)).isEmpty();
  }

  @Test
  void oneWindowInsideAnotherDoesNotCutItShort() {
    bench =
        new Bench(
            Specs.site(
                Specs.with(
                    Specs.lagoon(),
                    Specs.ozone(
                        Duration.ofMinutes(60),
                        Specs.window("01:30", "03:00"),
                        Specs.window("01:40", "01:50")))),
            Bench.WINDOW_OPENS.minusSeconds(60));
    bench.connect();
    bench.windowOpens();
    bench.live(1500);
    assertThat(bench.runs()).isTrue();
    assertThat(bench.field(Kind.WINDOW_OPENED, "window")).containsExactly(WINDOW);
  }

  @Test
  void countsOfTheNightOutlastAClockThatIsNotTrusted() {
    bench.passesUntil(Bench.WINDOW_OPENS);
    bench.live(2);
    for (int trip = 0; trip < 2; trip++) {
      bench.steady(1, 400, 340);
      bench.steady(1, 320, 322);
    }
    assertThat(bench.memory().counts()).containsEntry("redox-ceiling", 2);
    bench.stepsClock(Duration.ofDays(-20_000));
    bench.steady(1, 400, 340);
    assertThat(bench.memory().latches()).containsOnlyKeys("redox-ceiling");
    assertThat(bench.memory().night()).isEqualTo(LocalDate.parse("2026-01-14"));
    assertThat(bench.last(Kind.TRIP).fields()).containsEntry("latched", true);
  }

  @Test
  void aTankWithoutOzoneHasNoWindows() {
    TankSpec lagoon = Specs.lagoon();
    TankSpec nursery =
        new TankSpec(
            "nursery",
            60,
            "",
            lagoon.sensors(),
            java.util.List.of(),
            Map.of(),
            java.util.List.of(),
            null,
            null,
            Map.of(),
            CareSpec.NONE);
    bench = new Bench(Specs.site(nursery), Bench.WINDOW_OPENS.minusSeconds(10));
    bench.connect();
    bench.live(60);
    assertThat(bench.commands).isEmpty();
    assertThat(bench.records(Kind.WINDOW_OPENED)).isEmpty();
    assertThat(bench.told("nursery/state")).containsEntry("ozone", "none");
  }
}

package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.gate.Command;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.sensing.Reading;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

/** The broker comes and goes, messages are lost or old: SAFETY.md F07, F08, F20, F21, F23. */
class LinkTest {
  private Bench bench;

  @BeforeEach
  void aRunHasBegun() {
    bench = Bench.lagoon();
    bench.windowOpens();
    bench.live(30);
    assertThat(bench.runs()).isTrue();
  }

  private List<Command> since(int before) {
    return bench.commands.subList(before, bench.commands.size());
  }

  @Test
  void aLostBrokerEndsTheRunAndIsNoSilence() {
    bench.event(new Event.LinkDown("connection reset"));
    assertThat(bench.runs()).isFalse();
    assertThat(bench.last(Kind.REST).why()).isEqualTo("the broker was lost: connection reset");
    assertThat(bench.last(Kind.LINK).fields()).containsEntry("up", false);
    for (int i = 0; i < 600; i++) {
      bench.passes(Duration.ofSeconds(1));
      bench.event(new Event.Tick());
    }
    assertThat(bench.records(Kind.SILENT)).isEmpty();
    assertThat(bench.memory().latches())
        .as("what a device said before the gap is not held against it")
        .isEmpty();
    assertThat(bench.commands.get(bench.commands.size() - 1).runs()).isFalse();
  }

  @Test
  void theFirstCommandAfterAConnectIsRest() {
    bench.event(new Event.LinkDown("gone"));
    bench.passes(Duration.ofSeconds(20));
    int before = bench.commands.size();
    bench.event(new Event.LinkUp());
    assertThat(since(before)).singleElement().satisfies(c -> assertThat(c.runs()).isFalse());
    assertThat(bench.last(Kind.LINK).fields()).containsEntry("up", true);
  }

  @Test
  void aConnectWithoutALossBeforeEndsTheRunToo() {
    int before = bench.commands.size();
    bench.event(new Event.LinkUp());
    assertThat(bench.runs()).isFalse();
    assertThat(since(before)).noneMatch(Command::runs).isNotEmpty();
    assertThat(bench.last(Kind.REST).why()).isEqualTo("the broker was lost and is back");
  }

  @Test
  void tenBlipsInANightLatchNothing() {
    for (int blip = 0; blip < 4; blip++) {
      bench.event(new Event.LinkDown("blip"));
      bench.live(3);
      bench.event(new Event.LinkUp());
      bench.live(900);
    }
    assertThat(bench.records(Kind.SILENT)).isEmpty();
    assertThat(bench.memory().latches()).isEmpty();
    assertThat(bench.records(Kind.RUN)).hasSize(5);
  }

  @Test
  void whatIsHeardInTheFirstTwoSecondsMayBeOldAndDoesNotCount() {
    bench.event(new Event.LinkDown("gone"));
    bench.passes(Duration.ofSeconds(1));
    bench.event(new Event.Tick());
    bench.passes(Duration.ofMinutes(15));
    bench.event(new Event.LinkUp());
    bench.live(2);
    assertThat(bench.runs()).isFalse();
    bench.live(1);
    assertThat(bench.runs()).as("the first readings that are certainly new").isTrue();
  }

  @Test
  void nothingStartsOnReadingsFromBeforeTheConnect() {
    bench.event(new Event.LinkDown("gone"));
    bench.passes(Duration.ofSeconds(1));
    bench.event(new Event.Tick());
    bench.passes(Duration.ofMinutes(15));
    bench.live(1);
    bench.event(new Event.LinkUp());
    bench.mute.addAll(bench.world.keySet());
    bench.live(50);
    assertThat(bench.runs()).isFalse();
  }

  @Test
  void aStandstillEndsTheRunAndIsNoSilence() {
    bench.passes(Duration.ofSeconds(8));
    bench.event(new Event.Stalled(Duration.ofSeconds(8).toNanos()));
    assertThat(bench.last(Kind.REST).why()).isEqualTo("the program stood still for 8 s");
    assertThat(bench.last(Kind.REST).fields().get("causes").toString())
        .contains("the program stood still");
    assertThat(bench.records(Kind.NOTICE))
        .singleElement()
        .satisfies(r -> assertThat(r.why()).isEqualTo("the program stood still for 8000 ms"));
    bench.live(900);
    assertThat(bench.records(Kind.SILENT)).isEmpty();
    assertThat(bench.runs()).isTrue();
  }

  @Test
  void readingsThatWaitedOutAStandstillDoNotCount() {
    bench.event(new Event.Stalled(Duration.ofSeconds(8).toNanos()));
    bench.passes(Duration.ofMinutes(15));
    bench.event(new Event.Stalled(Duration.ofMinutes(15).toNanos()));
    bench.live(2);
    assertThat(bench.runs()).isFalse();
    bench.live(1);
    assertThat(bench.runs()).isTrue();
  }

  @Test
  void aDaemonThatStoodStillBeyondItsLeaseNeverRenewsIt() {
    int before = bench.commands.size();
    bench.passes(Duration.ofSeconds(45));
    bench.event(new Event.Tick());
    assertThat(since(before)).hasSize(1).noneMatch(Command::runs);
  }

  @Test
  void lostMessagesMakeASignalBadUntilTheNextOne() {
    bench.event(new Event.Lost("lab/lagoon/redox/b"));
    assertThat(bench.runs()).isFalse();
    assertThat(bench.last(Kind.SILENT).fields()).containsEntry("name", "redox-b-silent");
    assertThat(bench.last(Kind.SILENT).why())
        .isEqualTo("redox-b is incomplete, messages were lost: too many or too large");
    bench.event(new Event.Lost("lab/nobody"));
    bench.live(900);
    assertThat(bench.runs()).isTrue();
  }

  @Test
  void aRunThatDidNotGetToTheBrokerIsARunNoMore() {
    bench.event(new Event.Undelivered("nowhere", "full"));
    assertThat(bench.runs()).isTrue();
    bench.event(new Event.Undelivered("lagoon", "full"));
    assertThat(bench.last(Kind.REST).why()).isEqualTo("a command did not get to the broker: full");
    assertThat(bench.records(Kind.SILENT)).isEmpty();
  }

  @Test
  void aMessageThatCameAfterTheClocksWereReadIsFresh() {
    Moment later = new Moment(bench.wall.plusMillis(3), bench.mono + 3_000_000, true);
    byte[] payload = "321".getBytes(StandardCharsets.UTF_8);
    bench.event(new Event.Heard(new Reading(9999, "lab/lagoon/redox/a", payload, false, later)));
    assertThat(bench.runs()).isTrue();
    assertThat(bench.records(Kind.SILENT)).isEmpty();
  }

  @Test
  void aRetainedReadingIsNeverFresh() {
    bench.mute.add("lab/lagoon/redox/a");
    for (int second = 0; second < 61; second++) {
      bench.hearRetained("lab/lagoon/redox/a", "320");
      bench.live(1);
    }
    assertThat(bench.runs()).isFalse();
    assertThat(bench.last(Kind.SILENT).why()).isEqualTo("redox-a is silent for 60 s");
  }

  @Test
  void afterTheEndNothingThatStillComesInStartsARun() {
    bench.steady(1, 366, 340);
    bench.steady(900, 320, 322);
    bench.steady(1, 366, 340);
    bench.live(700);
    bench.disk = Bench.Disk.HANGS;
    bench.steady(300, 320, 322);
    assertThat(bench.runs()).isFalse();
    int before = bench.commands.size();
    bench.event(new Event.Stopping("told to stop"));
    bench.syncs();
    bench.live(60);
    assertThat(since(before)).isNotEmpty().noneMatch(Command::runs);
    assertThat(bench.last(Kind.STOP).why()).isEqualTo("told to stop");
    assertThat(bench.told("status")).containsEntry("online", false);
  }

  @Test
  void stoppingPutsTheRunToRestAndSaysSo() {
    int before = bench.commands.size();
    bench.event(new Event.Stopping("told to stop"));
    assertThat(since(before)).hasSizeGreaterThanOrEqualTo(1).noneMatch(Command::runs);
    assertThat(bench.last(Kind.REST).why()).isEqualTo("told to stop");
    assertThat(bench.records.indexOf(bench.last(Kind.STOP)))
        .isGreaterThan(bench.records.indexOf(bench.last(Kind.REST)));
  }

  // What is retained on the tank's own topics.

  @Test
  void afterAConnectWhatStandsIsToldAgainAndWhatDoesNotIsTakenBack() {
    bench.steady(40, 425, 330);
    bench.says("lab/gallery/ozone", "120").live(31);
    assertThat(bench.memory().latches()).containsKeys("redox-ceiling", "room-ozone");
    bench.steady(1, 320, 322);
    bench.told.clear();
    bench.event(new Event.LinkUp());
    assertThat(bench.told("lagoon/trip/redox-ceiling")).containsEntry("latched", true);
    assertThat(bench.told("lagoon/trip/air-lost")).isEmpty();
    assertThat(bench.told("lagoon/state")).containsEntry("ozone", "rest");
  }

  @Test
  void aTripThatStandsUnlatchedStaysToldAfterAConnect() {
    bench.steady(5, 405, 404);
    Map<String, Object> told = bench.told("lagoon/trip/redox-ceiling");
    assertThat(told).containsEntry("latched", false);
    bench.told.clear();
    bench.event(new Event.LinkUp());
    assertThat(bench.told("lagoon/trip/redox-ceiling"))
        .containsEntry("latched", false)
        .containsEntry("why", told.get("why"));
  }

  @Test
  void theStateTopicSaysWhatRunsAndWhy() {
    Map<String, Object> told = bench.told("lagoon/state");
    assertThat(told).containsEntry("ozone", "run").containsEntry("window", "open");
    bench.steady(1, 366, 340);
    assertThat(bench.told("lagoon/state"))
        .containsEntry("ozone", "rest")
        .containsEntry("latched", List.of());
  }
}

package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.Arrays;
import java.util.List;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** Keeper's acts: done once, recorded before they take effect, refused with a reason. */
class KeeperActTest {
  private Bench bench;
  private long number;

  @BeforeEach
  void theCeilingHasLatched() {
    bench = Bench.lagoon();
    bench.windowOpens();
    bench.steady(40, 421, 415);
    assertThat(bench.memory().latches()).containsOnlyKeys("redox-ceiling");
  }

  static Request request(
      long number,
      String act,
      String tank,
      String name,
      String text,
      String by,
      String id,
      Instant sent) {
    return request(
        number,
        "{\"act\":\"%s\",\"tank\":\"%s\",\"name\":\"%s\",\"text\":\"%s\",\"by\":\"%s\",\"id\":\"%s\",\"sent\":\"%s\"}"
            .formatted(act, tank, name, text, by, id, sent));
  }

  private static Request request(long number, String json) {
    return new Request(number, json.getBytes(StandardCharsets.UTF_8));
  }

  private Effect.Answer asks(String act, String name, String text, String by, String id) {
    return asks(request(++number, act, "lagoon", name, text, by, id, bench.wall));
  }

  private Effect.Answer asks(Request request) {
    int before = bench.answers.size();
    bench.event(new Event.Asked(request));
    return bench.answers.size() == before ? null : bench.answers.get(bench.answers.size() - 1);
  }

  private void causeIsOver() {
    bench.steady(1, 320, 322);
  }

  @Test
  void aResetOfWhatIsOverIsDoneRecordedAndAnswered() {
    causeIsOver();
    Effect.Answer answer = asks("reset", "redox-ceiling", "rinsed the probe", "rosa", "a1");
    assertThat(answer)
        .isEqualTo(new Effect.Answer(1, true, "rosa reset redox-ceiling: rinsed the probe"));
    assertThat(bench.memory().latches()).isEmpty();
    assertThat(bench.last(Kind.ACT).fields())
        .containsEntry("night", "2026-01-14")
        .containsEntry("act", "reset")
        .containsEntry("name", "redox-ceiling")
        .containsEntry("text", "rinsed the probe")
        .containsEntry("by", "rosa")
        .containsEntry("id", "a1");
    assertThat(bench.told("lagoon/trip/redox-ceiling")).isEmpty();
    bench.live(620);
    assertThat(bench.runs()).isFalse();
    bench.live(300);
    assertThat(bench.runs()).isTrue();
    bench.restarts(Duration.ofSeconds(1));
    assertThat(bench.memory().latches()).isEmpty();
  }

  @Test
  void aNoteIsRecordedAndChangesNothing() {
    assertThat(asks("note", "", "fed the corals", "rosa", "a1").what())
        .isEqualTo("rosa noted: fed the corals");
    assertThat(bench.memory().latches()).containsOnlyKeys("redox-ceiling");
    assertThat(bench.last(Kind.ACT).fields()).containsEntry("act", "note");
  }

  @Test
  void anActTakesEffectOnlyWhenItIsOnDisk() {
    causeIsOver();
    bench.disk = Bench.Disk.HANGS;
    assertThat(asks("reset", "redox-ceiling", "", "rosa", "a1")).isNull();
    bench.live(60);
    assertThat(bench.memory().latches()).containsOnlyKeys("redox-ceiling");
    bench.syncs();
    assertThat(bench.memory().latches()).isEmpty();
    assertThat(bench.answers).singleElement().matches(Effect.Answer::done);
  }

  @Test
  void anActThatCannotBeWrittenIsNotDone() {
    causeIsOver();
    bench.disk = Bench.Disk.FULL;
    assertThat(asks("reset", "redox-ceiling", "", "rosa", "a1"))
        .isEqualTo(new Effect.Answer(1, false, "it could not be recorded: no space left"));
    assertThat(bench.memory().latches()).containsOnlyKeys("redox-ceiling");
    bench.disk = Bench.Disk.WORKS;
    assertThat(asks("reset", "redox-ceiling", "", "rosa", "a1").done()).as("again").isTrue();
  }

  /** At 380 mV the water is under the ceiling of 400 mV, and still over the band. */
  @Test
  void aResetBetweenBandAndCeilingIsDoneAndTheTripStandsOn() {
    bench.steady(1, 380, 378);
    assertThat(asks("reset", "redox-ceiling", "", "rosa", "a1").done()).isTrue();
    assertThat(bench.memory().latches()).isEmpty();
    assertThat(bench.told("lagoon/trip/redox-ceiling"))
        .containsEntry("latched", false)
        .containsKey("why");
    bench.live(1_800);
    assertThat(bench.runs()).as("over the band").isFalse();
    assertThat(bench.memory().latches()).isEmpty();
    causeIsOver();
    assertThat(bench.told("lagoon/trip/redox-ceiling")).isEmpty();
    bench.live(590);
    assertThat(bench.runs()).as("at rest for ten minutes").isFalse();
    bench.live(30);
    assertThat(bench.runs()).isTrue();
  }

  // Refused.

  @Test
  void aResetIsRefusedWhileTheCauseStands() {
    Effect.Answer answer = asks("reset", "redox-ceiling", "", "rosa", "a1");
    assertThat(answer.done()).isFalse();
    assertThat(answer.what())
        .isEqualTo("its cause still stands: redox-a 421.0 mV, limit 400.0 mV or over");
    assertThat(bench.last(Kind.ACT_REFUSED).fields())
        .containsEntry("by", "rosa")
        .containsEntry("id", "a1");
    assertThat(bench.memory().latches()).containsOnlyKeys("redox-ceiling");
  }

  @Test
  void aResetIsRefusedWhileItsCauseCannotBeTold() {
    causeIsOver();
    bench.passes(Duration.ofSeconds(60));
    assertThat(asks("reset", "redox-ceiling", "", "rosa", "a1").what())
        .startsWith("whether its cause still stands cannot be told: redox-a is silent for 61 s");
  }

  @Test
  void aResetOfADeviceThatIsStillOnIsRefused() {
    causeIsOver();
    bench.generator().welded = true;
    bench.hear("lab/lagoon/ozone/state", "{\"on\":true}");
    bench.live(60);
    assertThat(asks("reset", "generator-on-unasked", "", "rosa", "a1").what())
        .isEqualTo("the device is still on");
    bench.generator().welded = false;
    bench.hear("lab/lagoon/ozone/state", "{\"on\":false}");
    bench.live(1);
    assertThat(asks("reset", "generator-on-unasked", "", "rosa", "a2").done()).isTrue();
  }

  @Test
  void aResetOfWhatIsNotLatchedIsRefusedWithWhatIs() {
    assertThat(asks("reset", "air-lost", "", "rosa", "a1").what())
        .isEqualTo("nothing named \"air-lost\" is latched; latched: redox-ceiling");
    causeIsOver();
    asks("reset", "redox-ceiling", "", "rosa", "a2");
    assertThat(asks("reset", "redox-ceiling", "", "rosa", "a3").what())
        .isEqualTo("nothing named \"redox-ceiling\" is latched; latched: nothing");
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "dose  | x  | t  | rosa | i  | \"dose\" is none of reset, note, batch, calibrate, calibrate-probe, hold, release",
        "''    | x  | t  | rosa | i  | \"\" is none of reset, note, batch, calibrate, calibrate-probe, hold, release",
        "note  | '' | t  | ''   | i  | it does not say who asks (by)",
        "note  | '' | t  | '  ' | i  | it does not say who asks (by)",
        "note  | '' | t  | rosa | '' | it has no id",
        "reset | '' | t  | rosa | i  | it does not say what to reset (name)",
        "note  | x  | '' | rosa | i  | it does not say what to note (text)",
      })
  void eachFlawIsNamed(String act, String name, String text, String by, String id, String what) {
    Effect.Answer answer = asks(act, name, text, by, id);
    assertThat(answer.done()).isFalse();
    assertThat(answer.what()).isEqualTo(what);
    assertThat(bench.last(Kind.ACT_REFUSED).why()).isEqualTo(what);
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "",
        "x",
        "[]",
        "\"reset\"",
        "null",
        "{\"act\":\"note\"} {}",
        "{\"act\":\"note\",\"act\":\"reset\"}",
        "{\"a\":{\"b\":{\"c\":{\"d\":{\"e\":1}}}}}",
        "{\"act\":"
      })
  void whatIsNotOneJsonObjectIsRefused(String json) {
    Effect.Answer answer = asks(request(7, json));
    assertThat(answer)
        .isEqualTo(new Effect.Answer(7, false, "it is not one JSON object within bounds"));
  }

  @Test
  void whatIsTooLongIsRefused() {
    byte[] long4k = new byte[KeeperAct.MAX_BYTES + 1];
    Arrays.fill(long4k, (byte) ' ');
    assertThat(asks(new Request(7, long4k)).done()).isFalse();
  }

  @Test
  void fieldsOfAnotherTypeAreNotThere() {
    assertThat(asks(request(7, "{\"act\":\"note\",\"by\":12,\"id\":null}")).what())
        .isEqualTo("it does not say who asks (by)");
  }

  @Test
  void wordsAreCutToTheirBounds() {
    String id = "i".repeat(200);
    assertThat(asks("note", "", "t".repeat(1500), "b".repeat(100), id).done()).isTrue();
    assertThat(bench.last(Kind.ACT).fields())
        .containsEntry("text", "t".repeat(1000))
        .containsEntry("by", "b".repeat(64))
        .containsEntry("id", "i".repeat(64));
  }

  @Test
  void aTankThatIsNotThereIsRefused() {
    Request request = request(1, "note", "pond", "", "t", "rosa", "a1", bench.wall);
    assertThat(asks(request).what()).isEqualTo("there is no tank \"pond\"");
    Request none = request(2, "note", "", "", "t", "rosa", "a2", bench.wall);
    assertThat(asks(none).what()).isEqualTo("there is no tank \"\"");
  }

  @ParameterizedTest
  @CsvSource({"-31, false", "-30, true", "0, true", "30, true", "31, false"})
  void aRequestCountsFor30SecondsEitherWay(long sentAfter, boolean done) {
    Request request =
        request(1, "note", "lagoon", "", "t", "rosa", "a1", bench.wall.plusSeconds(sentAfter));
    assertThat(asks(request).done()).isEqualTo(done);
  }

  @ParameterizedTest
  @ValueSource(strings = {"", "yesterday", "2026-01-15T01:30:00", "1768440600"})
  void aRequestThatDoesNotSayWhenItWasSentIsRefused(String sent) {
    String json =
        "{\"act\":\"note\",\"tank\":\"lagoon\",\"text\":\"t\",\"by\":\"r\",\"id\":\"i\",\"sent\":\"%s\"}";
    assertThat(asks(request(1, json.formatted(sent))).what())
        .isEqualTo("it does not say when it was sent (sent, RFC 3339)");
  }

  @Test
  void withAnUntrustedClockNoAgeCanBeToldSoNothingIsDone() {
    causeIsOver();
    bench.stepsClock(Duration.ofHours(1));
    assertThat(asks("reset", "redox-ceiling", "", "rosa", "a1").what())
        .isEqualTo("the wall clock is not trusted, so its age cannot be told");
  }

  // Turned away before it is read.

  private Effect.Answer turnedAway(Request request, String why) {
    bench.event(new Event.TurnedAway(request, why));
    return bench.answers.get(bench.answers.size() - 1);
  }

  @Test
  void aRequestThatIsTurnedAwayIsRecordedAnsweredAndNeverDone() {
    causeIsOver();
    Request reset = request(0, "reset", "lagoon", "redox-ceiling", "", "rosa", "a1", bench.wall);
    assertThat(turnedAway(reset, "a retained request is never done"))
        .isEqualTo(new Effect.Answer(0, false, "a retained request is never done"));
    AuditRecord refused = bench.last(Kind.ACT_REFUSED);
    assertThat(refused.why()).isEqualTo("a retained request is never done");
    assertThat(refused.fields()).containsEntry("by", "rosa").containsEntry("id", "a1");
    assertThat(bench.memory().latches()).containsOnlyKeys("redox-ceiling");
    assertThat(asks(reset).what()).isEqualTo("a request with this id was answered before");
  }

  @Test
  void whatIsTurnedAwayUnreadableIsRecordedWithoutAName() {
    turnedAway(request(0, "{"), "a retained request is never done");
    assertThat(bench.last(Kind.ACT_REFUSED).fields())
        .containsEntry("by", "")
        .containsEntry("id", "");
  }

  // Once only.

  @Test
  void aRequestIsDoneOnceAlsoOverARestart() {
    Request note = request(1, "note", "lagoon", "", "t", "rosa", "a1", bench.wall);
    assertThat(asks(note).done()).isTrue();
    assertThat(asks(note).what()).isEqualTo("a request with this id was answered before");
    bench.restarts(Duration.ofSeconds(5));
    assertThat(asks(note).what()).isEqualTo("a request with this id was answered before");
    assertThat(bench.records(Kind.ACT)).hasSize(1);
  }

  @Test
  void aRequestThatIsOnItsWayToTheDiskIsNotTakenAgain() {
    bench.disk = Bench.Disk.HANGS;
    Request note = request(1, "note", "lagoon", "", "t", "rosa", "a1", bench.wall);
    assertThat(asks(note)).isNull();
    assertThat(asks(note).what()).isEqualTo("a request with this id was answered before");
    bench.syncs();
    assertThat(bench.records(Kind.ACT)).hasSize(1);
  }

  @Test
  void aRefusedRequestIsNotDoneWhenItComesAgain() {
    Request early =
        request(1, "reset", "lagoon", "redox-ceiling", "", "rosa", "a1", bench.wall.plusSeconds(5));
    assertThat(asks(early).done()).isFalse();
    causeIsOver();
    assertThat(asks(early).what()).isEqualTo("a request with this id was answered before");
  }

  // Floods.

  @Test
  void aFloodOfRefusedRequestsIsAnsweredButNotRecordedWithoutEnd() {
    int before = bench.answers.size();
    for (int i = 0; i < 1000; i++) {
      asks("reset", "air-lost", "", "mallory", "m" + i);
    }
    assertThat(bench.answers).hasSize(before + 1000);
    assertThat(bench.records(Kind.ACT_REFUSED)).hasSize(20);
    bench.live(61);
    asks("reset", "air-lost", "", "mallory", "again");
    assertThat(bench.records(Kind.ACT_REFUSED)).hasSize(21);
  }

  @Test
  void requestsTurnedAwayCountAmongTheRefusedOnes() {
    int before = bench.answers.size();
    for (int i = 0; i < 15; i++) {
      asks("reset", "air-lost", "", "mallory", "m" + i);
      turnedAway(request(0, "{}"), "too many requests wait already");
    }
    assertThat(bench.answers).hasSize(before + 30);
    assertThat(bench.records(Kind.ACT_REFUSED)).hasSize(20);
    bench.live(61);
    turnedAway(request(0, "{}"), "too many requests wait already");
    assertThat(bench.records(Kind.ACT_REFUSED)).hasSize(21);
  }

  @Test
  void aFloodOfActsIsBounded() {
    int done = 0;
    for (int i = 0; i < 1000; i++) {
      done += asks("note", "", "n", "mallory", "m" + i).done() ? 1 : 0;
    }
    assertThat(done).isEqualTo(60);
    assertThat(bench.records(Kind.ACT)).hasSize(60);
    bench.live(61);
    assertThat(asks("note", "", "n", "rosa", "a1").done()).isTrue();
  }

  @Test
  void fewActsWaitForADiskThatHangs() {
    bench.disk = Bench.Disk.HANGS;
    for (int i = 0; i < 40; i++) {
      asks("note", "", "n", "rosa", "m" + i);
    }
    assertThat(bench.state.acts()).hasSize(16);
    assertThat(bench.answers)
        .hasSize(24)
        .allSatisfy(
            answer ->
                assertThat(answer.what())
                    .isEqualTo("too many requests at once; ask again in a minute"));
    bench.syncs();
    assertThat(bench.answers.stream().filter(Effect.Answer::done)).hasSize(16);
  }

  @Test
  void noIdIsForgottenAsLongAsItsRequestCouldBeReplayed() {
    Request first = request(1, "note", "lagoon", "", "t", "rosa", "a1", bench.wall.plusSeconds(30));
    assertThat(asks(first).done()).isTrue();
    for (int second = 0; second < 60; second++) {
      for (int i = 0; i < 50; i++) {
        asks("note", "", "n", "mallory", second + "n" + i);
        asks("hold", "", "n", "mallory", second + "h" + i);
      }
      bench.passes(Duration.ofSeconds(1));
      bench.event(new Event.Tick());
      assertThat(asks(first).what()).isEqualTo("a request with this id was answered before");
    }
    assertThat(bench.state.remembered().requests()).hasSizeLessThanOrEqualTo(256);
  }

  @Test
  void theRememberedRequestsAreBounded() {
    for (int minute = 0; minute < 10; minute++) {
      for (int i = 0; i < 60; i++) {
        asks("note", "", "n", "rosa", minute + "/" + i);
      }
      bench.passes(Duration.ofMinutes(1));
    }
    List<String> requests = bench.state.remembered().requests();
    assertThat(requests).hasSize(256).last().isEqualTo("9/59");
  }
}

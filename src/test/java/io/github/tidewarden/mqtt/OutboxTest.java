package io.github.tidewarden.mqtt;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.gate.Command;
import io.github.tidewarden.gate.TestCommands;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class OutboxTest {
  private static final long SECOND = 1_000_000_000L;
  private static final long PROVEN = 100 * SECOND;

  private final Outbox outbox = new Outbox();

  private static Outgoing note(String text) {
    byte[] payload = text.getBytes(StandardCharsets.UTF_8);
    return Outgoing.note(new Note("tidewarden/harbour-lab/status", payload, true), 0);
  }

  private static Outgoing echo(String text) {
    byte[] payload = text.getBytes(StandardCharsets.UTF_8);
    return Outgoing.echo(new Note("tidewarden/harbour-lab/echo", payload, true), 0);
  }

  private void run(String topic, String payload, long takenNanos) {
    Command command = TestCommands.run(topic, payload, 30, 10);
    assertThat(outbox.offer(Outgoing.command(command, takenNanos), command)).isTrue();
  }

  private void rest(String topic, String payload, long takenNanos) {
    Command command = TestCommands.rest(topic, payload);
    assertThat(outbox.offer(Outgoing.command(command, takenNanos), command)).isTrue();
  }

  private List<String> sent() {
    List<String> sent = new ArrayList<>();
    for (Outgoing next = outbox.next(PROVEN); next != null; next = outbox.next(PROVEN)) {
      sent.add(new String(next.payload(), StandardCharsets.UTF_8));
    }
    return sent;
  }

  @Test
  void restGoesFirstThenRunsThenTheEchoThenNotes() {
    outbox.offer(note("note"));
    outbox.echo(echo("echo"));
    run("a", "run a", 1);
    rest("b", "rest b", 2);
    rest("c", "rest c", 3);
    assertThat(sent()).containsExactly("rest b", "rest c", "run a", "echo", "note");
  }

  @Test
  void aRestRemovesTheRunThatWaitsForTheSameActuatorAndNoOther() {
    run("a", "run a", 1);
    run("b", "run b", 2);
    rest("a", "rest a", 3);
    assertThat(sent()).containsExactly("rest a", "run b");
  }

  @Test
  void aRunDecidedAfterARestComesAfterIt() {
    rest("a", "rest", 1);
    run("a", "run", 2);
    assertThat(sent()).containsExactly("rest", "run");
  }

  @Test
  void aLaterCommandTakesThePlaceOfTheEarlierOne() {
    run("a", "run 1", 1);
    run("a", "run 2", 2);
    rest("b", "rest 1", 3);
    rest("b", "rest 2", 4);
    assertThat(sent()).containsExactly("rest 2", "run 2");
  }

  @Test
  void aRunWaitsUntilTheBrokerIsProvenAwakeAfterItWasTaken() {
    run("a", "run a", 10);
    assertThat(outbox.next(9)).isNull();
    assertThat(outbox.next(10)).isNotNull();
  }

  @Test
  void anUnprovenRunHoldsUpNeitherRestNorEcho() {
    run("a", "run a", PROVEN + 1);
    rest("b", "rest b", PROVEN + 2);
    outbox.echo(echo("echo"));
    assertThat(sent()).containsExactly("rest b", "echo");
  }

  @Test
  void notesKeepFourPlacesOfTheWindowAndCommandsFindTheOthers() {
    for (int i = 0; i < 10; i++) {
      outbox.offer(note("note " + i));
    }
    assertThat(sent()).hasSize(Outbox.NOTES_WINDOW);
    for (int i = 0; i < 20; i++) {
      rest("t" + i, "rest " + i, i);
    }
    assertThat(sent()).hasSize(Outbox.WINDOW - Outbox.NOTES_WINDOW);
  }

  @Test
  void anAcknowledgementMakesRoomOnce() {
    outbox.narrow(1);
    rest("a", "rest a", 1);
    rest("b", "rest b", 2);
    Outgoing first = outbox.next(PROVEN);
    assertThat(outbox.next(PROVEN)).isNull();
    assertThat(outbox.done(first)).isTrue();
    assertThat(outbox.done(first)).isFalse();
    assertThat(sent()).containsExactly("rest b");
  }

  @Test
  void aBrokerThatAllowsMoreDoesNotWidenTheWindow() {
    outbox.narrow(65_535);
    for (int i = 0; i < 100; i++) {
      rest("t" + i, "rest", i);
    }
    assertThat(sent()).hasSize(Outbox.WINDOW);
  }

  @Test
  void takesABoundedNumberOfNotes() {
    for (int i = 0; i < Outbox.MOST_NOTES; i++) {
      assertThat(outbox.offer(note("note"))).isTrue();
    }
    assertThat(outbox.offer(note("one too many"))).isFalse();
  }

  @Test
  void takesABoundedNumberOfCommands() {
    for (int i = 0; i < Outbox.MOST_COMMANDS; i++) {
      rest("t" + i, "rest", i);
    }
    Command more = TestCommands.rest("more", "rest");
    assertThat(outbox.offer(Outgoing.command(more, 0), more)).isFalse();
  }

  @Test
  void knowsItsOldestCommandWaitingOrUnderWay() {
    assertThat(outbox.oldestCommandMonoNanos()).isNull();
    outbox.offer(note("note"));
    assertThat(outbox.oldestCommandMonoNanos()).isNull();
    rest("a", "rest a", 5);
    assertThat(sent()).hasSize(2);
    rest("b", "rest b", 7);
    assertThat(outbox.oldestCommandMonoNanos()).isEqualTo(5);
  }

  /** A short lease is renewed as often as an acknowledgement may take. */
  @Test
  void renewalsThatReplaceEachOtherDoNotHideThatNoneGoesOut() {
    run("a", "run 1", 10);
    run("a", "run 2", 12);
    run("a", "run 3", 14);
    assertThat(outbox.next(9)).isNull();
    assertThat(outbox.oldestCommandMonoNanos()).isEqualTo(10);

    Outgoing sent = outbox.next(14);
    assertThat(outbox.oldestCommandMonoNanos()).isEqualTo(14);
    outbox.done(sent);
    assertThat(outbox.oldestCommandMonoNanos()).isNull();
  }

  @Test
  void aRestThatTakesTheRunsPlaceWaitsOnItsOwnAccount() {
    run("a", "run", 10);
    rest("a", "rest", 12);
    assertThat(outbox.oldestCommandMonoNanos()).isEqualTo(12);
  }

  @Test
  void whatIsClearedReturnsEveryCommandThatWasNotAcknowledged() {
    rest("a", "acknowledged", 1);
    outbox.done(outbox.next(PROVEN));
    rest("b", "under way", 2);
    outbox.next(PROVEN);
    rest("c", "waiting", 3);
    run("d", "waiting run", 4);
    outbox.offer(note("note"));
    assertThat(outbox.isEmpty()).isFalse();

    assertThat(outbox.clear().stream().map(Command::payload))
        .containsExactly("under way", "waiting", "waiting run");
    assertThat(outbox.isEmpty()).isTrue();
    assertThat(sent()).isEmpty();
  }

  @ParameterizedTest
  @CsvSource({
    // waited milliseconds, seconds that are left of an expiry of 2 s
    "0, 2",
    "49, 2",
    "51, 1",
    "1000, 1",
    "1051, 0",
    "2051, -1"
  })
  void waitingShortensTheExpiryOfARun(long waitedMillis, long secondsLeft) {
    Outgoing outgoing = Outgoing.command(TestCommands.run("a", "on", 6, 2), 0);
    assertThat(outgoing.expirySecondsLeft(waitedMillis * 1_000_000)).isEqualTo(secondsLeft);
  }

  @Test
  void aRestNeverExpires() {
    Outgoing outgoing = Outgoing.command(TestCommands.rest("a", "off"), 0);
    assertThat(outgoing.expirySecondsLeft(3600 * SECOND)).isEqualTo(Long.MAX_VALUE);
  }
}

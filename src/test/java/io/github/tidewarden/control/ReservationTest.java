package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.gate.Command;
import java.time.Duration;
import java.time.LocalDate;
import java.util.List;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

/** Reserved before it is spent: DEVELOPERS.md, D12; SAFETY.md F32, F52. */
class ReservationTest {
  private static final LocalDate NIGHT = LocalDate.parse("2026-01-14");
  private static final long QUANTUM_MILLIS = 300_000;

  private Bench bench;

  @BeforeEach
  void anHourBeforeTheWindow() {
    bench = Bench.lagoon();
  }

  private long spentMillis() {
    return bench.memory().spentInNightMillis(NIGHT);
  }

  private double onSeconds() {
    return bench.generator().onNanos / 1e9;
  }

  private long permitting() {
    return bench.records.stream().filter(r -> r.kind() == Kind.RESERVED).count();
  }

  @Test
  void nothingRunsBeforeItsReservationIsOnDisk() {
    bench.disk = Bench.Disk.HANGS;
    bench.windowOpens();
    bench.live(120);
    assertThat(bench.field(Kind.RESERVED, "reserve-ms")).containsExactly(QUANTUM_MILLIS);
    assertThat(bench.commands).noneMatch(Command::runs);
    bench.syncs();
    assertThat(bench.runs()).isTrue();
    assertThat(bench.last(Kind.RUN).fields())
        .containsEntry("run", 1L)
        .containsEntry("lease-s", 30L);
  }

  @Test
  void renewalsInsideTheQuantumWriteNothing() {
    bench.windowOpens();
    int before = bench.records.size();
    bench.live(245);
    assertThat(bench.commands.stream().filter(Command::runs)).hasSizeGreaterThan(20);
    assertThat(bench.records).hasSize(before);
  }

  @Test
  void theReservationIsFilledUpBeforeItRunsOut() {
    bench.windowOpens();
    bench.live(300);
    assertThat(permitting()).isEqualTo(2);
    assertThat(bench.records(Kind.REST)).isEmpty();
    bench.live(900);
    assertThat(bench.records(Kind.RUN)).as("one run all along").hasSize(1);
    assertThat(bench.generator().spans).hasSizeGreaterThan(1);
    assertThat(onSeconds()).isGreaterThan(1199);
  }

  @Test
  void aRunEndsWithItsQuantumAtTheLatestWhenTheDiskIsFull() {
    bench.windowOpens();
    bench.disk = Bench.Disk.FULL;
    bench.live(1800);
    assertThat(onSeconds()).isBetween(250.0, 300.0);
    assertThat(permitting()).isEqualTo(1);
    assertThat(bench.records(Kind.RUN)).hasSize(1);
    assertThat(bench.records(Kind.NOTICE))
        .as("at most one a minute")
        .hasSizeBetween(10, 30)
        .allSatisfy(r -> assertThat(r.why()).contains("no space left"));
    bench.disk = Bench.Disk.WORKS;
    bench.live(62);
    assertThat(bench.runs()).as("by itself, when the disk is well").isTrue();
  }

  @Test
  void aRunEndsWithItsQuantumWhenTheDiskHangs() {
    bench.windowOpens();
    bench.disk = Bench.Disk.HANGS;
    bench.live(330);
    assertThat(bench.runs()).isFalse();
    assertThat(onSeconds()).isBetween(250.0, 300.0);
    bench.syncs();
    bench.live(60);
    assertThat(bench.runs()).as("a refill that comes too late starts nothing").isFalse();
    assertThat(spentMillis()).isLessThanOrEqualTo(QUANTUM_MILLIS);
  }

  @Test
  void restGivesBackWhatWasNotUsedOnceTheDeviceConfirmsIt() {
    bench.windowOpens();
    bench.live(58);
    assertThat(spentMillis()).as("all of it while it runs").isEqualTo(QUANTUM_MILLIS);
    bench.steady(1, 365, 340);
    assertThat(bench.last(Kind.REST).fields()).containsEntry("run", 1L);
    bench.live(1);
    assertThat(bench.last(Kind.SETTLED).why()).isEqualTo("the device confirmed its rest");
    assertThat(spentMillis()).isBetween((long) (onSeconds() * 1000), 62_000L);
  }

  @Test
  void withoutAConfirmationTheBoundCounts() {
    bench =
        new Bench(
            Specs.site(Specs.withoutConfirmation(Specs.lagoon())),
            Bench.WINDOW_OPENS.minusSeconds(3600));
    bench.connect();
    bench.windowOpens();
    bench.live(58);
    bench.steady(1, 365, 340);
    AuditRecord rest = bench.last(Kind.REST);
    long spent = (Long) rest.fields().get("spent-ms");
    assertThat(spent)
        .as("59 s and up to a lease of 30 s and its expiry of 10 s")
        .isBetween(89_000L, 100_000L);
    assertThat(bench.records(Kind.SETTLED)).isEmpty();
    bench.live(40);
    assertThat(bench.last(Kind.SETTLED).why()).isEqualTo("its last lease has run out");
    assertThat(spentMillis()).isEqualTo(spent);
  }

  @Test
  void aRestThatDoesNotGetThroughCountsTheBound() {
    bench.windowOpens();
    bench.live(58);
    bench.event(new Event.LinkDown("gone"));
    bench.live(60);
    assertThat(bench.records(Kind.SETTLED)).hasSize(1);
    assertThat(onSeconds()).as("it drops out by itself").isBetween(80.0, 100.0);
    assertThat(spentMillis()).isGreaterThanOrEqualTo((long) (onSeconds() * 1000));
  }

  @Test
  void aCrashSpendsTheQuantum() {
    bench.windowOpens();
    bench.live(58);
    bench.restarts(Duration.ofSeconds(5));
    assertThat(spentMillis()).isEqualTo(QUANTUM_MILLIS);
    bench.connect();
    bench.live(1200);
    assertThat(bench.last(Kind.RUN).fields()).containsEntry("run", 2L);
  }

  @Test
  void aCrashBeforeTheSyncSpendsWhatIsOnDiskAndNothingElse() {
    bench.disk = Bench.Disk.HANGS;
    bench.windowOpens();
    bench.restartsWithLoss(Duration.ofSeconds(1));
    assertThat(spentMillis()).isZero();
    bench.connect();
    bench.live(700);
    assertThat(permitting()).isEqualTo(1);
    bench.restarts(Duration.ofSeconds(1));
    assertThat(spentMillis()).as("it may have been granted").isEqualTo(QUANTUM_MILLIS);
  }

  @Test
  void aReservationThatComesAfterTheWantHasGoneIsGivenBackWhole() {
    bench.disk = Bench.Disk.HANGS;
    bench.windowOpens();
    bench.steady(5, 370, 350);
    bench.syncs();
    assertThat(bench.commands).noneMatch(Command::runs);
    AuditRecord rest = bench.last(Kind.REST);
    assertThat(rest.fields()).containsEntry("ran-ms", 0L).containsEntry("spent-ms", 0L);
    assertThat(bench.last(Kind.SETTLED).why()).isEqualTo("nothing had run");
    assertThat(spentMillis()).isZero();
    bench.steady(2, 320, 322);
    assertThat(bench.runs()).as("no rest was owed for a run that was none").isTrue();
  }

  @Test
  void aReservationThatComesAfterTheWindowIsGivenBackWhole() {
    bench.disk = Bench.Disk.HANGS;
    bench.passesUntil(Bench.WINDOW_CLOSES.minusSeconds(60));
    bench.live(61);
    bench.syncs();
    assertThat(bench.commands).noneMatch(Command::runs);
    assertThat(spentMillis()).isZero();
  }

  @Test
  void aReservationThatHungUntilTheNextNightIsNoneForThat() {
    bench.disk = Bench.Disk.HANGS;
    bench.windowOpens();
    bench.passesUntil(Bench.WINDOW_OPENS.plus(Duration.ofDays(1)));
    bench.live(5);
    bench.syncs();
    bench.live(2);
    assertThat(bench.runs()).isTrue();
    assertThat(spentMillis()).isZero();
    assertThat(bench.memory().spentInNightMillis(NIGHT.plusDays(1))).isEqualTo(QUANTUM_MILLIS);
    assertThat(bench.last(Kind.RUN).fields())
        .containsEntry("run", 2L)
        .containsEntry("night", "2026-01-15");
  }

  @Test
  void aReservationThatComesAfterTheLinkIsLostIsGivenBackWhole() {
    bench.disk = Bench.Disk.HANGS;
    bench.windowOpens();
    bench.event(new Event.LinkDown("gone"));
    bench.syncs();
    assertThat(bench.commands).noneMatch(Command::runs);
    assertThat(spentMillis()).isZero();
  }

  @Test
  void whatCouldNotBeWrittenStartsNothingAndIsTriedAgainAfterAMinute() {
    bench.disk = Bench.Disk.HANGS;
    bench.windowOpens();
    bench.failsToWrite();
    assertThat(bench.last(Kind.NOTICE).why())
        .isEqualTo("no run can be recorded, so none starts: no space left");
    bench.disk = Bench.Disk.WORKS;
    bench.live(58);
    assertThat(permitting()).isZero();
    bench.live(4);
    assertThat(bench.runs()).isTrue();
  }

  @Test
  void anAnswerForATicketThatIsNotAwaitedDoesNothing() {
    bench.disk = Bench.Disk.HANGS;
    bench.windowOpens();
    int before = bench.records.size();
    for (long ticket : List.of(0L, 2L, 3L, 77L, -1L, Long.MAX_VALUE)) {
      bench.event(new Event.Synced(ticket));
      bench.event(new Event.Unwritten(ticket, "x"));
    }
    assertThat(bench.records).hasSize(before);
    assertThat(bench.commands).noneMatch(Command::runs);
  }

  @Test
  void nothingIsReservedBeforeTheLastRunsAccountIsClosed() {
    TankSpec hasty =
        Specs.with(
            Specs.withoutConfirmation(Specs.lagoon()),
            Specs.ozone(
                Duration.ofMinutes(60), Duration.ofSeconds(2), Specs.window("01:30", "03:00")));
    bench = new Bench(Specs.site(hasty), Bench.WINDOW_OPENS.minusSeconds(60));
    bench.connect();
    bench.windowOpens();
    bench.live(20);
    bench.steady(1, 370, 350);
    bench.steady(10, 320, 322);
    assertThat(permitting()).isEqualTo(1);
    bench.live(32);
    assertThat(permitting()).isEqualTo(2);
    assertThat(bench.runs()).isTrue();
  }
}

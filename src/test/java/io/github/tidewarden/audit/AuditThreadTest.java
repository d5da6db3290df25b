package io.github.tidewarden.audit;

import static io.github.tidewarden.audit.Samples.NIGHT;
import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;

import java.io.IOException;
import java.time.Duration;
import java.util.List;
import java.util.Map;
import java.util.concurrent.TimeUnit;
import java.util.stream.LongStream;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.Test;

/** A real thread before a disk in memory that can be held up, made to fail and healed. */
class AuditThreadTest {

  private final HeldDisk disk = new HeldDisk();
  private final SharedAnswers answers = new SharedAnswers();
  private final AuditThread thread =
      new AuditThread(
          new AuditLog<>(disk, AuditRecovery.recover(disk), Map.of(), Samples.TOY), answers);

  @AfterEach
  void end() {
    disk.letGo();
    assertThat(thread.close(Duration.ofSeconds(10))).isTrue();
  }

  @Test
  void answersEachRecordInOrderAndTellsTheHead() throws IOException {
    thread.start();
    for (int n = 1; n <= 300; n++) {
      thread.submit(n, Samples.record(n), NIGHT, n % 2 == 0);
    }
    await().until(() -> answers.synced().size() == 300);
    assertThat(answers.synced()).isEqualTo(LongStream.rangeClosed(1, 300).boxed().toList());
    assertThat(thread.close(Duration.ofSeconds(10))).isTrue();
    List<AuditLine> lines = Readout.of(disk.disk).lines;
    assertThat(lines).hasSize(301);
    assertThat(answers.head()).isEqualTo(new Head(301, lines.get(300).hash()));
  }

  @Test
  void aDiskThatHangsHoldsNobodyUpAndTheQueueIsBounded() {
    disk.hold();
    thread.start();
    thread.submit(0, Samples.record(0), NIGHT, true);
    await().until(disk::isHeldUp);

    int overflow = 50;
    for (int n = 1; n <= AuditThread.MOST_HANDED_OVER + overflow; n++) {
      thread.submit(n, Samples.record(n), NIGHT, false); // would never return if it waited
    }
    assertThat(answers.synced()).isEmpty();
    assertThat(answers.failed()).hasSize(overflow);

    disk.letGo();
    await().until(() -> answers.synced().size() == AuditThread.MOST_HANDED_OVER + 1);
  }

  @Test
  void aFailingDiskFailsWhatPermitsAndTheThreadLivesOn() {
    disk.fail(true);
    thread.start();
    thread.submit(1, Samples.record(1), NIGHT, false);
    await().until(() -> thread.trouble() != null);
    thread.submit(2, Samples.record(2), NIGHT, true);
    await().until(() -> answers.failed().contains(2L));
    assertThat(answers.synced()).isEmpty();

    disk.fail(false);
    await().until(() -> answers.synced().contains(1L));
    await().until(() -> thread.trouble() == null);
    thread.submit(3, Samples.record(3), NIGHT, true);
    await().until(() -> answers.synced().contains(3L));
  }

  @Test
  void aListenerThatThrowsDoesNotKeepOthersFromTheirAnswers() {
    answers.throwing = true;
    thread.start();
    thread.submit(1, Samples.record(1), NIGHT, true);
    thread.submit(2, Samples.record(2), NIGHT, true);
    await().until(() -> answers.synced().equals(List.of(1L, 2L)));
  }

  @Test
  void closingWritesWhatWasHandedOverAndTakesNoMore() throws IOException {
    thread.start();
    for (int n = 1; n <= 600; n++) {
      thread.submit(n, Samples.record(n), NIGHT, false);
    }
    assertThat(thread.close(Duration.ofSeconds(10))).isTrue();
    assertThat(answers.synced()).hasSize(600);
    assertThat(Readout.of(disk.disk).records).hasSize(600);

    thread.submit(601, Samples.record(601), NIGHT, true);
    assertThat(answers.failed()).containsExactly(601L);
  }

  @Test
  void closingOnAFailingDiskAnswersWhatCouldNotBeWritten() {
    disk.fail(true);
    thread.start();
    thread.submit(1, Samples.record(1), NIGHT, false);
    thread.submit(2, Samples.record(2), NIGHT, true);
    await().until(() -> thread.trouble() != null);
    assertThat(thread.close(Duration.ofSeconds(10))).isTrue();
    assertThat(answers.failed()).containsExactlyInAnyOrder(1L, 2L);
  }

  @Test
  void closingOnADiskThatHangsEndsInItsTime() {
    disk.hold();
    thread.start();
    thread.submit(1, Samples.record(1), NIGHT, false);
    await().until(disk::isHeldUp);
    long before = System.nanoTime();
    assertThat(thread.close(Duration.ofMillis(200))).isFalse();
    assertThat(System.nanoTime() - before).isLessThan(TimeUnit.SECONDS.toNanos(5));
  }
}

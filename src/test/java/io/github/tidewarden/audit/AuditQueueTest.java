package io.github.tidewarden.audit;

import static io.github.tidewarden.audit.Samples.NIGHT;
import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.audit.AuditQueue.Entry;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.rehearsal.SimulatedDisk;
import java.io.IOException;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.Test;

class AuditQueueTest {

  private static final long SECOND = 1_000_000_000L;

  private final SimulatedDisk disk = new SimulatedDisk();
  private final Answers answers = new Answers();
  private final AuditLog<Map<String, Object>> log = Samples.open(disk);
  private final AuditQueue<Map<String, Object>> queue = new AuditQueue<>(log, 10, answers);

  @Test
  void writesNothingUntilItWorksAndAnswersInOrderAfterOneSync() throws IOException {
    queue.add(tells(1), 0);
    queue.add(permits(2), 0);
    assertThat(disk.calls()).isZero();
    assertThat(queue.nanosUntilWork(0)).isZero();

    queue.work(0);

    assertThat(answers.synced).containsExactly(1L, 2L);
    assertThat(answers.heads).hasSize(1);
    assertThat(answers.heads.get(0)).isEqualTo(log.sync());
    assertThat(queue.nanosUntilWork(0)).isEqualTo(Long.MAX_VALUE);
    assertThat(Readout.of(disk).whys()).containsExactly("record 1", "record 2");
  }

  @Test
  void whatPermitsFailsAtOnceAndIsNeverWrittenLater() throws IOException {
    queue.add(tells(1), 0);
    queue.add(permits(2), 0);
    queue.add(tells(3), 0);
    disk.failFromNowOn();
    queue.work(0);
    assertThat(answers.failed).containsOnlyKeys(2L);
    assertThat(answers.failed.get(2L)).contains("no space left");
    assertThat(queue.trouble()).contains("no space left");

    queue.add(permits(4), SECOND / 2);
    assertThat(answers.failed).containsOnlyKeys(2L, 4L);

    disk.heal();
    queue.work(SECOND);
    assertThat(queue.trouble()).isNull();
    assertThat(answers.synced).containsExactly(1L, 3L);
    assertThat(Readout.of(disk).whys()).containsExactly("record 1", "record 3");
  }

  @Test
  void whatPermitsIsTriedWhenTheDiskIsDueToBeTriedAgain() {
    queue.add(permits(1), 0);
    disk.failNext(0, 1);
    queue.work(0);
    queue.add(permits(2), SECOND);
    queue.work(SECOND);
    assertThat(answers.failed).containsOnlyKeys(1L);
    assertThat(answers.synced).containsExactly(2L);
  }

  @Test
  void triesAgainAfterOneSecondThenTwoUpToAMinute() {
    queue.add(tells(1), 0);
    disk.failFromNowOn();
    List<Long> waits = new ArrayList<>();
    long now = 7 * SECOND;
    for (int i = 0; i < 9; i++) {
      queue.work(now);
      long wait = queue.nanosUntilWork(now);
      int calls = disk.calls();
      queue.work(now + wait - 1);
      assertThat(disk.calls()).as("not before its time").isEqualTo(calls);
      waits.add(wait / SECOND);
      now += wait;
    }
    assertThat(waits).containsExactly(1L, 2L, 4L, 8L, 16L, 32L, 60L, 60L, 60L);

    disk.heal();
    queue.work(now);
    assertThat(answers.synced).containsExactly(1L);
    queue.add(tells(2), now);
    disk.failFromNowOn();
    queue.work(now);
    assertThat(queue.nanosUntilWork(now)).as("the first wait again").isEqualTo(SECOND);
  }

  @Test
  void aFullDiskForHoursLeavesNoHeapOfFilesBehind() throws IOException {
    queue.add(tells(1), 0);
    queue.work(0);
    for (int i = 1; i < 500; i++) {
      long now = 60 * SECOND * i;
      queue.add(tells(2), now);
      disk.failNext(1, 1); // a file can be made, but nothing be written to it
      queue.work(now);
    }
    assertThat(disk.list()).hasSizeLessThan(3);
  }

  @Test
  void theOldestThatPermitNothingAreLostCountedAndKeptInTheState() throws IOException {
    disk.failFromNowOn();
    queue.add(tells(3), 0); // a trip of the nursery
    queue.work(0);
    for (int n = 4; n < 25; n++) {
      queue.add(tells(n), 1);
    }
    assertThat(answers.failed).hasSize(12).containsKeys(3L, 14L).doesNotContainKey(15L);

    disk.heal();
    queue.work(SECOND);

    assertThat(answers.synced).containsExactly(15L, 16L, 17L, 18L, 19L, 20L, 21L, 22L, 23L, 24L);
    Readout readout = Readout.of(disk);
    assertThat(readout.bad).isEmpty();
    assertThat(readout.records.get(0).kind()).isEqualTo(Kind.NOTICE);
    assertThat(readout.records.get(0).fields()).isEqualTo(Map.of("lost", 12L));
    assertThat(readout.records.get(0).why()).startsWith("12 records");
    assertThat(readout.whys().get(1)).isEqualTo("record 15");
    assertThat(Samples.recovered(AuditRecovery.recover(disk)))
        .isEqualTo(log.state())
        .containsKey("trip/nursery");
  }

  @Test
  void aRecordOfLossIsWrittenOnceOnly() throws IOException {
    disk.failFromNowOn();
    for (int n = 0; n < 12; n++) {
      queue.add(tells(n), 0);
      queue.work(0);
    }
    disk.heal();
    disk.failNext(5, 1); // fails once more, after the notice was handed to the disk
    queue.work(SECOND);
    assertThat(answers.synced).isEmpty();
    queue.work(60 * SECOND);
    queue.add(tells(13), 61 * SECOND);
    queue.work(61 * SECOND);
    assertThat(Readout.of(disk).records)
        .filteredOn(record -> record.kind() == Kind.NOTICE)
        .extracting(AuditRecord::fields)
        .containsExactly(Map.of("lost", 2L));
  }

  @Test
  void makesRoomByLosingWhatPermitsNothing() {
    queue.add(permits(1), 0);
    queue.add(tells(2), 0);
    for (int n = 3; n <= 11; n++) {
      queue.add(permits(n), 0);
    }
    assertThat(answers.failed).containsOnlyKeys(2L);
    queue.add(permits(12), 0);
    assertThat(answers.failed).containsOnlyKeys(2L, 12L);
    queue.work(0);
    assertThat(answers.synced).hasSize(10);
  }

  @Test
  void aRecordThatIsNoneFailsAloneAndIsCounted() throws IOException {
    queue.add(tells(1), 0);
    queue.add(new Entry(2, Samples.record(2, Kind.NOTICE, "poison"), NIGHT, false), 0);
    queue.add(new Entry(3, Samples.record(3, Kind.CHECKPOINT, ""), NIGHT, true), 0);
    queue.add(tells(4), 0);
    queue.work(0);
    assertThat(answers.synced).containsExactly(1L, 4L);
    assertThat(answers.failed).containsOnlyKeys(2L, 3L);
    assertThat(queue.trouble()).isNull();

    queue.add(tells(5), 0);
    queue.work(0);
    assertThat(Readout.of(disk).whys())
        .containsExactly(
            "record 1",
            "record 4",
            "2 records could not be kept while the disk failed",
            "record 5");
  }

  @Test
  void aRecordThatIsNoneIsNotTriedAgainWithTheOthers() {
    queue.add(new Entry(1, Samples.record(1, Kind.NOTICE, "poison"), NIGHT, false), 0);
    queue.add(tells(2), 0);
    disk.failNext(0, 1);
    queue.work(0);
    queue.work(SECOND);
    assertThat(answers.failed).containsOnlyKeys(1L);
    assertThat(answers.synced).containsExactly(2L);
  }

  @Test
  void giveUpAnswersAllThatWaits() {
    queue.add(tells(1), 0);
    queue.add(permits(2), 0);
    queue.abandon("the daemon is stopping");
    assertThat(answers.failed)
        .isEqualTo(Map.of(1L, "the daemon is stopping", 2L, "the daemon is stopping"));
  }

  @Test
  void aFaultThatIsNoFailureOfTheDiskTakesNothingWithIt() throws IOException {
    Fold<Map<String, Object>> fold =
        new Fold<>() {
          @Override
          public Map<String, Object> apply(Map<String, Object> state, AuditRecord record) {
            if (record.why().equals("fatal")) {
              throw new StackOverflowError("fatal");
            }
            return state;
          }

          @Override
          public Map<String, Object> checkpoint(Map<String, Object> state) {
            return state;
          }
        };
    SimulatedDisk own = new SimulatedDisk();
    AuditQueue<Map<String, Object>> faulty =
        new AuditQueue<>(
            new AuditLog<>(own, AuditRecovery.recover(own), Map.of(), fold), 10, answers);
    faulty.add(tells(1), 0);
    faulty.add(new Entry(2, Samples.record(2, Kind.RESERVED, "fatal"), NIGHT, true), 0);
    faulty.work(0);
    assertThat(answers.failed).containsOnlyKeys(2L);
    faulty.work(SECOND);
    assertThat(answers.synced).containsExactly(1L);
    assertThat(Readout.of(own).bad).isEmpty();
    assertThat(Readout.of(own).whys()).containsExactly("record 1");
  }

  private static Entry tells(int n) {
    return new Entry(n, Samples.record(n), NIGHT, false);
  }

  private static Entry permits(int n) {
    return new Entry(n, Samples.record(n), NIGHT, true);
  }
}

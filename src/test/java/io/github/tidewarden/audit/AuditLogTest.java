package io.github.tidewarden.audit;

import static io.github.tidewarden.audit.Samples.NIGHT;
import static java.nio.charset.StandardCharsets.UTF_8;
import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatExceptionOfType;
import static org.assertj.core.api.Assertions.assertThatIOException;

import io.github.tidewarden.audit.Recovery.Trust;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.rehearsal.SimulatedDisk;
import java.io.IOException;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.Test;

class AuditLogTest {

  private final SimulatedDisk disk = new SimulatedDisk();

  @Test
  void touchesNoFileBeforeTheFirstRecord() throws IOException {
    AuditLog<Map<String, Object>> log = Samples.open(disk);
    log.sync();
    log.close();
    assertThat(disk.calls()).isZero();
  }

  @Test
  void opensWithACheckpointOfVersionOneThenTheRecord() throws Exception {
    AuditLog<Map<String, Object>> log = Samples.open(disk);
    Head head = log.append(Samples.record(1), NIGHT);
    log.sync();

    List<AuditLine> lines = Readout.of(disk).lines;
    assertThat(lines).hasSize(2);
    assertThat(lines.get(0).record().kind()).isEqualTo(Kind.CHECKPOINT);
    assertThat(lines.get(0).record().fields())
        .containsEntry("version", 1L)
        .containsEntry("previous", Hash.NONE)
        .containsEntry("state", Map.of());
    assertThat(lines.get(1)).isEqualTo(new AuditLine(2, Samples.record(1), head.hash()));
    assertThat(disk.list()).containsExactly("2026-06-01.jsonl");
  }

  @Test
  void whatWasWrittenIsReadBackAfterARestart() throws Exception {
    AuditLog<Map<String, Object>> log = Samples.open(disk);
    for (int n = 1; n <= 10; n++) {
      log.append(Samples.record(n), NIGHT);
    }
    Head head = log.sync();

    Recovery recovery = AuditRecovery.recover(disk.afterKill());

    assertThat(recovery.trust()).isEqualTo(Trust.GOOD);
    assertThat(recovery.detail()).isEmpty();
    assertThat(recovery.recordsSinceCheckpoint()).hasSize(10);
    assertThat(recovery.recordsSinceCheckpoint().get(3)).isEqualTo(Samples.record(4));
    assertThat(new Head(recovery.lastSeq(), recovery.lastHash())).isEqualTo(head);
    assertThat(Samples.recovered(recovery)).isEqualTo(log.state());
  }

  @Test
  void aCheckpointIsTheStateAtItsOwnPlaceInTheChain() throws Exception {
    AuditLog<Map<String, Object>> log = Samples.open(disk);
    log.append(Samples.record(1), NIGHT);
    log.append(Samples.record(2), NIGHT);
    Map<String, Object> before = log.state();
    log.append(Samples.record(3), NIGHT.plusDays(1));
    log.sync();

    Recovery recovery = AuditRecovery.recover(disk);
    assertThat(recovery.checkpoint()).isEqualTo(before);
    assertThat(recovery.recordsSinceCheckpoint()).containsExactly(Samples.record(3));
  }

  @Test
  void theNightsDateNamesTheSegmentAndAnotherNightOpensAnother() throws Exception {
    AuditLog<Map<String, Object>> log = Samples.open(disk);
    log.append(Samples.record(1), NIGHT);
    log.append(Samples.record(2), NIGHT);
    log.append(Samples.record(3), NIGHT.plusDays(1));
    log.append(Samples.record(4), NIGHT); // the clock was set back
    log.sync();

    assertThat(disk.list())
        .containsExactly("2026-06-01.jsonl", "2026-06-02.jsonl", "2026-06-01.1.jsonl");
    Readout readout = Readout.of(disk);
    assertThat(readout.bad).isEmpty();
    assertThat(readout.whys()).containsExactly("record 1", "record 2", "record 3", "record 4");
    assertThat(readout.lines)
        .extracting(AuditLine::seq)
        .containsExactly(1L, 2L, 3L, 4L, 5L, 6L, 7L);
  }

  @Test
  void anUntrustedClockStaysWithTheNewestSegmentAndItsNight() throws Exception {
    AuditLog<Map<String, Object>> log = Samples.open(disk);
    log.append(Samples.record(1), NIGHT);
    log.append(Samples.untrusted(Samples.record(2)), NIGHT.withYear(1970));
    log.sync();
    assertThat(disk.list()).containsExactly("2026-06-01.jsonl");

    AuditLog<Map<String, Object>> afterPowerCut = Samples.open(disk);
    afterPowerCut.append(Samples.untrusted(Samples.record(3)), NIGHT.withYear(1970));
    afterPowerCut.sync();
    assertThat(disk.list()).containsExactly("2026-06-01.jsonl", "2026-06-01.1.jsonl");
  }

  @Test
  void anUntrustedClockNamesTheVeryFirstSegmentForWantOfAnother() throws Exception {
    AuditLog<Map<String, Object>> log = Samples.open(disk);
    log.append(Samples.untrusted(Samples.record(1)), NIGHT.withYear(1970));
    assertThat(disk.list()).containsExactly("1970-06-01.jsonl");
  }

  @Test
  void aRestartOpensASegmentOfItsOwnAndNeverWritesToAnOldFile() throws Exception {
    Samples.open(disk).append(Samples.record(1), NIGHT);
    byte[] before = disk.bytes("2026-06-01.jsonl");
    AuditLog<Map<String, Object>> next = Samples.open(disk);
    next.append(Samples.record(2), NIGHT);
    next.sync();

    assertThat(disk.bytes("2026-06-01.jsonl")).isEqualTo(before);
    Readout readout = Readout.of(disk);
    assertThat(readout.bad).isEmpty();
    assertThat(readout.whys()).containsExactly("record 1", "record 2");
  }

  @Test
  void aSegmentThatIsFullIsFollowedByAnotherOfTheSameNight() throws Exception {
    AuditLog<Map<String, Object>> log = Samples.open(disk);
    AuditRecord big = Samples.record(1, Kind.NOTICE, "x".repeat(200_000));
    for (int i = 0; i < 12; i++) {
      log.append(big, NIGHT);
      log.sync();
    }
    assertThat(disk.list()).containsExactly("2026-06-01.jsonl", "2026-06-01.1.jsonl");
    assertThat(disk.bytes("2026-06-01.jsonl"))
        .hasSizeLessThan((int) AuditLog.MOST_SEGMENT_BYTES + LineFormat.MOST_LINE_BYTES);
    assertThat(Readout.of(disk).bad).isEmpty();
  }

  @Test
  void neverLetsMoreWaitForASyncThanACheckpointCanName() throws Exception {
    AuditLog<Map<String, Object>> log = Samples.open(disk);
    for (int n = 0; n <= AuditLog.MOST_UNSYNCED; n++) {
      log.append(Samples.record(n), NIGHT);
    }
    // of the opening and these, only the last may be lost
    Readout left = Readout.of(disk.afterPowerCut(new java.util.SplittableRandom(1)));
    assertThat(left.records).hasSizeGreaterThanOrEqualTo(AuditLog.MOST_UNSYNCED);
  }

  @Test
  void refusesARecordThatCannotBeWrittenAndGoesOn() throws Exception {
    AuditLog<Map<String, Object>> log = Samples.open(disk);
    log.append(Samples.record(1), NIGHT);
    for (AuditRecord refused :
        List.of(
            Samples.record(2, Kind.CHECKPOINT, "mine"),
            Samples.record(2, Kind.NOTICE, "poison"),
            Samples.record(2, Kind.NOTICE, "x".repeat(LineFormat.MOST_LINE_BYTES)))) {
      assertThatExceptionOfType(RecordRefusedException.class)
          .isThrownBy(() -> log.append(refused, NIGHT));
    }
    log.append(Samples.record(3), NIGHT);
    log.sync();
    assertThat(Readout.of(disk).whys()).containsExactly("record 1", "record 3");
    assertThat(Samples.recovered(AuditRecovery.recover(disk))).isEqualTo(log.state());
  }

  @Test
  void aFailedSyncTakesBackWhatWasNotSyncedAndGoesOnInANewFile() throws Exception {
    AuditLog<Map<String, Object>> log = Samples.open(disk);
    log.append(Samples.record(1), NIGHT);
    Head durable = log.sync();
    Map<String, Object> state = log.state();
    log.append(Samples.record(2), NIGHT);
    log.append(Samples.record(3), NIGHT);
    disk.failNext(0, 1);
    assertThatIOException().isThrownBy(log::sync);
    assertThat(log.state()).isEqualTo(state);
    assertThat(log.sync()).isEqualTo(durable);

    log.append(Samples.record(3), NIGHT);
    log.sync();

    // the old bytes did survive: they are void, and said to be
    Readout readout = Readout.of(disk);
    assertThat(readout.bad).isEmpty();
    assertThat(readout.whys()).containsExactly("record 1", "record 3");
    assertThat(readout.notes).hasSize(1).first().asString().contains("2 void records");
    assertThat(AuditVerifier.verify(disk, null).isGood()).isTrue();
    assertThat(Samples.recovered(AuditRecovery.recover(disk))).isEqualTo(log.state());
  }

  @Test
  void aFailedWriteIsNeverTriedAgainOnTheSameFile() throws Exception {
    for (SimulatedDisk.FailedWrite left : SimulatedDisk.FailedWrite.values()) {
      SimulatedDisk disk = new SimulatedDisk();
      disk.failedWriteLeaves(left);
      AuditLog<Map<String, Object>> log = Samples.open(disk);
      log.append(Samples.record(1), NIGHT);
      log.sync();
      disk.failNext(0, 1);
      assertThatIOException().isThrownBy(() -> log.append(Samples.record(2), NIGHT));
      byte[] before = disk.bytes("2026-06-01.jsonl");
      log.append(Samples.record(2), NIGHT);
      log.sync();

      assertThat(disk.bytes("2026-06-01.jsonl")).isEqualTo(before);
      Readout readout = Readout.of(disk);
      assertThat(readout.bad).as("%s", left).isEmpty();
      assertThat(readout.whys()).as("%s", left).containsExactly("record 1", "record 2");
    }
  }

  @Test
  void anOpeningThatFailsIsTriedAgainWithTheSameBytes() throws Exception {
    AuditLog<Map<String, Object>> log = Samples.open(disk);
    disk.failedWriteLeaves(SimulatedDisk.FailedWrite.ALL);
    // create works; write, and the removal of what it left, fail
    disk.failNext(1, 2);
    assertThatIOException().isThrownBy(() -> log.append(Samples.record(1), NIGHT));
    byte[] left = disk.bytes("2026-06-01.jsonl");
    log.append(Samples.record(7), NIGHT);
    log.sync();

    String opening = new String(disk.bytes("2026-06-01.1.jsonl"), UTF_8).lines().findFirst().get();
    assertThat(new String(left, UTF_8)).isEqualTo(opening + "\n");
    Readout readout = Readout.of(disk);
    assertThat(readout.bad).isEmpty();
    assertThat(readout.notes).hasSize(1).first().asString().contains("tried again");
    assertThat(readout.whys()).containsExactly("record 7");
    assertThat(AuditRecovery.recover(disk).trust()).isEqualTo(Trust.GOOD);
  }

  @Test
  void anOpeningThatFailsLeavesNoFileWhereItCanBeRemoved() throws Exception {
    AuditLog<Map<String, Object>> log = Samples.open(disk);
    for (int call = 1; call <= 3; call++) { // write, sync, sync of the directory
      disk.failNext(call, 1);
      assertThatIOException().isThrownBy(() -> log.append(Samples.record(1), NIGHT));
      assertThat(disk.list()).isEmpty();
    }
  }

  @Test
  void aFileThatDoesNotReadBackIsNotGoneOnWith() {
    AuditLog<Map<String, Object>> log = Samples.open(disk);
    disk.unreadable("2026-06-01.jsonl", true);
    assertThatIOException().isThrownBy(() -> log.append(Samples.record(1), NIGHT));
  }

  @Test
  void anAbsorbedRecordIsInTheStateOfTheNextSegmentThoughInNoFile() throws Exception {
    AuditLog<Map<String, Object>> log = Samples.open(disk);
    log.append(Samples.record(1), NIGHT);
    log.sync();
    log.absorb(Samples.record(3));
    Map<String, Object> with = log.state();
    log.append(Samples.record(4), NIGHT);
    log.sync();

    assertThat(disk.list()).containsExactly("2026-06-01.jsonl", "2026-06-01.1.jsonl");
    Recovery recovery = AuditRecovery.recover(disk);
    assertThat(recovery.checkpoint()).isEqualTo(with).containsKey("trip/nursery");
    assertThat(Samples.recovered(recovery)).isEqualTo(log.state());
    assertThat(Readout.of(disk).whys()).containsExactly("record 1", "record 4");
  }

  @Test
  void whatIsAbsorbedWhileAnOpeningIsTriedAgainIsKeptToo() throws Exception {
    AuditLog<Map<String, Object>> log = Samples.open(disk);
    disk.failNext(0, 1);
    assertThatIOException().isThrownBy(() -> log.append(Samples.record(1), NIGHT));
    log.absorb(Samples.record(3));
    log.append(Samples.record(4), NIGHT);
    log.sync();

    assertThat(Samples.recovered(AuditRecovery.recover(disk)))
        .isEqualTo(log.state())
        .containsKey("trip/nursery");
    assertThat(Readout.of(disk).bad).isEmpty();
  }

  @Test
  void aStateThatCannotBeWrittenOpensNothing() {
    Fold<Map<String, Object>> fold =
        new Fold<>() {
          @Override
          public Map<String, Object> apply(Map<String, Object> state, AuditRecord record) {
            return state;
          }

          @Override
          public Map<String, Object> checkpoint(Map<String, Object> state) {
            return Map.of("given", 1.5);
          }
        };
    AuditLog<Map<String, Object>> log =
        new AuditLog<>(disk, AuditRecovery.recover(disk), Map.of(), fold);
    assertThatIOException()
        .isThrownBy(() -> log.append(Samples.record(1), NIGHT))
        .withMessageContaining("Double");
    assertThat(disk.calls()).isZero();
  }
}

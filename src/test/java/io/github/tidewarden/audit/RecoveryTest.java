package io.github.tidewarden.audit;

import static io.github.tidewarden.audit.Samples.NIGHT;
import static java.nio.charset.StandardCharsets.UTF_8;
import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIOException;

import io.github.tidewarden.audit.Recovery.Trust;
import io.github.tidewarden.rehearsal.SimulatedDisk;
import java.io.IOException;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

/** What a start makes of logs of three nights, one record each after the first's two. */
class RecoveryTest {

  private static final String FIRST = "2026-06-01.jsonl";
  private static final String SECOND = "2026-06-02.jsonl";
  private static final String THIRD = "2026-06-03.jsonl";

  private final SimulatedDisk disk = new SimulatedDisk();
  private Map<String, Object> live;
  private Head head;

  @BeforeEach
  void threeNights() throws IOException {
    AuditLog<Map<String, Object>> log = Samples.open(disk);
    log.append(Samples.record(1), NIGHT);
    log.append(Samples.record(2), NIGHT);
    log.append(Samples.record(3), NIGHT.plusDays(1));
    log.append(Samples.record(4), NIGHT.plusDays(2));
    head = log.sync();
    live = log.state();
  }

  @Test
  void anEmptyOrMissingDirectoryIsFresh() {
    Recovery recovery = AuditRecovery.recover(new SimulatedDisk());
    assertThat(recovery)
        .isEqualTo(
            new Recovery(List.of(), Map.of(), 0, "0".repeat(64), Trust.FRESH, "", List.of(), null));
  }

  @Test
  void readsTheNewestSegmentFromItsCheckpoint() {
    Recovery recovery = AuditRecovery.recover(disk);
    assertThat(recovery.trust()).isEqualTo(Trust.GOOD);
    assertThat(recovery.recordsSinceCheckpoint()).containsExactly(Samples.record(4));
    assertThat(Samples.recovered(recovery)).isEqualTo(live);
    assertThat(recovery.newestNight()).isEqualTo(NIGHT.plusDays(2));
    assertThat(new Head(recovery.lastSeq(), recovery.lastHash())).isEqualTo(head);
  }

  @Test
  void orderIsSeqAndNeverAFileName() throws IOException {
    byte[] third = disk.bytes(THIRD);
    disk.delete(THIRD);
    disk.put("1970-01-01.7.jsonl", third);
    Recovery recovery = AuditRecovery.recover(disk);
    assertThat(recovery.trust()).isEqualTo(Trust.GOOD);
    assertThat(Samples.recovered(recovery)).isEqualTo(live);
    assertThat(Readout.of(disk).bad).isEmpty();
  }

  @Test
  void leavesFilesThatAreNotSegmentsAlone() {
    disk.put("notes.txt", new byte[] {1});
    disk.put("2026-06-31.jsonl", new byte[] {1});
    disk.put("2026-06-01.0.jsonl", new byte[] {1});
    disk.put("2026-06-01.jsonl.bak", new byte[] {1});
    assertThat(AuditRecovery.recover(disk).trust()).isEqualTo(Trust.GOOD);
  }

  @Test
  void segmentsThatAreNoLongerKeptAreNotMissed() throws IOException {
    disk.delete(FIRST);
    assertThat(AuditRecovery.recover(disk).trust()).isEqualTo(Trust.GOOD);
    disk.delete(SECOND);
    assertThat(AuditRecovery.recover(disk).trust()).isEqualTo(Trust.GOOD);
    Readout readout = Readout.of(disk);
    assertThat(readout.bad).isEmpty();
    assertThat(readout.notes).containsExactly(THIRD + ":1: the log begins with seq 6");
  }

  @Test
  void aSegmentMissingBeforeTheNewestIsNoticed() throws IOException {
    disk.delete(SECOND);
    Recovery recovery = AuditRecovery.recover(disk);
    assertThat(recovery.trust()).isEqualTo(Trust.UNTRUSTWORTHY);
    assertThat(recovery.detail()).contains(THIRD).contains("missing");
    assertThat(Readout.of(disk).bad).containsExactly(THIRD + ":1: seq 6 follows 3");
  }

  @Test
  void theNewestSegmentsMissingIsSeenByTheHeadOnly() throws IOException {
    disk.delete(THIRD);
    assertThat(AuditRecovery.recover(disk).trust()).isEqualTo(Trust.GOOD);
    assertThat(AuditVerifier.verify(disk, null).isGood()).isTrue();
    assertThat(AuditVerifier.verify(disk, head.hash()).isGood()).isFalse();
  }

  @Test
  void aLogThatWasBegunAndIsGoneIsNotAFirstStart() throws IOException {
    disk.delete(FIRST);
    disk.delete(SECOND);
    disk.delete(THIRD);
    Recovery recovery = AuditRecovery.recover(disk);
    assertThat(recovery.trust()).isEqualTo(Trust.UNTRUSTWORTHY);
    assertThat(recovery.detail())
        .isEqualTo("an audit was begun here, and no segment of it is left");
    assertThat(recovery.lastSeq()).as("past every number it had").isGreaterThan(1_000_000);
    Samples.open(disk).append(Samples.record(5), NIGHT);
    assertThat(Readout.of(disk).bad)
        .singleElement()
        .asString()
        .contains("no segment of it is left");
    assertThat(AuditRecovery.recover(disk).trust())
        .as("latched in its memory")
        .isEqualTo(Trust.GOOD);
  }

  @Test
  void whatAnOpeningCutShortLeavesIsNoLogEither() throws IOException {
    disk.delete(SECOND);
    disk.delete(THIRD);
    disk.put(FIRST, Arrays.copyOf(disk.bytes(FIRST), 40));
    assertThat(AuditRecovery.recover(disk).trust()).isEqualTo(Trust.UNTRUSTWORTHY);
    disk.forgetBegun();
    assertThat(AuditRecovery.recover(disk).trust()).isEqualTo(Trust.TAIL_SET_ASIDE);
  }

  @Test
  void aStartThatNeverGotALineOntoTheDiskIsStillTheFirst() throws IOException {
    SimulatedDisk fresh = new SimulatedDisk();
    for (int call = 0; call < 4; call++) {
      fresh.failNext(call, 1);
      assertThatIOException()
          .isThrownBy(() -> Samples.open(fresh).append(Samples.record(1), NIGHT));
      assertThat(AuditRecovery.recover(fresh.afterKill()).trust())
          .isNotEqualTo(Trust.UNTRUSTWORTHY);
    }
    Samples.open(fresh).append(Samples.record(1), NIGHT);
    assertThat(fresh.isBegun()).isTrue();
  }

  @Test
  void aSegmentBeforeTheNewestThatWasWrittenAnewIsNoticed() throws IOException {
    SimulatedDisk other = new SimulatedDisk();
    AuditLog<Map<String, Object>> log = Samples.open(other);
    log.append(Samples.record(1), NIGHT);
    log.append(Samples.record(9), NIGHT);
    log.append(Samples.record(3), NIGHT.plusDays(1));
    log.sync();
    disk.put(SECOND, other.bytes(SECOND));
    assertThat(AuditRecovery.recover(disk).trust()).isEqualTo(Trust.UNTRUSTWORTHY);
    assertThat(Readout.of(disk).bad).hasSize(2); // second after first, third after second
  }

  @Test
  void damageInAnOldSegmentIsForVerifyAndDoesNotLatchAStart() throws IOException {
    byte[] first = disk.bytes(FIRST);
    first[first.length / 2] ^= 1;
    disk.put(FIRST, first);
    assertThat(AuditRecovery.recover(disk).trust()).isEqualTo(Trust.GOOD);
    assertThat(AuditVerifier.verify(disk, null).firstBad().file()).isEqualTo(FIRST);
  }

  @Test
  void aFormatVersionOfTomorrowIsNotGuessedAt() throws IOException {
    String third = new String(disk.bytes(THIRD), UTF_8);
    disk.put(THIRD, third.replace("\"version\":1,", "\"version\":2,").getBytes(UTF_8));
    Recovery recovery = AuditRecovery.recover(disk);
    assertThat(recovery.trust()).isEqualTo(Trust.UNTRUSTWORTHY);
    assertThat(recovery.detail()).contains("format version 2");
    assertThat(recovery.recordsSinceCheckpoint()).isEmpty();
    assertThat(recovery.lastSeq()).isEqualTo(head.seq());
  }

  @Test
  void aKindOfTomorrowIsNotGuessedAt() throws IOException {
    AuditLine last = Readout.of(disk).lines.get(6);
    String third = new String(disk.bytes(THIRD), UTF_8);
    String tomorrow = third.replace("\"rest\"", "\"soothed\"");
    assertThat(last.record().kind().word()).isEqualTo("rest");
    disk.put(THIRD, tomorrow.getBytes(UTF_8));
    assertThat(AuditRecovery.recover(disk).detail()).contains(THIRD + ":2").contains("soothed");
  }

  @Test
  void aDiskThatCannotBeReadIsUntrustworthyAndNeverThrows() {
    disk.unreadable(THIRD, true);
    Recovery newest = AuditRecovery.recover(disk);
    assertThat(newest.trust()).isEqualTo(Trust.UNTRUSTWORTHY);
    assertThat(newest.detail()).contains(THIRD);
    assertThat(newest.lastSeq()).isGreaterThan(head.seq());

    disk.unreadable(THIRD, false);
    disk.unreadable(FIRST, true);
    assertThat(AuditRecovery.recover(disk).trust()).isEqualTo(Trust.UNTRUSTWORTHY);

    disk.unreadable(FIRST, false);
    disk.unlistable(true);
    Recovery blind = AuditRecovery.recover(disk);
    assertThat(blind.trust()).isEqualTo(Trust.UNTRUSTWORTHY);
    assertThat(blind.lastSeq()).isGreaterThan(head.seq());
  }

  @Test
  void aDiskThatCannotSyncWhatWasReadIsUntrustworthy() {
    disk.failNext(0, 1);
    assertThat(AuditRecovery.recover(disk).trust()).isEqualTo(Trust.UNTRUSTWORTHY);
    assertThat(AuditRecovery.recover(disk).trust()).isEqualTo(Trust.GOOD);
  }

  @Test
  void aTornTailThatAFullDiskHasNoRoomForStaysAndIsVoid() throws IOException {
    byte[] torn = Arrays.copyOf(disk.bytes(THIRD), disk.bytes(THIRD).length - 5);
    disk.put(THIRD, torn);
    assertThat(AuditVerifier.verify(disk, null).isGood()).isFalse();
    disk.failNext(1, 1); // the sync works, moving the tail aside does not
    Recovery recovery = AuditRecovery.recover(disk);

    assertThat(recovery.trust()).isEqualTo(Trust.TAIL_SET_ASIDE);
    assertThat(recovery.setAside()).extracting(Recovery.SetAside::movedTo).containsExactly("");
    assertThat(recovery.detail()).contains("left in " + THIRD).contains("no space left");
    AuditLog<Map<String, Object>> log =
        new AuditLog<>(disk, recovery, Samples.recovered(recovery), Samples.TOY);
    log.append(Samples.record(5), NIGHT.plusDays(2));
    log.sync();

    assertThat(disk.bytes(THIRD)).isEqualTo(torn);
    assertThat(AuditRecovery.recover(disk).trust()).isEqualTo(Trust.GOOD);
    Readout readout = Readout.of(disk);
    assertThat(readout.bad).isEmpty();
    assertThat(readout.notes).hasSize(1).first().asString().startsWith(THIRD + ":2: ends in");
    assertThat(readout.whys()).containsExactly("record 1", "record 2", "record 3", "record 5");

    disk.put(THIRD, joined(opening(disk, THIRD), forged(disk)));
    assertThat(Readout.of(disk).bad).as("a record in its place").isNotEmpty();
  }

  @Test
  void afterDamageTheLogGoesOnInANewSegmentThatSaysSo() throws IOException {
    byte[] third = disk.bytes(THIRD);
    third[40] ^= 1;
    disk.put(THIRD, third);
    Recovery damaged = AuditRecovery.recover(disk);
    assertThat(damaged.trust()).isEqualTo(Trust.UNTRUSTWORTHY);

    Map<String, Object> latched = Map.of("trip/lagoon", 1L, "trip/nursery", 1L);
    AuditLog<Map<String, Object>> log = new AuditLog<>(disk, damaged, latched, Samples.TOY);
    log.append(Samples.record(5), NIGHT.plusDays(2));
    log.sync();

    assertThat(disk.bytes(THIRD)).isEqualTo(third);
    Recovery next = AuditRecovery.recover(disk);
    assertThat(next.trust()).isEqualTo(Trust.GOOD);
    assertThat(next.checkpoint()).isEqualTo(latched);
    assertThat(next.lastSeq()).isEqualTo(head.seq() + 2);
    Readout readout = Readout.of(disk);
    assertThat(readout.bad).hasSize(2);
    assertThat(readout.bad.get(0)).startsWith(THIRD + ":1");
    assertThat(readout.bad.get(1)).contains("found damaged").contains(THIRD + ":1");
    assertThat(readout.whys()).contains("record 1", "record 2", "record 3", "record 4", "record 5");
  }

  @Test
  void aCrashBeforeAnythingIsRecordedAfterDamageIsUntrustworthyStill() throws IOException {
    disk.put(THIRD, ("x" + new String(disk.bytes(THIRD), UTF_8)).getBytes(UTF_8));
    AuditLog<Map<String, Object>> log = Samples.open(disk);
    log.append(Samples.record(5), NIGHT.plusDays(2));
    SimulatedDisk crashed = disk.afterKill();
    crashed.put("2026-06-03.1.jsonl", opening(disk, "2026-06-03.1.jsonl"));

    Recovery recovery = AuditRecovery.recover(crashed);
    assertThat(recovery.trust()).isEqualTo(Trust.UNTRUSTWORTHY);
    assertThat(recovery.detail()).contains("nothing was recorded");
  }

  @Test
  void aLogWhoseRecordsMakeNoStateIsDoubtedAndTheNextSegmentSaysSo() throws IOException {
    Recovery doubted = AuditRecovery.recover(disk).doubted("a record without a night");
    assertThat(doubted.trust()).isEqualTo(Trust.UNTRUSTWORTHY);
    AuditLog<Map<String, Object>> log = new AuditLog<>(disk, doubted, live, Samples.TOY);
    log.append(Samples.record(5), NIGHT.plusDays(2));
    log.sync();
    assertThat(Readout.of(disk).bad).hasSize(1).first().asString().contains("without a night");
  }

  @Test
  void afterAnUnreadableSegmentTheNumbersGoOnBeyondAnyThatItCouldHold() throws IOException {
    disk.unreadable(THIRD, true);
    AuditLog<Map<String, Object>> log = Samples.open(disk);
    Head on = log.append(Samples.record(5), NIGHT.plusDays(2));
    log.sync();
    disk.unreadable(THIRD, false);

    Recovery next = AuditRecovery.recover(disk);
    assertThat(next.trust()).isEqualTo(Trust.GOOD);
    assertThat(next.lastSeq()).isEqualTo(on.seq()).isGreaterThan(head.seq());
  }

  @Test
  void aFileWithoutAnyRecordIsNotPassedOver() {
    disk.put("2026-06-04.jsonl", "nothing of ours\n".getBytes(UTF_8));
    Recovery recovery = AuditRecovery.recover(disk);
    assertThat(recovery.trust()).isEqualTo(Trust.UNTRUSTWORTHY);
    assertThat(recovery.detail()).contains("2026-06-04.jsonl").contains("moved out");
    assertThat(recovery.lastSeq()).isGreaterThan(head.seq());
  }

  @Test
  void aSecondFileThatOpensWithTheSameSeqIsNotPassedOver() throws IOException {
    SimulatedDisk other = new SimulatedDisk();
    AuditLog<Map<String, Object>> log = Samples.open(other);
    log.append(Samples.record(1), NIGHT);
    log.append(Samples.record(2), NIGHT);
    log.append(Samples.record(8), NIGHT.plusDays(1));
    log.append(Samples.record(9), NIGHT.plusDays(2));
    log.sync();
    disk.put("2026-06-03.1.jsonl", other.bytes(THIRD));
    assertThat(AuditRecovery.recover(disk).trust()).isEqualTo(Trust.UNTRUSTWORTHY);
    assertThat(Readout.of(disk).bad).isNotEmpty();
  }

  @Test
  void whatACrashLeftOfAnOpeningIsSetAside() throws IOException {
    byte[] opening = opening(disk, THIRD);
    for (int kept = 0; kept < opening.length; kept++) {
      SimulatedDisk crashed = disk.afterKill();
      crashed.put(THIRD, Arrays.copyOf(opening, kept));
      Recovery recovery = AuditRecovery.recover(crashed);
      assertThat(recovery.trust()).as("%s bytes", kept).isEqualTo(Trust.TAIL_SET_ASIDE);
      assertThat(recovery.recordsSinceCheckpoint()).containsExactly(Samples.record(3));
      assertThat(crashed.list()).containsExactly(FIRST, SECOND);
      assertThat(crashed.aside().values()).containsExactly(Arrays.copyOf(opening, kept));
    }
  }

  @Test
  void aWholeOpeningThatACrashLeftIsGoneOnFrom() throws IOException {
    disk.put(THIRD, opening(disk, THIRD));
    Recovery recovery = AuditRecovery.recover(disk);
    assertThat(recovery.trust()).isEqualTo(Trust.GOOD);
    assertThat(recovery.recordsSinceCheckpoint()).isEmpty();
    assertThat(recovery.lastSeq()).isEqualTo(6);
  }

  @Test
  void zerosAtTheEndAreSetAside() throws IOException {
    byte[] third = disk.bytes(THIRD);
    disk.put(THIRD, Arrays.copyOf(third, third.length + 600_000));
    Recovery recovery = AuditRecovery.recover(disk);
    assertThat(recovery.trust()).isEqualTo(Trust.TAIL_SET_ASIDE);
    assertThat(recovery.setAside())
        .containsExactly(
            new Recovery.SetAside(
                THIRD, third.length, 600_000, "set-aside/" + THIRD + "." + third.length));
    assertThat(disk.bytes(THIRD)).isEqualTo(third);
    assertThat(Samples.recovered(recovery)).isEqualTo(live);
  }

  @Test
  void recoveryIsTheLiveFoldForAnyStory() throws IOException {
    for (long seed = 0; seed < 200; seed++) {
      java.util.SplittableRandom random = new java.util.SplittableRandom(seed);
      SimulatedDisk any = new SimulatedDisk();
      AuditLog<Map<String, Object>> log = Samples.open(any);
      List<String> whys = new ArrayList<>();
      int count = random.nextInt(60);
      for (int n = 0; n < count; n++) {
        log.append(Samples.record(n), NIGHT.plusDays(random.nextInt(3)));
        whys.add("record " + n);
        if (random.nextInt(10) == 0) {
          log.sync();
          log.close();
          log = Samples.open(any);
        }
      }
      log.sync();
      Recovery recovery = AuditRecovery.recover(any);
      assertThat(Samples.recovered(recovery)).as("seed %s", seed).isEqualTo(log.state());
      assertThat(Readout.of(any).whys()).as("seed %s", seed).isEqualTo(whys);
      assertThat(Readout.of(any).bad).as("seed %s", seed).isEmpty();
    }
  }

  private static byte[] opening(SimulatedDisk disk, String file) {
    byte[] bytes = disk.bytes(file);
    int end = 0;
    while (bytes[end] != '\n') {
      end++;
    }
    return Arrays.copyOf(bytes, end + 1);
  }

  /** A record after the third segment's checkpoint that was never written. */
  private static byte[] forged(SimulatedDisk disk) throws IOException {
    AuditLine checkpoint =
        Readout.of(disk).lines.stream().filter(line -> line.seq() == 6).findFirst().orElseThrow();
    return LineFormat.encode(7, Samples.record(9), checkpoint.hash()).bytes;
  }

  private static byte[] joined(byte[] opening, byte[] line) {
    byte[] joined = Arrays.copyOf(opening, opening.length + line.length);
    System.arraycopy(line, 0, joined, opening.length, line.length);
    return joined;
  }
}

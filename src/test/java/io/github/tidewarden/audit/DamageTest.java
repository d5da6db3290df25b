package io.github.tidewarden.audit;

import static io.github.tidewarden.audit.Samples.NIGHT;
import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.audit.AuditVerifier.Verdict;
import io.github.tidewarden.audit.Recovery.Trust;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.rehearsal.SimulatedDisk;
import java.io.IOException;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.SplittableRandom;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

/** A log of a hundred records, cut at every byte, and with a bit flipped in every byte. */
class DamageTest {

  private static final int RECORDS = 100;

  /** Recovery is tried at every byte; verification, which is slower, at every so many. */
  private static final int VERIFY_EVERY = 7;

  private static final String FILE = "2026-06-01.jsonl";

  private byte[] whole;
  private List<AuditRecord> records;
  private String head;

  @BeforeEach
  void aHundredRecords() throws IOException {
    SimulatedDisk disk = new SimulatedDisk();
    AuditLog<Map<String, Object>> log = Samples.open(disk);
    records = new ArrayList<>();
    for (int n = 1; n <= RECORDS; n++) {
      records.add(Samples.record(n, Kind.QUALITY, "r" + n));
      log.append(records.get(n - 1), NIGHT);
    }
    head = log.sync().hash();
    whole = disk.bytes(FILE);
  }

  @Test
  void cutAtEveryByteKeepsEveryWholeRecordAndSetsTheRestAside() throws IOException {
    int linesBefore = 0;
    int lineStart = 0;
    for (int cut = 0; cut < whole.length; cut++) {
      if (cut > 0 && whole[cut - 1] == '\n') {
        linesBefore++;
        lineStart = cut;
      }
      SimulatedDisk disk = holding(Arrays.copyOf(whole, cut));
      boolean atABoundary = cut == lineStart && cut > 0;
      // A cut at the end of a record leaves a good log: only a head kept elsewhere shows it. (The
      // empty file is what a crash leaves of an opening.)
      boolean verified = atABoundary || cut % VERIFY_EVERY == 0;
      if (verified) {
        assertThat(AuditVerifier.verify(disk, null).isGood())
            .as("cut at %s", cut)
            .isEqualTo(atABoundary);
        assertThat(AuditVerifier.verify(disk, head).firstBad()).as("cut at %s", cut).isNotNull();
      }
      Recovery recovery = AuditRecovery.recover(disk);
      assertThat(recovery.trust())
          .as("cut at %s", cut)
          .isEqualTo(atABoundary ? Trust.GOOD : Trust.TAIL_SET_ASIDE);

      assertThat(recovery.recordsSinceCheckpoint())
          .as("cut at %s", cut)
          .isEqualTo(records.subList(0, Math.max(0, linesBefore - 1)));
      assertThat(recovery.lastSeq()).as("cut at %s", cut).isEqualTo(linesBefore);
      if (!atABoundary) {
        assertThat(disk.aside().values())
            .as("cut at %s", cut)
            .containsExactly(Arrays.copyOfRange(whole, lineStart, cut));
        assertThat(recovery.setAside().get(0).bytes()).isEqualTo(cut - lineStart);
        assertThat(recovery.detail()).contains(FILE);
      }
      if (verified) {
        Recovery again = AuditRecovery.recover(disk);
        assertThat(again.trust())
            .as("cut at %s", cut)
            .isEqualTo(linesBefore == 0 ? Trust.FRESH : Trust.GOOD);
        assertThat(again.lastHash()).as("cut at %s", cut).isEqualTo(recovery.lastHash());
      }
    }
  }

  @Test
  void aBitFlippedInAnyByteIsFoundAndNothingFromThereOnIsRead() throws IOException {
    SplittableRandom random = new SplittableRandom(20261101);
    int line = 1;
    for (int at = 0; at < whole.length; at++) {
      byte[] flipped = whole.clone();
      flipped[at] ^= (byte) (1 << random.nextInt(8));
      SimulatedDisk disk = holding(flipped);
      Recovery recovery = AuditRecovery.recover(disk);
      assertThat(recovery.trust()).as("byte %s", at).isEqualTo(Trust.UNTRUSTWORTHY);
      assertThat(recovery.detail()).as("byte %s", at).startsWith(FILE);
      assertThat(recovery.recordsSinceCheckpoint())
          .as("byte %s", at)
          .isEqualTo(records.subList(0, Math.max(0, line - 2)));
      if (at % VERIFY_EVERY == 0) {
        Verdict verdict = AuditVerifier.verify(disk, null);
        assertThat(verdict.firstBad()).as("byte %s", at).isNotNull();
        assertThat(verdict.firstBad().line()).as("byte %s", at).isEqualTo(line);
        assertThat(verdict.records()).as("byte %s", at).isEqualTo(line - 1);
      }
      assertThat(disk.bytes(FILE)).as("byte %s", at).isEqualTo(flipped);
      if (whole[at] == '\n') {
        line++;
      }
    }
  }

  private static SimulatedDisk holding(byte[] bytes) {
    SimulatedDisk disk = new SimulatedDisk();
    disk.put(FILE, bytes);
    return disk;
  }
}

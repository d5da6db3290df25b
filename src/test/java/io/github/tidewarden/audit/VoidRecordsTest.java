package io.github.tidewarden.audit;

import static io.github.tidewarden.audit.Samples.NIGHT;
import static java.nio.charset.StandardCharsets.UTF_8;
import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIOException;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.rehearsal.SimulatedDisk;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.util.Arrays;
import java.util.Map;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

/**
 * After a failed sync the old bytes may have survived, so two files hold the same seq. What the
 * next segment voids by name passes; anything else does not.
 */
class VoidRecordsTest {

  private static final String FAILED = "2026-06-01.jsonl";
  private static final String NEXT = "2026-06-01.1.jsonl";

  private final SimulatedDisk disk = new SimulatedDisk();
  private byte[] failed;
  private int durable;
  private Head durableHead;

  /** Records 1 and 2 durable, 3 to 5 lost in a failed sync, 3 and 5 given again. */
  @BeforeEach
  void aFailedSync() throws IOException {
    AuditLog<Map<String, Object>> log = Samples.open(disk);
    log.append(Samples.record(1), NIGHT);
    log.append(Samples.record(2), NIGHT);
    durableHead = log.sync();
    durable = disk.bytes(FAILED).length;
    log.append(Samples.record(3), NIGHT);
    log.append(Samples.record(4), NIGHT);
    log.append(Samples.record(5), NIGHT);
    disk.failNext(0, 1);
    assertThatIOException().isThrownBy(log::sync);
    log.append(Samples.record(3), NIGHT);
    log.append(Samples.record(5), NIGHT);
    log.sync();
    failed = disk.bytes(FAILED);
  }

  @Test
  void passesHoweverMuchOfTheFailedTailSurvived() throws IOException {
    for (int kept = durable; kept <= failed.length; kept++) {
      disk.put(FAILED, Arrays.copyOf(failed, kept));
      Readout readout = Readout.of(disk);
      assertThat(readout.bad).as("%s bytes", kept).isEmpty();
      assertThat(readout.whys())
          .as("%s bytes", kept)
          .containsExactly("record 1", "record 2", "record 3", "record 5");
      assertThat(readout.notes).as("%s bytes", kept).hasSize(kept == durable ? 0 : 1);
      assertThat(AuditRecovery.recover(disk).trust()).isEqualTo(Recovery.Trust.GOOD);
    }
  }

  @Test
  void doesNotPassIfMoreThanTheTailIsGone() throws IOException {
    disk.put(FAILED, Arrays.copyOf(failed, durable - 1));
    assertThat(Readout.of(disk).bad).isNotEmpty();
    assertThat(AuditRecovery.recover(disk).trust()).isEqualTo(Recovery.Trust.UNTRUSTWORTHY);
  }

  @Test
  void aForgedRecordInPlaceOfTheTailDoesNotPass() throws IOException {
    disk.put(FAILED, joined(Arrays.copyOf(failed, durable), forged(durableHead)));
    assertThat(Readout.of(disk).bad).hasSize(1).first().asString().contains("does not void");
  }

  @Test
  void aForgedRecordAfterTheTailDoesNotPass() throws IOException {
    disk.put(FAILED, joined(failed, forged(new Head(durableHead.seq() + 3, lastHash(failed)))));
    assertThat(Readout.of(disk).bad).hasSize(1).first().asString().contains("does not void");
  }

  @Test
  void aVoidRecordWithAChangedTextDoesNotPass() throws IOException {
    String changed = new String(failed, UTF_8).replace("record 4", "record 9");
    disk.put(FAILED, changed.getBytes(UTF_8));
    assertThat(Readout.of(disk).bad).hasSize(1);
  }

  @Test
  void aRecordAddedToASegmentThatDidNotFailDoesNotPass() throws IOException {
    SimulatedDisk healthy = new SimulatedDisk();
    AuditLog<Map<String, Object>> log = Samples.open(healthy);
    log.append(Samples.record(1), NIGHT);
    Head end = log.sync();
    log.append(Samples.record(2), NIGHT.plusDays(1));
    log.sync();
    healthy.put(FAILED, joined(healthy.bytes(FAILED), forged(end)));
    assertThat(Readout.of(healthy).bad).hasSize(1).first().asString().startsWith(FAILED + ":3");
  }

  @Test
  void bytesWithoutANewlineAfterASegmentThatDidNotFailDoNotPass() throws IOException {
    SimulatedDisk healthy = new SimulatedDisk();
    AuditLog<Map<String, Object>> log = Samples.open(healthy);
    log.append(Samples.record(1), NIGHT);
    log.append(Samples.record(2), NIGHT.plusDays(1));
    log.sync();
    healthy.put(FAILED, joined(healthy.bytes(FAILED), new byte[] {'x'}));
    assertThat(Readout.of(healthy).bad).hasSize(1);
  }

  @Test
  void voidRecordsAreNotReadAsRecords() throws IOException {
    Readout readout = Readout.of(disk);
    assertThat(readout.records).doesNotContain(Samples.record(4));
    assertThat(readout.lines).extracting(AuditLine::seq).containsExactly(1L, 2L, 3L, 4L, 5L, 6L);
    assertThat(disk.list()).containsExactly(FAILED, NEXT);
  }

  private static byte[] forged(Head after) {
    AuditRecord record = Samples.record(6);
    return LineFormat.encode(after.seq() + 1, record, after.hash()).bytes;
  }

  private static String lastHash(byte[] file) {
    String text = new String(file, UTF_8);
    return text.substring(text.length() - 67, text.length() - 3);
  }

  private static byte[] joined(byte[] one, byte[] other) {
    ByteArrayOutputStream joined = new ByteArrayOutputStream();
    joined.writeBytes(one);
    joined.writeBytes(other);
    return joined.toByteArray();
  }
}

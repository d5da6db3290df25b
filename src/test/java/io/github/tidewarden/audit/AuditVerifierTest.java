package io.github.tidewarden.audit;

import static io.github.tidewarden.audit.Samples.NIGHT;
import static java.nio.charset.StandardCharsets.UTF_8;
import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.audit.AuditVerifier.Verdict;
import io.github.tidewarden.rehearsal.SimulatedDisk;
import java.io.IOException;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

class AuditVerifierTest {

  private static final String FILE = "2026-06-01.jsonl";

  private final SimulatedDisk disk = new SimulatedDisk();
  private final List<Head> heads = new ArrayList<>();

  @BeforeEach
  void sixRecordsOfTwoNights() throws IOException {
    AuditLog<Map<String, Object>> log = Samples.open(disk);
    for (int n = 1; n <= 6; n++) {
      log.append(Samples.record(n), NIGHT.plusDays(n / 4));
      heads.add(log.sync());
    }
  }

  @Test
  void anUntouchedLogIsGood() throws IOException {
    assertThat(AuditVerifier.verify(disk, null))
        .isEqualTo(new Verdict(null, 8, 1, heads.get(5), 0, List.of()));
  }

  @Test
  void aHeadThatWasPublishedMustBeInTheLog() throws IOException {
    assertThat(AuditVerifier.verify(disk, heads.get(5).hash()).isGood()).isTrue();
    Verdict older = AuditVerifier.verify(disk, heads.get(1).hash());
    assertThat(older.isGood()).isTrue();
    assertThat(older.sinceHead()).isEqualTo(8 - heads.get(1).seq());

    Verdict other = AuditVerifier.verify(disk, "ab".repeat(32));
    assertThat(other.isGood()).isFalse();
    assertThat(other.firstBad()).hasToString(other.firstBad().reason());
    assertThat(other.firstBad().reason()).contains("expected head");
  }

  @Test
  void anEmptyLogIsGoodOnlyIfNoHeadWasEverPublished() throws IOException {
    SimulatedDisk empty = new SimulatedDisk();
    assertThat(AuditVerifier.verify(empty, null))
        .isEqualTo(new Verdict(null, 0, 0, Head.NONE, 0, List.of()));
    assertThat(AuditVerifier.verify(empty, heads.get(0).hash()).isGood()).isFalse();
  }

  @Test
  void namesTheFirstBadFileLineAndReason() throws IOException {
    String text = new String(disk.bytes(FILE), UTF_8);
    disk.put(FILE, text.replace("record 2", "record 7").getBytes(UTF_8));
    Verdict verdict = AuditVerifier.verify(disk, null);
    assertThat(verdict.firstBad()).hasToString(FILE + ":3: does not match its hash");
    assertThat(verdict.records()).isEqualTo(2);
    assertThat(verdict.last()).isEqualTo(heads.get(0));
  }

  @Test
  void aLineTakenOutPutInOrMovedIsFound() throws IOException {
    List<String> lines = new String(disk.bytes(FILE), UTF_8).lines().toList();
    for (int i = 0; i < lines.size(); i++) {
      List<String> without = new ArrayList<>(lines);
      without.remove(i);
      assertThat(withLines(without)).as("without %s", i).isNotNull();
      List<String> twice = new ArrayList<>(lines);
      twice.add(i, lines.get(i));
      assertThat(withLines(twice)).as("twice %s", i).isNotNull();
      if (i > 0) {
        List<String> swapped = new ArrayList<>(lines);
        swapped.set(i, lines.get(i - 1));
        swapped.set(i - 1, lines.get(i));
        assertThat(withLines(swapped)).as("swapped %s", i).isNotNull();
      }
    }
    assertThat(withLines(lines)).isNull();
  }

  @Test
  void aLogWrittenAnewFromSomeRecordOnIsSeenByTheHeadOnly() throws IOException {
    SimulatedDisk forged = new SimulatedDisk();
    AuditLog<Map<String, Object>> log = Samples.open(forged);
    for (int n = 1; n <= 6; n++) {
      log.append(Samples.record(n == 5 ? 9 : n), NIGHT.plusDays(n / 4));
    }
    log.sync();
    assertThat(AuditVerifier.verify(forged, null).isGood()).isTrue();
    assertThat(AuditVerifier.verify(forged, heads.get(3).hash()).isGood()).isTrue();
    assertThat(AuditVerifier.verify(forged, heads.get(5).hash()).isGood()).isFalse();
  }

  @Test
  void aFileThatCannotBeReadIsABadPlace() throws IOException {
    disk.unreadable(FILE, true);
    assertThat(AuditVerifier.verify(disk, null).firstBad().toString())
        .startsWith(FILE + ":1: cannot be read");
  }

  @Test
  void anOpeningCutShortIsGoodOnlyIfItWasTriedAgain() throws IOException {
    byte[] opening = Arrays.copyOf(disk.bytes("2026-06-02.jsonl"), 100);
    disk.put("2026-06-02.1.jsonl", opening);
    assertThat(AuditVerifier.verify(disk, null).isGood()).isTrue();
    assertThat(AuditVerifier.verify(disk, null).notes()).hasSize(1);
    opening[50] ^= 1;
    disk.put("2026-06-02.1.jsonl", opening);
    assertThat(AuditVerifier.verify(disk, null).firstBad())
        .hasToString("2026-06-02.1.jsonl:1: no whole line");
  }

  private AuditVerifier.FirstBad withLines(List<String> lines) throws IOException {
    disk.put(FILE, (String.join("\n", lines) + "\n").getBytes(UTF_8));
    return AuditVerifier.verify(disk, null).firstBad();
  }
}

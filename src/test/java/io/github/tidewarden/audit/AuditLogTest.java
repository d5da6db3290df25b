package io.github.tidewarden.audit;

import static io.github.tidewarden.audit.Samples.NIGHT;
import static org.assertj.core.api.Assertions.assertThat;

import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class AuditLogTest {

  @Test
  void whatWasWrittenIsReadBackAfterARestart(@TempDir Path dir) throws Exception {
    AuditFiles files = new DirectoryFiles(dir.resolve("audit"));
    AuditLog<Map<String, Object>> log = Samples.open(files);
    for (int n = 1; n <= 10; n++) {
      log.append(Samples.record(n), NIGHT);
    }
    Head head = log.sync();
    log.close();

    List<String> lines = Files.readAllLines(dir.resolve("audit/2026-06-01.jsonl"));
    assertThat(lines).hasSize(11);

    Recovery recovery = AuditRecovery.recover(files);
    assertThat(recovery.detail()).isEmpty();
    assertThat(recovery.trust()).isEqualTo(Recovery.Trust.GOOD);
    assertThat(recovery.recordsSinceCheckpoint()).hasSize(10);
    assertThat(recovery.recordsSinceCheckpoint().get(3)).isEqualTo(Samples.record(4));
    assertThat(new Head(recovery.lastSeq(), recovery.lastHash())).isEqualTo(head);
    assertThat(Samples.recovered(recovery)).isEqualTo(log.state());
    assertThat(AuditVerifier.verify(files, head.hash()).firstBad()).isNull();
  }
}

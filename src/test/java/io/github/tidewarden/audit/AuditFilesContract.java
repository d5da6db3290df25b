package io.github.tidewarden.audit;

import static java.nio.charset.StandardCharsets.UTF_8;
import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIOException;

import java.io.IOException;
import java.io.InputStream;
import java.util.Map;
import org.junit.jupiter.api.Test;

/** What the audit expects of a disk; the real one and the simulated one must both do it. */
abstract class AuditFilesContract {

  abstract AuditFiles files() throws IOException;

  abstract String setAside(String name) throws IOException;

  @Test
  void listsNothingWhenNothingWasWritten() throws IOException {
    assertThat(files().list()).isEmpty();
  }

  @Test
  void readsWhatWasAppendedInOrder() throws IOException {
    AuditFiles files = files();
    write(files, "a.jsonl", "one\n", "two\n");
    assertThat(read(files, "a.jsonl")).isEqualTo("one\ntwo\n");
    assertThat(files.list()).containsExactly("a.jsonl");
  }

  @Test
  void readsWhatWasAppendedBeforeItIsSynced() throws IOException {
    AuditFiles files = files();
    try (AuditFiles.Appender file = files.create("a.jsonl")) {
      file.append("one\n".getBytes(UTF_8));
      assertThat(read(files, "a.jsonl")).isEqualTo("one\n");
    }
  }

  @Test
  void neverCreatesOverAFileThatIsThere() throws IOException {
    AuditFiles files = files();
    write(files, "a.jsonl", "one\n");
    assertThatIOException().isThrownBy(() -> files.create("a.jsonl"));
    assertThat(read(files, "a.jsonl")).isEqualTo("one\n");
  }

  @Test
  void refusesToReadSyncOrSetAsideWhatIsNotThere() throws IOException {
    AuditFiles files = files();
    assertThatIOException().isThrownBy(() -> files.read("a.jsonl").close());
    assertThatIOException().isThrownBy(() -> files.force("a.jsonl"));
    assertThatIOException().isThrownBy(() -> files.remove("a.jsonl"));
  }

  @Test
  void removesAFile() throws IOException {
    AuditFiles files = files();
    write(files, "a.jsonl", "one\n");
    files.remove("a.jsonl");
    assertThat(files.list()).isEmpty();
  }

  @Test
  void movesATailAsideByteForByteAndKeepsTheRest() throws IOException {
    AuditFiles files = files();
    write(files, "a.jsonl", "one\n", "tw\u0000");
    String movedTo = files.setAside("a.jsonl", 4);
    assertThat(movedTo).isEqualTo("set-aside/a.jsonl.4");
    assertThat(setAside(movedTo)).isEqualTo("tw\u0000");
    assertThat(read(files, "a.jsonl")).isEqualTo("one\n");
    assertThat(files.list()).containsExactly("a.jsonl");
    files.force("a.jsonl");
  }

  @Test
  void movesAWholeFileAside() throws IOException {
    AuditFiles files = files();
    write(files, "a.jsonl", "on");
    assertThat(setAside(files.setAside("a.jsonl", 0))).isEqualTo("on");
    assertThat(files.list()).isEmpty();
  }

  @Test
  void neverWritesOverWhatIsSetAsideAlready() throws IOException {
    AuditFiles files = files();
    Map<String, String> moved = new java.util.TreeMap<>();
    for (String torn : new String[] {"x", "yy", "zzz"}) {
      write(files, "a.jsonl", torn);
      moved.put(files.setAside("a.jsonl", 0), torn);
    }
    assertThat(moved).hasSize(3);
    for (Map.Entry<String, String> one : moved.entrySet()) {
      assertThat(setAside(one.getKey())).isEqualTo(one.getValue());
    }
  }

  @Test
  void knowsThatALogWasBegunAlsoWhenItsFilesAreGone() throws IOException {
    assertThat(files().isBegun()).isFalse();
    AuditFiles files = files();
    write(files, "a.jsonl", "one\n");
    files.markBegun();
    files.markBegun();
    files.remove("a.jsonl");
    assertThat(files().isBegun()).isTrue();
    assertThat(files().list()).isEmpty();
  }

  @Test
  void theLogRunsOnIt() throws Exception {
    AuditFiles files = files();
    AuditLog<Map<String, Object>> log = Samples.open(files);
    for (int n = 1; n <= 5; n++) {
      log.append(Samples.record(n), Samples.NIGHT.plusDays(n / 3));
      log.sync();
    }
    log.close();
    assertThat(AuditRecovery.recover(files).trust()).isEqualTo(Recovery.Trust.GOOD);
    assertThat(AuditVerifier.verify(files, null).records()).isEqualTo(7);
  }

  private static void write(AuditFiles files, String name, String... parts) throws IOException {
    try (AuditFiles.Appender file = files.create(name)) {
      for (String part : parts) {
        file.append(part.getBytes(UTF_8));
      }
      file.force();
    }
    files.syncDirectory();
  }

  private static String read(AuditFiles files, String name) throws IOException {
    try (InputStream in = files.read(name)) {
      return new String(in.readAllBytes(), UTF_8);
    }
  }
}

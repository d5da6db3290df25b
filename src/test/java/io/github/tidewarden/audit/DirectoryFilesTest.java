package io.github.tidewarden.audit;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class DirectoryFilesTest extends AuditFilesContract {

  @TempDir private Path stateDir;

  @Override
  AuditFiles files() {
    return new DirectoryFiles(stateDir.resolve("audit"));
  }

  @Override
  String setAside(String name) throws IOException {
    return Files.readString(stateDir.resolve("audit").resolve(name));
  }

  @Test
  void followsNoLinkAndListsNoDirectory() throws IOException {
    Path audit = Files.createDirectories(stateDir.resolve("audit"));
    Files.writeString(stateDir.resolve("elsewhere"), "x");
    Files.createSymbolicLink(audit.resolve("2026-06-01.jsonl"), stateDir.resolve("elsewhere"));
    Files.createDirectory(audit.resolve("2026-06-02.jsonl"));
    assertThat(files().list()).isEmpty();
  }
}

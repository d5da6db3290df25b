package io.github.tidewarden.audit;

import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.rehearsal.SimulatedDisk;
import java.nio.file.Path;
import java.time.Duration;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** The mark that outlives a daemon whose disk took no records. */
class BehindMarkTest {
  @TempDir Path directory;

  @Test
  void isSetAndTakenBackByRenamingOneFile() {
    BehindMark mark = new BehindMark(directory);
    mark.prepare();
    mark.prepare();
    assertThat(directory).isDirectoryContaining("glob:**audit-whole");
    assertThat(mark.isSet()).isFalse();
    mark.set();
    assertThat(new BehindMark(directory).isSet()).isTrue();
    assertThat(directory.toFile().list()).containsExactly("audit-behind");
    new BehindMark(directory).prepare();
    assertThat(new BehindMark(directory).isSet()).as("a start does not take it back").isTrue();
    mark.clear();
    assertThat(directory.toFile().list()).containsExactly("audit-whole");
  }

  @Test
  void isSetAlsoWhereItWasNotPrepared() {
    BehindMark mark = new BehindMark(directory);
    mark.set();
    assertThat(mark.isSet()).isTrue();
  }

  @Test
  void standsWhileTheDiskFailsAndGoesWhenAllIsWritten() {
    SimulatedDisk disk = new SimulatedDisk();
    AuditLog<Map<String, Object>> log = Samples.open(disk);
    BehindMark mark = new BehindMark(directory);
    mark.prepare();
    AuditThread thread = new AuditThread(log, new Answers(), mark);
    disk.failNext(0, 1_000);
    thread.start();
    AuditRecord latch = Samples.record(1);
    thread.submit(0, latch, Samples.NIGHT, false);
    await().atMost(Duration.ofSeconds(10)).until(mark::isSet);
    disk.heal();
    await().atMost(Duration.ofSeconds(10)).until(() -> !mark.isSet());
    thread.close();
    assertThat(mark.isSet()).isFalse();
  }

  @Test
  void isTakenBackAfterAStartOnceWhatTheStartSaysIsWritten() {
    BehindMark mark = new BehindMark(directory);
    mark.set();
    AuditThread thread = new AuditThread(Samples.open(new SimulatedDisk()), new Answers(), mark);
    thread.start();
    thread.submit(0, Samples.record(1), Samples.NIGHT, false);
    await().atMost(Duration.ofSeconds(10)).until(() -> !mark.isSet());
    thread.close();
  }
}

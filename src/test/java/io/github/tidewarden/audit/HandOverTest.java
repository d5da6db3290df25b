package io.github.tidewarden.audit;

import static io.github.tidewarden.audit.Samples.NIGHT;
import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Checkpoint;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.control.SiteMemory;
import io.github.tidewarden.control.TankMemory;
import java.io.IOException;
import java.time.Duration;
import java.time.Instant;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.SplittableRandom;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.Test;

/**
 * More records than may wait come while the disk hangs: lines are lost, what they say of the
 * durable state is not.
 */
class HandOverTest {

  private static final Instant EVENING = Instant.parse("2026-06-01T22:30:00.000Z");

  private static final Fold<SiteMemory> MEMORY =
      new Fold<>() {
        @Override
        public SiteMemory apply(SiteMemory state, AuditRecord record) {
          return state.apply(record);
        }

        @Override
        public Map<String, Object> checkpoint(SiteMemory state) {
          return Checkpoint.of(state);
        }
      };

  private final HeldDisk disk = new HeldDisk();
  private final SharedAnswers answers = new SharedAnswers();
  private final AuditThread thread =
      new AuditThread(
          new AuditLog<>(disk, AuditRecovery.recover(disk), SiteMemory.BLANK, MEMORY), answers);

  @AfterEach
  void end() {
    disk.letGo();
    assertThat(thread.close(Duration.ofSeconds(10))).isTrue();
  }

  @Test
  void aLatchThatComesWhileTheDiskHangsIsNotForgotten() throws IOException {
    hang();
    for (int n = 0; n < 3_000; n++) {
      thread.submit(0, trip(n, "lagoon", "air-lost"), NIGHT, false);
    }
    thread.submit(0, latched(3_001, "nursery"), NIGHT, false);

    letGoAndSettle();

    SiteMemory back = recovered();
    assertThat(back.tank("nursery").latches()).containsOnlyKeys("redox-ceiling");
    assertThat(back.tank("lagoon").counts()).containsEntry("air-lost", 3_000);
    assertThat(Readout.of(disk.disk).records)
        .filteredOn(record -> record.fields().containsKey("lost"))
        .extracting(record -> record.fields().get("lost"))
        .containsExactly(3_002L - AuditThread.MOST_HANDED_OVER);
  }

  @Test
  void aLatchThatIsOverrunByLaterRecordsIsNotForgotten() {
    hang();
    thread.submit(0, latched(1, "nursery"), NIGHT, false);
    for (int n = 2; n < 3_000; n++) {
      thread.submit(0, trip(n, "lagoon", "air-lost"), NIGHT, false);
    }
    letGoAndSettle();
    assertThat(recovered().tank("nursery").latches()).containsOnlyKeys("redox-ceiling");
  }

  @Test
  void whatPermitsIsNotOverrun() {
    hang();
    thread.submit(1, reset(1, "nursery"), NIGHT, true);
    for (int n = 2; n < 3_000; n++) {
      thread.submit(0, trip(n, "lagoon", "air-lost"), NIGHT, false);
    }
    assertThat(answers.synced()).isEmpty();
    disk.letGo();
    await().until(() -> answers.synced().contains(1L));
    assertThat(answers.failed()).doesNotContain(1L);
  }

  @Test
  void onADiskThatHangsAndFailsTheStateIsThatOfEveryRecordInItsOrder() {
    SplittableRandom random = new SplittableRandom(20261102);
    SiteMemory live = SiteMemory.BLANK.apply(latched(0, "quarantine"));
    hang();
    int n = 0;
    for (int round = 0; round < 12; round++) {
      int records = random.nextInt(2 * AuditThread.MOST_HANDED_OVER);
      for (int i = 0; i < records; i++) {
        AuditRecord record = any(++n, random);
        live = live.apply(record);
        thread.submit(0, record, NIGHT, false);
      }
      disk.fail(random.nextInt(3) == 0);
      disk.letGo();
      await().until(() -> !disk.isHeldUp());
      disk.hold();
    }
    disk.fail(false);
    letGoAndSettle();
    assertThat(Checkpoint.of(recovered()).get("tanks")).isEqualTo(Checkpoint.of(live).get("tanks"));
  }

  private void hang() {
    disk.hold();
    thread.start();
    thread.submit(0, latched(0, "quarantine"), NIGHT, false);
    await().until(disk::isHeldUp);
  }

  /** One more record, then the door opens; waits until all is on the disk or lost. */
  private void letGoAndSettle() {
    thread.submit(9_999, reset(9_999, "elsewhere"), NIGHT, true);
    disk.letGo();
    await()
        .atMost(Duration.ofSeconds(60))
        .until(
            () -> {
              if (answers.failed().contains(9_999L)) {
                answers.forget();
                thread.submit(9_999, reset(9_999, "elsewhere"), NIGHT, true);
              }
              return answers.synced().contains(9_999L);
            });
  }

  private SiteMemory recovered() {
    Recovery recovery = AuditRecovery.recover(disk.disk.afterKill());
    assertThat(recovery.trust()).isEqualTo(Recovery.Trust.GOOD);
    SiteMemory memory = Checkpoint.read(recovery.checkpoint());
    for (AuditRecord record : recovery.recordsSinceCheckpoint()) {
      memory = memory.apply(record);
    }
    Map<String, TankMemory> tanks = new LinkedHashMap<>(memory.tanks());
    tanks.remove("elsewhere"); // what settles the test is no part of its story
    return new SiteMemory(memory.boot(), memory.lastSeen(), List.of(), memory.bins(), tanks);
  }

  /** Effects that depend on their order: counts of two nights, windows, latches. */
  private static AuditRecord any(int n, SplittableRandom random) {
    String tank = random.nextBoolean() ? "lagoon" : "nursery";
    return switch (random.nextInt(4)) {
      case 0 -> record(n, tank, Kind.WINDOW_OPENED, Map.of("window", "w" + n));
      case 1 -> record(n, tank, Kind.RUN, Map.of("run", (long) n));
      case 2 -> latched(n, tank);
      default -> trip(n, tank, "name-" + random.nextInt(3));
    };
  }

  private static AuditRecord trip(int n, String tank, String name) {
    return record(n, tank, Kind.TRIP, Map.of("name", name, "latched", false));
  }

  private static AuditRecord latched(int n, String tank) {
    return record(n, tank, Kind.LATCHED, Map.of("name", "redox-ceiling", "latched", true));
  }

  private static AuditRecord reset(int n, String tank) {
    return record(
        n, tank, Kind.ACT, Map.of("act", "reset", "name", "redox-ceiling", "id", "id-" + n));
  }

  private static AuditRecord record(int n, String tank, Kind kind, Map<String, Object> more) {
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put("night", NIGHT.plusDays(n / 5_000).toString());
    fields.putAll(more);
    return new AuditRecord(
        EVENING.plusSeconds(n), true, 1_000L * n, tank, kind, "record " + n, fields);
  }
}

package io.github.tidewarden.system;

import static io.github.tidewarden.system.Rig.TANK;
import static io.github.tidewarden.system.Rig.between;
import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.FileTime;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.parallel.Execution;
import org.junit.jupiter.api.parallel.ExecutionMode;

/** The wall clock stepped under the daemon, by libfaketime; the monotonic clock goes on. */
@Execution(ExecutionMode.SAME_THREAD)
abstract class ClockStepSuite extends SystemSuite {
  private static final Duration HOUR = Duration.ofHours(1);
  private static final Duration DAY = Duration.ofDays(1);

  /** A daemon whose wall clock the test sets, and whose time service's marker it touches. */
  private static final class Clockwork {
    private final Path offset;
    private final Path marker;
    private final DaemonProcess daemon;

    Clockwork(Rig rig, String start, String from, String to) throws IOException {
      offset = rig.directory().resolve("clock");
      marker = rig.directory().resolve("synchronized");
      write(start);
      Path config = rig.directory().resolve("stepped.yaml");
      Files.writeString(
          config,
          Files.readString(rig.config())
              .replace(
                  "trusted-when: battery-backed", "trusted-when: synchronised, marker: " + marker)
              .replace(
                  "from: \"21:00\", to: \"03:00\"", "from: \"" + from + "\", to: \"" + to + "\"")
              .replaceFirst("zone: .*", start.startsWith("@") ? "zone: Europe/Lisbon" : "$0"));
      daemon =
          rig.keep(
              DaemonProcess.startUnder(
                  List.of(
                      "env",
                      "TZ=UTC",
                      "LD_PRELOAD=" + library(),
                      "FAKETIME_TIMESTAMP_FILE=" + offset,
                      "FAKETIME_CACHE_DURATION=1",
                      "FAKETIME_DONT_FAKE_MONOTONIC=1",
                      "NO_FAKE_STAT=1"),
                  rig.directory(),
                  "run",
                  "--config",
                  config.toString()));
    }

    private static Path library() throws IOException {
      try (Stream<Path> files = Files.walk(Path.of("/usr/lib"), 3)) {
        return files
            .filter(file -> file.endsWith("faketime/libfaketimeMT.so.1"))
            .findFirst()
            .orElseThrow(() -> new AssertionError("install faketime (apt-get install faketime)"));
      }
    }

    private void write(String text) throws IOException {
      Path part = offset.resolveSibling("clock.part");
      Files.writeString(part, text + "\n");
      Files.move(
          part,
          offset,
          java.nio.file.StandardCopyOption.ATOMIC_MOVE,
          java.nio.file.StandardCopyOption.REPLACE_EXISTING);
    }

    /** The wall clock is so far from the true time from now on. */
    void stepTo(Duration ahead) throws IOException {
      write((ahead.isNegative() ? "-" : "+") + ahead.abs().toSeconds() + "s");
    }

    /** The time service has set or checked the clock. */
    void synchronised(Instant wall) throws IOException {
      if (!Files.exists(marker)) {
        Files.createFile(marker);
      }
      Files.setLastModifiedTime(marker, FileTime.from(wall));
    }
  }

  @Test
  void everyStepRestsAtOnceAndNoDoseIsGivenOutsideAWindow() throws IOException {
    try (Rig rig = rig(new SiteFile())) {
      Clockwork clock = new Clockwork(rig, "+0s", "21:00", "03:00");
      awaitRecords(rig, Kind.START, 1);
      clock.synchronised(Instant.now());
      rig.awaitOn(rig.allIsWell(TANK, 320));

      // An hour on it is still inside the window: rest until the time service has spoken again.
      long step = System.nanoTime();
      clock.stepTo(HOUR);
      assertThat(between(step, rig.awaitOff(step))).isLessThan(Duration.ofSeconds(3));
      Rig.letPass(Duration.ofSeconds(4));
      assertThat(rig.seen.runs(TANK)).isFalse();
      long told = System.nanoTime();
      clock.synchronised(Instant.now().plus(HOUR));
      rig.awaitOn(told);

      // Five hours on the window is over, and stays so when the clock comes back into it.
      long out = System.nanoTime();
      clock.stepTo(HOUR.multipliedBy(5));
      rig.awaitOff(out);
      clock.synchronised(Instant.now().plus(HOUR.multipliedBy(5)));
      awaitRecords(rig, Kind.WINDOW_CLOSED, 1);
      long back = System.nanoTime();
      clock.stepTo(Duration.ZERO);
      Rig.letPass(Duration.ofSeconds(3));
      clock.synchronised(Instant.now());
      Rig.letPass(Duration.ofSeconds(5));
      assertThat(rig.seen.commandsSince(TANK, back)).noneMatch(Bystander.Heard::runs);

      // A day on there is another night's window.
      long next = System.nanoTime();
      clock.stepTo(DAY);
      Rig.letPass(Duration.ofSeconds(3));
      clock.synchronised(Instant.now().plus(DAY));
      rig.awaitOn(next);
      // A day back it is the night whose window has closed.
      long dayBack = System.nanoTime();
      clock.stepTo(Duration.ZERO);
      rig.awaitOff(dayBack);
      Rig.letPass(Duration.ofSeconds(3));
      clock.synchronised(Instant.now());
      long since = System.nanoTime();
      Rig.letPass(Duration.ofSeconds(5));
      assertThat(rig.seen.commandsSince(TANK, since)).noneMatch(Bystander.Heard::runs);
      assertThat(clock.daemon.isAlive()).isTrue();
    }
  }

  private static void awaitRecords(Rig rig, Kind kind, int atLeast) {
    // The faked clock makes the start of a Java machine slow.
    await().atMost(Duration.ofSeconds(120)).until(() -> rig.audit(kind).size() >= atLeast);
  }

  @Test
  void aStartIn1970GivesNothing() throws IOException {
    try (Rig rig = rig(new SiteFile())) {
      long began = System.nanoTime();
      // All day long, so that only the clock can forbid.
      Clockwork clock = new Clockwork(rig, "@1970-01-01 00:10:00", "00:00", "23:59");
      rig.allIsWell(TANK, 320);
      awaitRecords(rig, Kind.START, 1);
      clock.synchronised(Instant.parse("1970-01-01T00:10:05Z"));
      Rig.letPass(Duration.ofSeconds(8));
      assertThat(rig.seen.commandsSince(TANK, began)).noneMatch(Bystander.Heard::runs);
      assertThat(rig.audit(Kind.START))
          .allMatch(start -> start.at().isBefore(Instant.EPOCH.plus(DAY)));
      assertThat(rig.audit(Kind.WINDOW_OPENED)).isEmpty();
    }
  }

  /**
   * IANA time zone facts: Lisbon put its clocks back on 2025-10-26 at 01:00 UTC, from 02:00 to
   * 01:00.
   */
  @Test
  void theSecondAutumnPassOpensNothingAndTheFirstDoes() throws IOException {
    assertThat(dosesAt("2025-10-26 00:15:00")).as("01:15, the first time").isTrue();
    assertThat(dosesAt("2025-10-26 01:15:00")).as("01:15, the second time").isFalse();
  }

  private boolean dosesAt(String utc) throws IOException {
    try (Rig rig = rig(new SiteFile())) {
      Clockwork clock = new Clockwork(rig, "@" + utc, "01:00", "01:45");
      rig.allIsWell(TANK, 320);
      awaitRecords(rig, Kind.START, 1);
      long began = System.nanoTime();
      clock.synchronised(Instant.parse(utc.replace(' ', 'T') + "Z").plusSeconds(1));
      await()
          .atMost(Rig.PATIENCE)
          .until(() -> rig.audit(Kind.CLOCK).stream().anyMatch(AuditRecord::trusted));
      Rig.letPass(Duration.ofSeconds(7));
      return rig.seen.commandsSince(TANK, began).stream().anyMatch(Bystander.Heard::runs);
    }
  }
}

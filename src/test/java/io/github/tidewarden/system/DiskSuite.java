package io.github.tidewarden.system;

import static io.github.tidewarden.system.Rig.TANK;
import static io.github.tidewarden.system.Rig.between;
import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;

import io.github.tidewarden.control.Kind;
import java.io.IOException;
import java.nio.file.Files;
import java.time.Duration;
import java.util.List;
import org.junit.jupiter.api.Test;

/** A disk that is slow, and one that takes no more: rest never waits for it. */
abstract class DiskSuite extends SystemSuite {
  private static final String OTHER = "nursery";

  /** A few hundredths are usual; the rest is for a machine with other things to do. */
  private static final Duration AT_ONCE = Duration.ofMillis(900);

  @Test
  void aWriteThatTakesTwoSecondsDelaysNoRest() {
    try (Rig rig = rig(new SiteFile().tanks(TANK, OTHER))) {
      // Every sync is held for 2 s by the tracer; what a sync permits comes late, rest does not.
      DaemonProcess daemon =
          rig.keep(
              DaemonProcess.startUnder(
                  List.of(
                      "strace",
                      "-D",
                      "-f",
                      "-qq",
                      "--seccomp-bpf",
                      "-o",
                      "/dev/null",
                      "-e",
                      "trace=fsync,fdatasync",
                      "-e",
                      "inject=fsync,fdatasync:delay_enter=2000000"),
                  rig.directory(),
                  "run",
                  "--config",
                  rig.config().toString()));
      long began = rig.allIsWell(TANK, 320);
      rig.seen.awaitSwitch(TANK, true, began);
      long other = rig.allIsWell(OTHER, 320);
      long otherOn = rig.seen.awaitSwitch(OTHER, true, other);
      // Its reservation waited for the disk: so slow is it.
      assertThat(between(other, otherOn)).isGreaterThan(Duration.ofSeconds(2));

      // The lagoon's rest makes records whose sync takes 2 s; the other tank rests meanwhile.
      long top = rig.sayRedox(TANK, 366);
      assertThat(between(top, rig.seen.awaitSwitch(TANK, false, top))).isLessThan(AT_ONCE);
      long over = rig.sayRedox(OTHER, 402);
      assertThat(between(over, rig.seen.awaitSwitch(OTHER, false, over))).isLessThan(AT_ONCE);
      assertThat(daemon.isAlive()).isTrue();
    }
  }

  @Test
  void aFullDiskEndsRunsAndStartsNoneAndHoldsUpNoRest() throws IOException {
    try (Rig rig = rig(new SiteFile().tanks(TANK, OTHER))) {
      DaemonProcess daemon = rig.startProcess();
      long began = rig.allIsWell(TANK, 320);
      rig.seen.awaitSwitch(TANK, true, began);

      // From here on no file may grow. The error is EFBIG where a full disk says ENOSPC; the
      // program sees the same IOException, and the fake disk of the audit's tests says ENOSPC.
      assertThat(limitFileSize(daemon, "1")).isZero();
      long full = rig.allIsWell(OTHER, 320);
      Rig.letPass(Duration.ofSeconds(6));
      assertThat(rig.seen.switchesSince(OTHER, full)).isEmpty();

      long top = rig.sayRedox(TANK, 366);
      assertThat(between(top, rig.seen.awaitSwitch(TANK, false, top))).isLessThan(AT_ONCE);
      long low = rig.sayRedox(TANK, 320);
      Rig.letPass(Duration.ofSeconds(5));
      assertThat(rig.seen.switchesSince(TANK, low)).isEmpty();

      // The disk is well again: what waited is written, and runs are permitted again in time.
      assertThat(limitFileSize(daemon, "unlimited")).isZero();
      await().atMost(Duration.ofSeconds(90)).until(() -> !rig.audit(Kind.REST).isEmpty());
      assertThat(rig.verb("note", "--tank", TANK, "--by", "Ines", "disk mended").awaitExit())
          .isZero();
      assertThat(daemon.isAlive()).isTrue();
    }
  }

  /** A latch may have been among what the disk did not take. */
  @Test
  void killedWhileTheDiskIsFullItStartsLatched() throws Exception {
    try (Rig rig = rig(new SiteFile().tanks(TANK, OTHER))) {
      DaemonProcess daemon = rig.startProcess();
      long began = rig.allIsWell(TANK, 320);
      rig.seen.awaitSwitch(TANK, true, began);
      assertThat(limitFileSize(daemon, "1")).isZero();
      long top = rig.sayRedox(TANK, 366);
      rig.seen.awaitSwitch(TANK, false, top);
      await()
          .atMost(Rig.PATIENCE)
          .until(() -> Files.exists(rig.directory().resolve("state").resolve("audit-behind")));
      daemon.kill();

      rig.startProcess();
      await().atMost(Rig.PATIENCE).until(() -> !rig.audit(Kind.RECOVERED).isEmpty());
      assertThat(rig.audit(Kind.RECOVERED).get(0).why()).contains("what waited is lost");
      assertThat(rig.audit(Kind.RECOVERED).get(0).fields()).containsEntry("latched", true);
      await()
          .atMost(Rig.PATIENCE)
          .until(() -> Files.exists(rig.directory().resolve("state").resolve("audit-whole")));
    }
  }

  private static int limitFileSize(DaemonProcess daemon, String bytes) throws IOException {
    Process limit =
        new ProcessBuilder(
                "prlimit", "--pid", Long.toString(daemon.pid()), "--fsize=" + bytes + ":")
            .start();
    return Children.awaitEnd(limit, Duration.ofSeconds(10));
  }
}

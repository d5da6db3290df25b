package io.github.tidewarden.system;

import static io.github.tidewarden.system.Rig.REDOX_A;
import static io.github.tidewarden.system.Rig.TANK;
import static io.github.tidewarden.system.Rig.between;
import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;

import com.fasterxml.jackson.databind.JsonNode;
import io.github.tidewarden.audit.AuditVerifier;
import io.github.tidewarden.audit.DirectoryFiles;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.Random;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;

/** What survives {@code kill -9}, and what does not. */
abstract class CrashSuite extends SystemSuite {
  private static final String LATCH = "redox-ceiling";

  @Test
  void aLatchOutlivesKillAndRestartUntilTheKeeperResetsIt() {
    try (Rig rig = rig(new SiteFile())) {
      DaemonProcess daemon = rig.startProcess();
      long on = rig.awaitOn(rig.allIsWell(TANK, 320));
      assertThat(rig.seen.commandsSince(TANK, on)).isNotEmpty();

      long over = rig.sayRedox(TANK, 420);
      rig.awaitOff(over);
      await("the latch").atMost(Duration.ofSeconds(45)).until(() -> latched(rig, over));
      assertThat(between(over, System.nanoTime())).isGreaterThan(Duration.ofSeconds(29));
      assertThat(reset(rig).out()).startsWith("refused: ").contains("still stands");

      daemon.kill();
      long fell = rig.sayRedox(TANK, 320);
      String topic = "tidewarden/" + rig.site().site() + "/" + TANK + "/trip/" + LATCH;
      assertThat(rig.seen.retained(topic)).contains("\"latched\":true");

      rig.startProcess();
      rig.awaitGood(TANK, fell, "redox-a", "redox-b", "skimmer-air", "circulation");
      assertThat(latched(rig, fell)).isTrue();
      assertThat(rig.seen.retained(topic)).contains("\"latched\":true");
      // Silence itself is what is tested: longer than the daemon takes to begin when it may.
      Rig.letPass(Duration.ofSeconds(3));
      assertThat(rig.seen.commandsSince(TANK, over)).noneMatch(Bystander.Heard::runs);

      long asked = System.nanoTime();
      assertThat(reset(rig).out()).startsWith("done: ");
      rig.awaitOn(asked);
      assertThat(rig.seen.retained(topic)).isEmpty();
    }
  }

  private static boolean latched(Rig rig, long sinceNanos) {
    return rig.seen.state(TANK, sinceNanos).path("latched").toString().contains(LATCH);
  }

  private static DaemonProcess reset(Rig rig) {
    return rig.verb("reset", "--tank", TANK, "--interlock", LATCH, "--by", "Ines");
  }

  @Test
  void killedWhileDosingItLeavesTheDeviceToDropOutAndCountsNothingTooLow() throws Exception {
    Duration quantum = Duration.ofMinutes(5);
    try (Rig rig = rig(new SiteFile())) {
      DaemonProcess daemon = rig.startProcess();
      rig.awaitOn(rig.allIsWell(TANK, 320));
      rig.awaitOff(rig.say(REDOX_A, "365"));
      await("the first run's account")
          .atMost(Rig.PATIENCE)
          .until(() -> !rig.audit(Kind.SETTLED).isEmpty());
      long settled = rig.seen.onNanos(TANK);
      long spentMillis = (Long) rig.audit(Kind.SETTLED).get(0).fields().get("spent-ms");
      assertThat(TimeUnit.MILLISECONDS.toNanos(spentMillis)).isGreaterThanOrEqualTo(settled);
      assertThat(Duration.ofMillis(spentMillis))
          .isLessThan(Duration.ofNanos(settled).plusSeconds(9));

      long second = rig.awaitOn(rig.sayRedox(TANK, 320));
      await().atMost(Rig.PATIENCE).until(() -> rig.seen.commandsSince(TANK, second).size() >= 3);
      long killed = daemon.kill();
      // Expiry, lease, and the second that invariant 4 of DEVELOPERS.md allows: no slack beside
      // them.
      assertThat(between(killed, rig.awaitOff(killed)))
          .isLessThanOrEqualTo(
              Duration.ofSeconds(SiteFile.EXPIRY_SECONDS + SiteFile.LEASE_SECONDS + 1));
      assertThat(rig.seen.commandsSince(TANK, killed)).isEmpty();

      Duration ran = Duration.ofNanos(rig.seen.onNanos(TANK));
      rig.sayRedox(TANK, 350);
      Duration given = Duration.ofMillis(restarted(rig).path("given-ms").asLong());
      assertThat(given).isBetween(ran, ran.plus(quantum));

      long third = rig.awaitOn(rig.sayRedox(TANK, 320));
      long over = rig.awaitOff(rig.say(REDOX_A, "365"));
      await("the third run's account")
          .atMost(Rig.PATIENCE)
          .until(() -> rig.seen.state(TANK, over).path("ozone").asText().equals("rest"));
      Duration more = Duration.ofMillis(rig.seen.state(TANK, over).path("given-ms").asLong());
      assertThat(more).isGreaterThanOrEqualTo(given.plus(between(third, over)));
      assertSound(rig);
    }
  }

  /** What a new daemon tells of the tank once it has heard it. */
  private static JsonNode restarted(Rig rig) {
    long began = System.nanoTime();
    rig.startProcess();
    rig.awaitGood(TANK, began, "redox-a", "redox-b");
    return rig.seen.state(TANK, began);
  }

  private static void assertSound(Rig rig) throws IOException {
    AuditVerifier.Verdict verdict =
        AuditVerifier.verify(
            new DirectoryFiles(rig.directory().resolve("state").resolve("audit")), null);
    assertThat(verdict.isGood()).as("%s", verdict.firstBad()).isTrue();
  }

  @Test
  void anAuditThatIsGoneStartsLatchedUntilTheKeeperResetsIt() throws Exception {
    try (Rig rig = rig(new SiteFile())) {
      rig.allIsWell(TANK, 350);
      try (DaemonProcess first = rig.startProcess()) {
        await().atMost(Rig.PATIENCE).until(() -> !rig.audit(Kind.START).isEmpty());
        assertThat(rig.audit(Kind.RECOVERED)).isEmpty();
        first.kill();
      }
      Path audit = rig.directory().resolve("state").resolve("audit");
      try (Stream<Path> segments = Files.list(audit)) {
        for (Path segment : segments.toList()) {
          Files.delete(segment);
        }
      }
      assertThat(restarted(rig).path("latched").toString()).contains("audit-unreadable");
      assertThat(rig.audit(Kind.RECOVERED).get(0).why()).contains("no segment of it is left");
      assertThat(
              rig.verb("reset", "--tank", TANK, "--interlock", "audit-unreadable", "--by", "Ines")
                  .out())
          .startsWith("done: ");
    }
  }

  @Test
  void twentyKillsInANightDoNotPassTheAllowance() throws Exception {
    // One quantum of five minutes and a short one.
    Duration allowance = Duration.ofSeconds(340);
    Random seeded = new Random(20);
    SiteFile site = new SiteFile().mostPerNight("340 s");
    try (Rig rig = new Rig(uri(), uri(), site, Duration.ofMillis(250))) {
      rig.seen.awaitListening();
      rig.allIsWell(TANK, 320);
      int doses = 0;
      for (int kill = 0; kill < 20; kill++) {
        long began = System.nanoTime();
        try (DaemonProcess daemon = rig.startProcess()) {
          await("a moment at which it doses if it ever does")
              .atMost(Duration.ofSeconds(60))
              .pollInterval(Duration.ofMillis(20))
              .until(() -> dosed(rig, began) || wants(rig, began));
          Rig.letPass(Duration.ofMillis(seeded.nextInt(400)));
          daemon.kill();
          doses += dosed(rig, began) ? 1 : 0;
        }
      }
      assertThat(doses).isBetween(1, 2);
      rig.sayRedox(TANK, 350);
      JsonNode told = restarted(rig);
      Duration ran = Duration.ofNanos(rig.seen.onNanos(TANK));
      assertThat(ran).isPositive().isLessThanOrEqualTo(allowance);
      assertThat(Duration.ofMillis(told.path("given-ms").asLong())).isBetween(ran, allowance);
      assertThat(rig.audit(Kind.RESERVED).stream().mapToLong(CrashSuite::reserved).sum())
          .isLessThanOrEqualTo(allowance.toMillis());
      assertThat(rig.audit(Kind.START)).hasSize(21);
      assertSound(rig);
    }
  }

  private static long reserved(AuditRecord record) {
    return (Long) record.fields().get("reserve-ms");
  }

  private static boolean dosed(Rig rig, long sinceNanos) {
    return rig.seen.commandsSince(TANK, sinceNanos).stream().anyMatch(Bystander.Heard::runs);
  }

  /** Whether nothing but the allowance keeps the generator at rest. */
  private static boolean wants(Rig rig, long sinceNanos) {
    return rig.seen.state(TANK, sinceNanos).path("why").asText().contains("below the start");
  }

  @Test
  void aSecondDaemonOnTheSameStateDirectoryIsTurnedAway() {
    try (Rig rig = rig(new SiteFile())) {
      rig.startInside();
      long on = rig.awaitOn(rig.allIsWell(TANK, 320));
      DaemonProcess second = rig.startProcess();
      assertThat(second.awaitExit()).isEqualTo(75);
      assertThat(second.err()).contains("held by another daemon");
      assertThat(rig.seen.switchesSince(TANK, on)).hasSize(1);
    }
  }

  @Test
  void aDaemonOfTheSameSiteElsewhereDrivesTheFirstOneOutAtRest() {
    try (Rig rig = rig(new SiteFile())) {
      DaemonProcess first = rig.startProcess();
      rig.awaitOn(rig.allIsWell(TANK, 335));
      // In the band, where a dose that runs goes on and none begins.
      rig.sayRedox(TANK, 350);

      long taken = System.nanoTime();
      rig.startProcess(
          rig.site()
              .stateDir(rig.directory().resolve("elsewhere"))
              .write(rig.directory().resolve("elsewhere.yaml")));
      assertThat(first.awaitExit()).isEqualTo(75);
      // One rest is the newcomer's, sent as it connects; another is the first one's farewell.
      List<Bystander.Heard> sinceRest =
          rig.seen.commandsSince(TANK, taken).stream().dropWhile(Bystander.Heard::runs).toList();
      assertThat(sinceRest).hasSizeGreaterThanOrEqualTo(2).noneMatch(Bystander.Heard::runs);
      assertThat(first.err()).contains("taken");
    }
  }

  @Test
  void toldToStopItPutsEverythingToRestAndEndsWell() {
    try (Rig rig = rig(new SiteFile().tanks(TANK, "nursery"))) {
      DaemonProcess daemon = rig.startProcess();
      long lagoon = rig.awaitOn(rig.allIsWell(TANK, 320));
      rig.seen.awaitSwitch("nursery", true, rig.allIsWell("nursery", 320));
      assertThat(rig.seen.runs(TANK)).as("on since %d", lagoon).isTrue();

      long told = System.nanoTime();
      daemon.signal("TERM");
      for (String tank : rig.site().tanks()) {
        long rest = rig.seen.awaitSwitch(tank, false, told);
        assertThat(between(told, rest)).isLessThan(Duration.ofSeconds(5));
        assertThat(rig.seen.commandsSince(tank, told).get(0).payload()).isEqualTo("off");
      }
      assertThat(daemon.awaitExit()).isZero();
      assertThat(between(told, System.nanoTime())).isLessThan(Duration.ofSeconds(7));
      await().atMost(Rig.PATIENCE).until(() -> rig.seen.newest("status").contains("told to stop"));
      assertThat(rig.audit(Kind.STOP)).hasSize(1);
    }
  }

  @Test
  void aGeneratorSwitchedOnByAStrangerIsToldToRestAtOnce() {
    try (Rig rig = rig(new SiteFile())) {
      long began = System.nanoTime();
      rig.startInside();
      rig.allIsWell(TANK, 350);
      rig.awaitGood(TANK, began, "redox-a", "redox-b", "skimmer-air", "circulation");

      long foreign = System.nanoTime();
      rig.probes.once(rig.topic(TANK, "ozone/state"), "on");
      await()
          .atMost(Rig.PATIENCE)
          .pollInterval(Duration.ofMillis(10))
          .until(() -> !rig.seen.commandsSince(TANK, foreign).isEmpty());
      Bystander.Heard answer = rig.seen.commandsSince(TANK, foreign).get(0);
      assertThat(answer.payload()).isEqualTo("off");
      // Most of this is the start of the client that plays the stranger.
      assertThat(between(foreign, answer.nanos())).isLessThan(Duration.ofSeconds(2));
      assertThat(rig.awaitRecord(Kind.DEVICE, "generator-on-unasked").why()).contains("generator");
    }
  }
}

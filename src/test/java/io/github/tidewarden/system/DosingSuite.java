package io.github.tidewarden.system;

import static io.github.tidewarden.system.Rig.AIR;
import static io.github.tidewarden.system.Rig.REDOX_A;
import static io.github.tidewarden.system.Rig.REDOX_B;
import static io.github.tidewarden.system.Rig.RETURN;
import static io.github.tidewarden.system.Rig.TANK;
import static io.github.tidewarden.system.Rig.between;
import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.rehearsal.SimulatedDevice.Switch;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import org.junit.jupiter.api.Test;

/** A night's dose from the outside: readings in, commands out. */
abstract class DosingSuite extends SystemSuite {
  private static final Duration CYCLE = Duration.ofSeconds(1);

  /** A few hundredths are usual; the rest is for a machine with other things to do. */
  private static final Duration AT_ONCE = Duration.ofMillis(900);

  @Test
  void dosesWithinTheBandAndStopsAtOnceAtTheCeilingOfEitherProbe() {
    try (Rig rig = rig(new SiteFile())) {
      long began = System.nanoTime();
      rig.startInside();
      rig.say(AIR, "8");
      rig.say(RETURN, "1");
      rig.say(REDOX_A, "320");
      rig.probes.open(rig.topic(TANK, REDOX_B));
      rig.awaitGood(TANK, began, "redox-a", "skimmer-air", "circulation");
      assertThat(rig.seen.runs(TANK)).isFalse();

      long lastGuard = rig.say(REDOX_B, "320");
      long on = rig.awaitOn(lastGuard);
      assertThat(between(lastGuard, on)).isLessThanOrEqualTo(Duration.ofSeconds(2));

      // Two leases and more without a gap: renewed at a third of each.
      await()
          .atMost(Duration.ofSeconds(25))
          .until(() -> rig.seen.commandsSince(TANK, on).size() >= 8);
      assertThat(rig.seen.commandsSince(TANK, on)).allMatch(one -> one.runs() && !one.retained());
      assertThat(between(on, System.nanoTime())).isGreaterThan(Duration.ofSeconds(12));
      assertThat(rig.seen.switchesSince(TANK, on)).containsExactly(new Switch(on, true));

      long top = rig.say(REDOX_A, "365");
      assertThat(told("365 mV to OFF", top, rig.awaitOff(top))).isLessThan(AT_ONCE);

      long again = rig.say(REDOX_A, "320");
      assertThat(between(again, rig.awaitOn(again))).isLessThan(Duration.ofSeconds(4));

      long over = rig.say(REDOX_B, "400");
      assertThat(told("400 mV on one probe to OFF", over, rig.awaitOff(over))).isLessThan(AT_ONCE);
      assertThat(rig.awaitRecord(Kind.TRIP, "redox-ceiling").why()).contains("redox-b");
    }
  }

  private Duration told(String what, long from, long to) {
    Duration took = between(from, to);
    System.out.printf("%s: %s %.1f ms%n", getClass().getSimpleName(), what, took.toNanos() / 1e6);
    return took;
  }

  @Test
  void aProbeThatFallsSilentStopsTheDoseWithinItsStaleLimitAndACycle() {
    try (Rig rig = rig(new SiteFile().redox("stale-after: 4 s"))) {
      rig.startInside();
      long on = rig.awaitOn(rig.allIsWell(TANK, 320));
      await().atMost(Rig.PATIENCE).until(() -> rig.seen.commandsSince(TANK, on).size() >= 2);

      long last = rig.silence(REDOX_B);
      // The other readings wake the daemon several times a second, so no slack is needed.
      assertThat(between(last, rig.awaitOff(last)))
          .isLessThanOrEqualTo(Duration.ofSeconds(4).plus(CYCLE));
      AuditRecord silent = rig.awaitRecord(Kind.SILENT, "redox-b-silent");
      assertThat(silent.fields()).containsEntry("latched", false);
    }
  }

  @Test
  void retainedReadingsNeverStartADose() {
    try (Rig rig = rig(new SiteFile())) {
      for (String probe : List.of(REDOX_A, REDOX_B)) {
        rig.probes.once(rig.topic(TANK, probe), "320", "-r");
      }
      long began = System.nanoTime();
      rig.startInside();
      rig.say(AIR, "8");
      rig.say(RETURN, "1");
      rig.awaitGood(TANK, began, "skimmer-air", "circulation");
      // Silence itself is what is tested: long enough for several readings and a lease.
      Rig.letPass(Duration.ofSeconds(6));
      assertThat(rig.seen.commandsSince(TANK, began)).noneMatch(Bystander.Heard::runs);

      rig.awaitOn(rig.sayRedox(TANK, 320));
    }
  }

  @Test
  void requestsRetainedOrTooLargeAreRecordedAsRefusedAndNeverDone() {
    try (Rig rig = rig(new SiteFile())) {
      long began = System.nanoTime();
      rig.startInside();
      rig.allIsWell(TANK, 350);
      rig.awaitGood(TANK, began, "redox-a");
      String operate = "tidewarden/" + rig.site().site() + "/operate";
      String note =
          "{\"act\":\"note\",\"tank\":\"%s\",\"text\":\"fed\",\"by\":\"Ines\",\"id\":\"%s\",\"sent\":\"%s\"}";

      rig.probes.once(operate, note.formatted(TANK, "kept", Instant.now()), "-r");
      AuditRecord kept = rig.awaitRecord(Kind.ACT_REFUSED, "id", "kept");
      assertThat(kept.why()).isEqualTo("a retained request is never done");
      assertThat(kept.fields()).containsEntry("by", "Ines");

      rig.probes.once(operate, " ".repeat(70_000));
      AuditRecord large = rig.awaitRecord(Kind.ACT_REFUSED, "id", "");
      assertThat(large.why()).isEqualTo("the request is too large");

      rig.probes.once(operate, note.formatted(TANK, "live", Instant.now()));
      rig.awaitRecord(Kind.ACT, "id", "live");
      assertThat(rig.records(Kind.ACT)).hasSize(1);
      assertThat(rig.audit(Kind.ACT_REFUSED)).hasSize(2);
    }
  }

  @Test
  void silenceWhileIdleLatchesNothing() {
    try (Rig rig = rig(new SiteFile().redox("stale-after: 1 s, latch-when-silent: 2 s"))) {
      long began = System.nanoTime();
      rig.startInside();
      rig.allIsWell(TANK, 350);
      rig.awaitGood(TANK, began, "skimmer-air", "circulation");

      List.of(REDOX_A, REDOX_B, AIR, RETURN).forEach(rig::silence);
      Rig.letPass(Duration.ofSeconds(5));
      assertThat(rig.records(Kind.TRIP)).isEmpty();
      assertThat(rig.records(Kind.LATCHED)).isEmpty();
      assertThat(rig.records(Kind.SILENT)).isEmpty();

      rig.awaitOn(rig.allIsWell(TANK, 320));
    }
  }

  @Test
  void airLostStopsTheDoseAndLeadsWhatFollows() {
    try (Rig rig = rig(new SiteFile())) {
      rig.startInside();
      long on = rig.awaitOn(rig.allIsWell(TANK, 320));
      await().atMost(Rig.PATIENCE).until(() -> rig.seen.commandsSince(TANK, on).size() >= 2);

      long lost = rig.say(AIR, "0.4");
      assertThat(told("air lost to OFF", lost, rig.awaitOff(lost)))
          .isLessThanOrEqualTo(Duration.ofSeconds(2));
      rig.say(RETURN, "0");

      AuditRecord first = rig.awaitRecord(Kind.TRIP, "air-lost");
      assertThat(first.fields()).containsEntry("first-out", "air-lost");
      AuditRecord consequence = rig.awaitRecord(Kind.TRIP, "circulation-lost");
      assertThat(consequence.fields()).containsEntry("first-out", "air-lost");
      await()
          .atMost(Rig.PATIENCE)
          .until(() -> rig.seen.newest(TANK + "/trip/air-lost").contains("\"latched\":"));
    }
  }

  @Test
  void aProbeThatIsDeadFromTheStartKeepsOnlyItsOwnTankAtRest() {
    try (Rig rig = rig(new SiteFile().tanks(TANK, "nursery"))) {
      long began = System.nanoTime();
      rig.startInside();
      rig.probes.say(rig.topic("nursery", AIR), "8");
      rig.probes.say(rig.topic("nursery", RETURN), "1");
      rig.probes.say(rig.topic("nursery", REDOX_A), "320");
      rig.awaitOn(rig.allIsWell(TANK, 320));
      rig.awaitGood("nursery", began, "redox-a", "skimmer-air", "circulation");
      long both = System.nanoTime();
      await().atMost(Rig.PATIENCE).until(() -> rig.seen.commandsSince(TANK, both).size() >= 2);
      assertThat(rig.seen.commandsSince("nursery", began)).noneMatch(Bystander.Heard::runs);
      assertThat(rig.seen.state("nursery", began).path("why").asText()).contains("redox-b");
    }
  }
}

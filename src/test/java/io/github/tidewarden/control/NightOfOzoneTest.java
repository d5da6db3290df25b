package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.gate.Command;
import java.time.Duration;
import java.util.Map;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

/** One tank through a night, as a timed story. */
class NightOfOzoneTest {
  private Bench bench;

  @BeforeEach
  void anHourBeforeTheWindow() {
    bench = Bench.lagoon();
  }

  private void windowOpensAt(double redox) {
    bench.passesUntil(Bench.WINDOW_OPENS);
    bench.steady(2, redox, redox + 3);
  }

  @Test
  void firstCommandAfterAConnectIsRest() {
    assertThat(bench.commands).hasSize(1);
    assertThat(bench.commands.get(0).runs()).isFalse();
  }

  @Test
  void nothingRunsBeforeTheWindow() {
    bench.steady(60, 320, 322);
    assertThat(bench.commands).noneMatch(Command::runs);
  }

  @Test
  void runsWhenTheWindowOpensAndRestsAtTheEndOfTheBand() {
    windowOpensAt(320);
    assertThat(bench.runs()).isTrue();
    assertThat(bench.records(Kind.RESERVED)).hasSize(1);
    bench.steady(60, 340, 342);
    assertThat(bench.runs()).isTrue();
    bench.steady(1, 362, 365);
    assertThat(bench.runs()).isFalse();
    AuditRecord rest = bench.records(Kind.REST).get(0);
    assertThat(rest.why()).contains("redox-b 365.0 mV").contains("end of the band");
  }

  @Test
  void renewsALeaseAtAThirdOfIt() {
    windowOpensAt(320);
    int before = bench.commands.size();
    bench.steady(30, 330, 332);
    assertThat(bench.commands.size() - before).isEqualTo(3);
    assertThat(bench.commands.get(before).leaseSeconds()).isEqualTo(30);
    assertThat(bench.commands.get(before).expirySeconds()).isEqualTo(10);
  }

  @Test
  void oneProbeAtTheCeilingStopsAtOnceWhateverTheOtherSays() {
    windowOpensAt(320);
    bench.hear("lab/lagoon/redox/b", "{\"mv\":400}");
    assertThat(bench.runs()).isFalse();
    assertThat(bench.records(Kind.TRIP)).hasSize(1);
  }

  @Test
  void twentyOverTheCeilingForThirtySecondsLatches() {
    windowOpensAt(320);
    bench.steady(29, 420, 330);
    assertThat(bench.records(Kind.LATCHED)).isEmpty();
    bench.steady(3, 420, 330);
    assertThat(bench.records(Kind.LATCHED)).hasSize(1);
    bench.restarts(Duration.ZERO);
    bench.connect();
    bench.steady(1500, 320, 322);
    assertThat(bench.runs()).isFalse();
  }

  @Test
  void aSilentProbeStopsAtItsStaleLimit() {
    windowOpensAt(320);
    bench.mute.add("lab/lagoon/redox/b");
    bench.live(58);
    assertThat(bench.runs()).isTrue();
    bench.passes(Duration.ofSeconds(2));
    bench.event(new Event.Tick());
    assertThat(bench.runs()).isFalse();
    assertThat(bench.records(Kind.SILENT)).hasSize(1);
  }

  @Test
  void nothingStartsWhileTheDiskIsFull() {
    bench.disk = Bench.Disk.FULL;
    windowOpensAt(320);
    bench.steady(100, 320, 322);
    assertThat(bench.commands).noneMatch(Command::runs);
    assertThat(bench.records(Kind.RESERVED)).isEmpty();
  }

  @Test
  void theNightsAllowanceIsNeverPassed() {
    windowOpensAt(320);
    long onSeconds = 0;
    for (int second = 0; second < 5300; second++) {
      bench.steady(1, 320, 322);
      onSeconds += bench.runs() ? 1 : 0;
    }
    assertThat(onSeconds).isBetween(3500L, 3600L);
    assertThat(
            bench
                .state
                .remembered()
                .tank("lagoon")
                .spentInNightMillis(java.time.LocalDate.parse("2026-01-14")))
        .isLessThanOrEqualTo(3_600_000);
  }

  @Test
  void anUntrustedClockGivesNothing() {
    bench.trusted = false;
    windowOpensAt(320);
    bench.steady(60, 320, 322);
    assertThat(bench.commands).noneMatch(Command::runs);
  }

  @Test
  void theCheckpointGivesTheMemoryBack() {
    windowOpensAt(320);
    bench.steady(30, 330, 332);
    SiteMemory memory = bench.state.remembered();
    Map<String, Object> fields = Checkpoint.of(memory);
    assertThat(Checkpoint.of(Checkpoint.read(fields))).isEqualTo(fields);
    assertThat(fields.toString()).contains("open-run");
  }

  @Test
  void aPastThatCannotBeReadLatchesAndCountsADayAsSpent() {
    Site.Result result =
        bench.site.boot(
            SiteMemory.BLANK, "boot-2", "a line was altered", false, Map.of(), bench.now());
    TankMemory memory = result.state().remembered().tank("lagoon");
    assertThat(memory.latches()).containsKey(TankMemory.UNREADABLE);
    assertThat(memory.spentIn24hMillis("boot-2", bench.now())).isEqualTo(240 * 60_000);
    bench.passes(Duration.ofHours(23));
    assertThat(memory.spentIn24hMillis("boot-2", bench.now())).isEqualTo(240 * 60_000);
    bench.passes(Duration.ofHours(2));
    assertThat(memory.spentIn24hMillis("boot-2", bench.now())).isZero();
  }
}

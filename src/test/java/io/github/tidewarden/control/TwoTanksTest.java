package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.gate.Command;
import java.time.Duration;
import java.util.List;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

/**
 * Two tanks in one room: each for itself, and both for the room (invariant 12 of DEVELOPERS.md).
 */
class TwoTanksTest {
  private Bench bench;

  @BeforeEach
  void bothRun() {
    bench =
        new Bench(
            Specs.site(Specs.lagoon(), Specs.lagoon("reef", "lab/reef")),
            Bench.WINDOW_OPENS.minusSeconds(3600));
    bench.connect();
    bench.windowOpens();
    assertThat(bench.runs("lagoon")).isTrue();
    assertThat(bench.runs("reef")).isTrue();
  }

  private List<String> since(int before) {
    return bench.commands.subList(before, bench.commands.size()).stream()
        .map(Command::toString)
        .toList();
  }

  @Test
  void roomOzoneStopsEveryGeneratorOfTheRoomInTheSameStep() {
    int before = bench.commands.size();
    bench.hear("lab/gallery/ozone", "100");
    assertThat(since(before)).containsExactly("lagoon/generator rest", "reef/generator rest");
    bench.says("lab/gallery/ozone", "130").live(31);
    assertThat(bench.memory("lagoon").latches()).containsOnlyKeys("room-ozone");
    assertThat(bench.memory("reef").latches()).containsOnlyKeys("room-ozone");
  }

  @Test
  void aTripOfOneIsNoBusinessOfTheOther() {
    bench.steady(60, 425, 424);
    assertThat(bench.runs("lagoon")).isFalse();
    assertThat(bench.runs("reef")).isTrue();
    assertThat(bench.memory("reef").latches()).isEmpty();
    assertThat(bench.memory("reef").counts()).isEmpty();
  }

  @Test
  void aCommandGoesToTheTanksOwnTopicOnly() {
    bench.live(200);
    assertThat(bench.commands)
        .allSatisfy(c -> assertThat(c.topic()).isEqualTo("lab/" + c.tank() + "/ozone/set"));
    assertThat(bench.site.topics())
        .containsExactly(
            "lab/gallery/ozone",
            "lab/lagoon/air",
            "lab/lagoon/ozone/state",
            "lab/lagoon/redox/a",
            "lab/lagoon/redox/b",
            "lab/reef/air",
            "lab/reef/ozone/state",
            "lab/reef/redox/a",
            "lab/reef/redox/b");
  }

  @Test
  void theTalkOfOneNeverPutsOffTheOther() {
    bench.live(1);
    long last = bench.real;
    int before = bench.commands.size();
    bench.onlyHears("lab/lagoon/redox/a", Duration.ofSeconds(29));
    assertThat(since(before)).filteredOn(c -> c.startsWith("reef/generator run")).hasSize(3);
    bench.onlyHears("lab/lagoon/redox/a", Duration.ofSeconds(2));
    // The air flow of both tanks is 30 s old, to the nanosecond; nothing else happened then.
    assertThat(bench.generators.get("reef").spans)
        .last()
        .satisfies(span -> assertThat(span[1] - last).isEqualTo(Duration.ofSeconds(29).toNanos()));
  }

  @Test
  void theirReservationsAreToldApart() {
    bench.live(2); // what a probe does from here on is no pick-up
    bench.steady(1, 366, 366);
    bench.says("lab/reef/redox/a", "366").live(1);
    bench.disk = Bench.Disk.HANGS;
    bench.redox(320, 322);
    bench.says("lab/reef/redox/a", "320").live(1000);
    assertThat(bench.records(Kind.RESERVED)).hasSize(4);
    bench.says("lab/reef/redox/a", "350").live(1);
    bench.syncs();
    assertThat(bench.runs("lagoon")).isTrue();
    assertThat(bench.runs("reef")).isFalse();
  }

  @Test
  void aResetOfOneIsNoResetOfTheOther() {
    bench.says("lab/gallery/ozone", "130").live(31);
    bench.says("lab/gallery/ozone", "3").live(1);
    bench.event(
        new Event.Asked(
            KeeperActTest.request(1, "reset", "reef", "room-ozone", "", "rosa", "1", bench.wall)));
    assertThat(bench.memory("reef").latches()).isEmpty();
    assertThat(bench.memory("lagoon").latches()).containsOnlyKeys("room-ozone");
  }

  @Test
  void whatTheOtherTankHearsChangesNothing() {
    Bench alone =
        new Bench(
            Specs.site(Specs.lagoon(), Specs.lagoon("reef", "lab/reef")),
            Bench.WINDOW_OPENS.minusSeconds(3600));
    alone.connect();
    alone.windowOpens();
    for (int second = 0; second < 600; second++) {
      bench.hear("lab/lagoon/redox/a", second % 7 == 0 ? "999999" : "{{{{");
      bench.hear("lab/lagoon/ozone/state", "{\"on\":" + (second % 5 == 0) + "}");
      bench.live(1);
      alone.live(1);
    }
    assertThat(of(bench, "reef")).isNotEmpty().isEqualTo(of(alone, "reef"));
    assertThat(of(bench, "lagoon")).isNotEqualTo(of(alone, "lagoon"));
  }

  private static List<String> of(Bench bench, String tank) {
    return bench.records.stream()
        .filter(r -> r.tank().equals(tank))
        .map(AuditRecord::toString)
        .toList();
  }

  @Test
  void aRestartOfBothGivesEachItsOwnBack() {
    bench.live(30);
    bench.says("lab/reef/redox/a", "421").live(40);
    bench.restarts(Duration.ofSeconds(2));
    assertThat(bench.memory("reef").latches()).containsOnlyKeys("redox-ceiling");
    assertThat(bench.memory("lagoon").latches()).isEmpty();
  }
}

package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.gate.Command;
import java.time.Duration;
import java.time.LocalDate;
import java.util.List;
import org.junit.jupiter.api.Test;

/** A step that throws puts its tank to rest, latched, and no other (DEVELOPERS.md, D21). */
class FaultTest {
  private static final LocalDate NIGHT = LocalDate.parse("2026-01-14");

  /** A pointer that the parser throws on, not one that finds nothing. */
  private static final String BROKEN = "not a pointer";

  /** The lagoon, whose second probe makes the core throw, and the reef beside it. */
  private final Bench bench =
      new Bench(
          Specs.site(
              Specs.withSensors(
                  Specs.lagoon(), s -> s.name().equals("redox-b") ? Specs.pointed(s, BROKEN) : s),
              Specs.lagoon("reef", "lab/reef")),
          Bench.WINDOW_OPENS.minusSeconds(3600));

  private void lagoonRunsWith(String... topics) {
    bench.mute.clear();
    bench.mute.addAll(List.of(topics));
  }

  @Test
  void oneTanksFaultPutsItToRestAndLatchesItAndTheOtherGoesOn() {
    bench.connect();
    bench.windowOpens();
    bench.live(60);
    assertThat(bench.memory("lagoon").latches()).containsOnlyKeys("internal-fault");
    AuditRecord fault = bench.last(Kind.FAULT);
    assertThat(fault.tank()).isEqualTo("lagoon");
    assertThat(fault.why()).startsWith("a step failed: java.lang.IllegalArgumentException");
    assertThat(fault.fields()).containsEntry("latched", true).containsEntry("night", "2026-01-14");
    assertThat(bench.runs("lagoon")).isFalse();
    assertThat(bench.runs("reef")).isTrue();
    assertThat(bench.memory("reef").latches()).isEmpty();
  }

  @Test
  void aFaultIsToldOnceHoweverOftenItsCauseComes() {
    bench.connect();
    bench.live(600);
    assertThat(bench.records(Kind.FAULT)).hasSize(1);
  }

  @Test
  void theTanksTopicsSayThatItFailedNowAndAfterAConnect() {
    bench.connect();
    bench.live(5);
    for (int connect = 0; connect < 2; connect++) {
      assertThat(bench.told("lagoon/trip/internal-fault")).containsEntry("latched", true);
      assertThat(bench.told("lagoon/state"))
          .containsEntry("ozone", "rest")
          .containsEntry("latched", List.of("internal-fault"));
      bench.told.clear();
      int before = bench.commands.size();
      bench.event(new Event.LinkUp());
      assertThat(bench.commands.subList(before, bench.commands.size()))
          .extracting(Command::toString)
          .contains("lagoon/generator rest");
    }
  }

  @Test
  void itStaysSoOverARestart() {
    bench.connect();
    bench.live(5);
    bench.reboots(Duration.ofMinutes(1));
    bench.connect();
    lagoonRunsWith("lab/lagoon/redox/b");
    bench.live(5);
    assertThat(bench.memory("lagoon").latches()).containsOnlyKeys("internal-fault");
  }

  /** Runs on a bench whose lagoon throws only when its state topic speaks. */
  private static Bench throwsOnState() {
    TankSpec lagoon = Specs.lagoon();
    io.github.tidewarden.interlock.ConfirmSpec was = lagoon.confirms().get("generator");
    TankSpec broken =
        new TankSpec(
            lagoon.name(),
            lagoon.waterLitres(),
            lagoon.room(),
            lagoon.sensors(),
            lagoon.actuators(),
            java.util.Map.of(
                "generator",
                new io.github.tidewarden.interlock.ConfirmSpec(
                    was.topic(), BROKEN, was.onText(), was.offText(), 3_600_000_000_000L)),
            lagoon.interlocks(),
            lagoon.ozone(),
            null,
            lagoon.without(),
            lagoon.care());
    Bench bench = new Bench(Specs.site(broken), Bench.WINDOW_OPENS.minusSeconds(3600));
    bench.mute.add(was.topic());
    bench.connect();
    bench.windowOpens();
    return bench;
  }

  private static void reset(Bench bench, String id) {
    bench.event(
        new Event.Asked(
            KeeperActTest.request(
                1, "reset", "lagoon", "internal-fault", "looked at it", "rosa", id, bench.wall)));
  }

  @Test
  void aRunThatEndsInAFaultSpendsAllThatWasReservedForIt() {
    Bench one = throwsOnState();
    one.live(290);
    assertThat(one.runs()).isTrue();
    one.hear("lab/lagoon/ozone/state", "{\"on\":true}");
    assertThat(one.runs()).isFalse();
    assertThat(one.commands.get(one.commands.size() - 1).runs()).isFalse();
    long spent = one.memory().spentInNightMillis(NIGHT);
    assertThat(spent).isGreaterThan(300_000);
    reset(one, "1");
    one.live(60);
    assertThat(one.memory().spentInNightMillis(NIGHT))
        .as("a reset gives nothing back")
        .isEqualTo(spent);
    one.live(700);
    assertThat(one.last(Kind.RUN).fields()).containsEntry("run", 2L);
  }

  @Test
  void aReservationOnItsWayIsSpentByAFault() {
    Bench one = throwsOnState();
    one.steady(1, 366, 340);
    one.disk = Bench.Disk.HANGS;
    one.steady(950, 320, 322);
    assertThat(one.records(Kind.RESERVED)).hasSize(2);
    long before = one.memory().spentInNightMillis(NIGHT);
    one.hear("lab/lagoon/ozone/state", "{\"on\":true}");
    one.syncs();
    assertThat(one.commands.get(one.commands.size() - 1).runs()).isFalse();
    assertThat(one.memory().spentInNightMillis(NIGHT)).isEqualTo(before + 300_000);
  }

  @Test
  void aLinkThatIsLostByAStepThatThrowsIsLost() {
    bench.connect();
    lagoonRunsWith("lab/lagoon/redox/b");
    bench.live(5);
    bench.event(new Event.LinkDown("gone"));
    bench.hear("lab/lagoon/redox/b", "{}");
    bench.event(new Event.LinkUp());
    assertThat(bench.state.tanks().get("lagoon").linkUp()).isTrue();
    bench.event(new Event.LinkDown("gone"));
    assertThat(bench.state.tanks().get("lagoon").linkUp()).isFalse();
  }

  @Test
  void theResetTankStartsAnewWithItsShortestRest() {
    Bench one = throwsOnState();
    one.hear("lab/lagoon/ozone/state", "{\"on\":true}");
    reset(one, "1");
    assertThat(one.answers)
        .last()
        .isEqualTo(new Effect.Answer(1, true, "rosa reset internal-fault: looked at it"));
    one.live(590);
    assertThat(one.runs()).isFalse();
    one.live(15);
    assertThat(one.runs()).isTrue();
    assertThat(one.told("lagoon/trip/internal-fault")).isEmpty();
  }

  @Test
  void aWindowThatPassesWhileTheTankHasFailedIsMissed() {
    Bench one = throwsOnState();
    one.hear("lab/lagoon/ozone/state", "{\"on\":true}");
    one.passes(Duration.ofDays(1));
    one.passes(Duration.ofHours(6));
    reset(one, "1");
    one.live(2);
    assertThat(one.field(Kind.MISSED, "window")).containsExactly("2026-01-15#0");
    assertThat(one.field(Kind.WINDOW_CLOSED, "window")).containsExactly("2026-01-14#0");
  }
}

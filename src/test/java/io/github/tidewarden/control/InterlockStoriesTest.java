package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.List;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** The standard interlocks of ozone and the rules of silence through a whole night. */
class InterlockStoriesTest {
  private Bench bench;

  @BeforeEach
  void aRunHasBegun() {
    aRunHasBegun(Specs.lagoon());
  }

  private void aRunHasBegun(TankSpec tank) {
    bench = new Bench(Specs.site(tank), Bench.WINDOW_OPENS.minusSeconds(3600));
    bench.connect();
    bench.windowOpens();
    bench.live(2); // what a probe does from here on is no pick-up
    assertThat(bench.runs()).isTrue();
  }

  private void itIsNoon() {
    bench = new Bench(Specs.site(Specs.lagoon()), Bench.WINDOW_OPENS.plus(Duration.ofHours(12)));
    bench.connect();
    bench.live(5);
  }

  private List<String> trips() {
    return bench.records(Kind.TRIP).stream()
        .map(r -> r.fields().get("name") + " by " + r.fields().get("first-out"))
        .toList();
  }

  private static String json(double millivolts) {
    return "{\"mv\":" + millivolts + "}";
  }

  // Redox ceiling (F30).

  @ParameterizedTest
  @CsvSource({"399.99999999999994, true", "400, false", "400.00000000000006, false"})
  void atTheCeilingOnOneProbeItRestsInTheSameStep(String redox, boolean runs) {
    int before = bench.commands.size();
    bench.hear("lab/lagoon/redox/b", "{\"mv\":" + redox + "}");
    if (runs) {
      assertThat(bench.last(Kind.REST).why()).as("only the band ends it").contains("of the band");
    } else {
      assertThat(bench.commands.get(before).runs()).isFalse();
      assertThat(trips()).containsExactly("redox-ceiling by redox-ceiling");
    }
  }

  @Test
  void afterTheCeilingItRunsAgainBelowTheBandAfter10Minutes() {
    bench.steady(5, 401, 380);
    bench.steady(1200, 350, 350);
    assertThat(bench.records(Kind.CLEARED)).isEmpty();
    bench.steady(1, 339, 339);
    assertThat(bench.field(Kind.CLEARED, "name")).containsExactly("redox-ceiling");
    bench.steady(598, 320, 322);
    assertThat(bench.runs()).isFalse();
    bench.steady(3, 320, 322);
    assertThat(bench.runs()).isTrue();
    assertThat(bench.memory().latches()).isEmpty();
  }

  @Test
  void theThirdTimeAtTheCeilingInANightLatchesOverARestart() {
    for (int time = 1; time <= 3; time++) {
      assertThat(bench.memory().latches()).isEmpty();
      bench.steady(2, 401, 380);
      bench.steady(2, 320, 322);
      bench.restarts(Duration.ofSeconds(1));
      bench.connect();
      bench.live(2);
    }
    assertThat(bench.memory().latches()).containsOnlyKeys("redox-ceiling");
    assertThat(bench.records(Kind.TRIP)).hasSize(3);
    bench.live(1800);
    assertThat(bench.runs()).isFalse();
  }

  @Test
  void twoTimesInOneNightAndTwoInTheNextLatchNothing() {
    for (int night = 0; night < 2; night++) {
      for (int time = 0; time < 2; time++) {
        bench.steady(2, 401, 380);
        bench.steady(2, 320, 322);
      }
      bench.passes(Duration.ofHours(24));
    }
    assertThat(bench.records(Kind.TRIP)).hasSize(4);
    assertThat(bench.memory().latches()).isEmpty();
  }

  @Test
  void aLatchOutlastsEverythingButAReset() {
    bench.steady(40, 421, 400);
    bench.reboots(Duration.ofDays(3));
    bench.connect();
    bench.redox(320, 322);
    bench.live(4000);
    assertThat(bench.memory().latches()).containsOnlyKeys("redox-ceiling");
    assertThat(bench.last(Kind.REFUSED).why()).startsWith("redox-ceiling: latched: redox-a 421.0");
  }

  /** F31: redox that rises without ozone. */
  @Test
  void redoxThatRisesWithoutOzoneTripsToo() {
    itIsNoon();
    bench.steady(40, 421, 400);
    assertThat(bench.memory().latches()).containsOnlyKeys("redox-ceiling");
  }

  // Redox low, probes apart.

  @Test
  void redoxLowMayNotStartAndIsANotice() {
    aRunHasBegun(Specs.with(Specs.lagoon(), Specs.redoxLow()));
    bench.steady(1, 200, 203);
    assertThat(bench.runs()).isFalse();
    bench.steady(1000, 150, 152);
    assertThat(bench.field(Kind.NOTICE, "name")).containsExactly("redox-low");
    assertThat(bench.runs()).isFalse();
    assertThat(bench.records(Kind.TRIP)).isEmpty();
    bench.steady(1, 320, 322);
    assertThat(bench.runs()).isTrue();
  }

  @Test
  void probes30ApartAreToldAfterAMinuteAndStopNothing() {
    aRunHasBegun(Specs.with(Specs.lagoon(), Specs.probesApartNotice()));
    bench.steady(59, 300, 330);
    assertThat(bench.records(Kind.NOTICE)).isEmpty();
    bench.live(2);
    assertThat(bench.field(Kind.NOTICE, "name")).containsExactly("probes-apart-notice");
    assertThat(bench.runs()).isTrue();
  }

  @Test
  void probes60ApartRestAndLatchAfter10Minutes() {
    aRunHasBegun(Specs.with(Specs.lagoon(), Specs.probesApart()));
    bench.steady(1, 270, 330);
    assertThat(bench.runs()).isFalse();
    assertThat(trips()).containsExactly("probes-apart by probes-apart");
    bench.live(598);
    assertThat(bench.memory().latches()).isEmpty();
    bench.live(3);
    assertThat(bench.memory().latches()).containsOnlyKeys("probes-apart");
  }

  // Electrical pick-up (F67).

  private void aRunHasBegunAt338And336(TankSpec tank) {
    bench = new Bench(Specs.site(tank), Bench.WINDOW_OPENS.minusSeconds(3600));
    bench.connect();
    bench.redox(338, 336).windowOpens();
    assertThat(bench.runs()).isTrue();
  }

  /** With probes-apart the first probe's jump ends the run before the second one is heard. */
  @ParameterizedTest
  @ValueSource(booleans = {false, true})
  void probesThatJumpWithTheGeneratorEndTheRunAndLatchOnceTheyAreBack(boolean watchedApart) {
    aRunHasBegunAt338And336(
        watchedApart ? Specs.with(Specs.lagoon(), Specs.probesApart()) : Specs.lagoon());
    int before = bench.commands.size();
    bench.redox(272, 270).live(1);
    assertThat(bench.commands.get(before).runs()).isFalse();
    assertThat(bench.last(Kind.REST).why())
        .startsWith(
            watchedApart
                ? "probes-apart: "
                : "pick-up: redox-a 338.0 mV to 272.0 mV, redox-b 336.0 mV to 270.0 mV within 3 s");
    assertThat(bench.memory().latches()).isEmpty();

    bench.redox(337, 335).live(1);
    assertThat(bench.memory().latches()).containsOnlyKeys("pick-up");
    assertThat(bench.last(Kind.LATCHED).why())
        .startsWith("redox-a 338.0 mV to 272.0 mV and back to 337.0 mV, redox-b 336.0 mV to 270.0")
        .contains("keep their leads away from its mains lead, earth the water, check the probes");
    assertThat(bench.told("lagoon/trip/pick-up")).containsEntry("latched", true);

    bench.restarts(Duration.ofSeconds(20));
    bench.connect();
    bench.redox(320, 322).live(1500);
    assertThat(bench.memory().latches()).containsOnlyKeys("pick-up");
    assertThat(bench.runs()).isFalse();
    assertThat(bench.last(Kind.REFUSED).why()).startsWith("pick-up: latched: redox-a 338.0 mV");

    bench.event(
        new Event.Asked(
            KeeperActTest.request(
                1, "reset", "lagoon", "pick-up", "earthed", "rosa", "a1", bench.wall)));
    assertThat(bench.answers.get(0))
        .isEqualTo(new Effect.Answer(1, true, "rosa reset pick-up: earthed"));
    assertThat(bench.told("lagoon/trip/pick-up")).isEmpty();
    bench.live(3);
    assertThat(bench.runs()).isTrue();
  }

  @Test
  void probesThatJumpAndStayEndTheRunAndAreANotice() {
    aRunHasBegunAt338And336(Specs.lagoon());
    bench.steady(7, 272, 270);
    assertThat(bench.field(Kind.NOTICE, "name")).containsExactly("pick-up");
    assertThat(bench.memory().latches()).isEmpty();
    bench.live(880);
    assertThat(bench.runs()).as("15 min from start to start").isFalse();
    bench.live(20);
    assertThat(bench.runs()).isTrue();
    bench.live(60);
    assertThat(bench.records(Kind.NOTICE)).hasSize(1);
  }

  @ParameterizedTest
  @CsvSource({"0, 338", "1, 272", "3, 320"})
  void probesThatDieWithTheGeneratorLatchNothing(int jumpedSeconds, double after) {
    aRunHasBegunAt338And336(Specs.lagoon());
    bench.steady(jumpedSeconds, 272, 270);
    bench.says("lab/lagoon/redox/a", "nan").says("lab/lagoon/redox/b", json(-2000)).live(3);
    bench.steady(900, after, after - 2);
    assertThat(bench.memory().latches()).isEmpty();
    assertThat(bench.records(Kind.LATCHED)).isEmpty();
  }

  // Air lost, first-out and consequences (F26, F62).

  @Test
  void airLostRestsAtOnceTripsAfter5SecondsAndLatchesAfter30() {
    bench.says("lab/lagoon/air", "3.0").live(1);
    assertThat(bench.runs()).isFalse();
    assertThat(bench.last(Kind.REST).why())
        .isEqualTo("air-lost: skimmer-air 3.00 L/min, limit 3.00 L/min or under");
    assertThat(trips()).isEmpty();
    bench.live(5);
    assertThat(trips()).containsExactly("air-lost by air-lost");
    bench.live(23);
    assertThat(bench.memory().latches()).isEmpty();
    bench.live(2);
    assertThat(bench.memory().latches()).containsOnlyKeys("air-lost");
  }

  @Test
  void whatFollowsTheFirstOutIsMarkedAsItsConsequence() {
    bench.says("lab/lagoon/air", "0").live(10);
    bench.steady(5, 401, 390);
    bench.says("lab/gallery/ozone", "150").live(40);
    assertThat(trips())
        .containsExactly(
            "air-lost by air-lost", "redox-ceiling by air-lost", "room-ozone by air-lost");
    assertThat(bench.last(Kind.TRIP).fields())
        .containsEntry("stops", List.of("ozone"))
        .containsKeys("signals", "limits", "allowance-left-ms", "window-left-ms");
  }

  @Test
  void airThatIsOffByDayNeitherTripsNorLatches() {
    itIsNoon();
    bench.says("lab/lagoon/air", "0").live(3600);
    assertThat(trips()).isEmpty();
    assertThat(bench.memory().latches()).isEmpty();
  }

  // Room ozone (F29).

  @Test
  void roomOzoneAt100ppbStopsAtOnceAndLatchesAfter30Seconds() {
    bench.says("lab/gallery/ozone", "100").live(1);
    assertThat(bench.runs()).isFalse();
    bench.live(28);
    assertThat(bench.memory().latches()).isEmpty();
    bench.live(2);
    assertThat(bench.memory().latches()).containsOnlyKeys("room-ozone");
  }

  @Test
  void aRoomSensorThatSaysNothingStops() {
    bench.mute.add("lab/gallery/ozone");
    bench.live(61);
    assertThat(bench.runs()).isFalse();
    assertThat(bench.field(Kind.SILENT, "name")).containsExactly("room-ozone-silent");
  }

  // Silence and bad quality.

  private void losesAProbeInARun() {
    bench.live(5);
    assertThat(bench.runs()).isTrue();
    bench.hear("lab/lagoon/redox/a", "nan");
    assertThat(bench.runs()).isFalse();
  }

  @Test
  void theThirdLossInANightLatchesOverARestart() {
    losesAProbeInARun();
    bench.live(900);
    losesAProbeInARun();
    bench.restarts(Duration.ofSeconds(1));
    bench.connect();
    bench.live(900);
    assertThat(bench.memory().latches()).isEmpty();
    losesAProbeInARun();
    assertThat(bench.memory().latches()).containsOnlyKeys("redox-a-silent");
    bench.live(900);
    assertThat(bench.runs()).isFalse();
  }

  @Test
  void lossesByDayCostNoNight() {
    itIsNoon();
    for (int loss = 0; loss < 20; loss++) {
      bench.hear("lab/lagoon/redox/a", "-2000");
      bench.live(30);
      bench.event(new Event.LinkDown("noon"));
      bench.live(100);
      bench.event(new Event.LinkUp());
      bench.live(30);
    }
    assertThat(bench.records(Kind.SILENT)).isEmpty();
    assertThat(bench.memory().latches()).isEmpty();
    bench.passesUntil(Bench.WINDOW_OPENS.plus(Duration.ofDays(1)));
    bench.live(4);
    assertThat(bench.runs()).isTrue();
  }

  @Test
  void aLossThatOutlastsItsLimitLatchesThoughTheWindowIsOver() {
    TankSpec tank =
        Specs.withSensors(Specs.lagoon(), s -> Specs.latchedWhenSilent(s, Duration.ofMinutes(30)));
    bench = new Bench(Specs.site(tank), Bench.WINDOW_OPENS.minusSeconds(3600));
    bench.connect();
    bench.passesUntil(Bench.WINDOW_CLOSES.minusSeconds(600));
    bench.live(60);
    assertThat(bench.runs()).isTrue();
    bench.mute.add("lab/lagoon/redox/a");
    bench.live(60 + 1798);
    assertThat(bench.memory().latches()).isEmpty();
    bench.live(2);
    assertThat(bench.memory().latches()).containsOnlyKeys("redox-a-silent");
  }

  /** SAFETY.md F02, and invariant 11 of DEVELOPERS.md. */
  @ParameterizedTest
  @ValueSource(
      strings = {
        "",
        "null",
        "NaN",
        "Infinity",
        "-2000",
        "0",
        "49.9",
        "700.1",
        "3e400",
        "0x140",
        "320 mV",
        "{\"mv\":320}",
        "3,2",
        "true",
        "\u0663\u0662\u0660",
        "320;320"
      })
  void nothingThatIsNoPlausibleNumberLetsItRun(String payload) {
    bench.hear("lab/lagoon/redox/a", payload);
    assertThat(bench.runs()).isFalse();
    bench.says("lab/lagoon/redox/a", payload).live(1000);
    assertThat(bench.runs()).isFalse();
  }

  @Test
  void aSteadyReadingIsALiveProbe() {
    bench.steady(300, 330, 331);
    assertThat(bench.runs()).isTrue();
  }

  /** F09: with a sequence configured, a message that comes again buys no time. */
  @Test
  void aRepeatedMessageDoesNotMakeAValueYounger() {
    TankSpec tank =
        Specs.withSensors(
            Specs.lagoon(), s -> s.name().equals("redox-b") ? Specs.sequenced(s, "/mv") : s);
    bench = new Bench(Specs.site(tank), Bench.WINDOW_OPENS.minusSeconds(3600));
    bench.connect();
    bench.passesUntil(Bench.WINDOW_OPENS);
    for (int seq = 1; seq <= 10; seq++) {
      bench.says("lab/lagoon/redox/b", "{\"mv\":322,\"seq\":" + seq + "}").live(1);
    }
    assertThat(bench.runs()).isTrue();
    bench.live(58);
    assertThat(bench.runs()).isTrue();
    bench.says("lab/lagoon/redox/b", "{\"mv\":322,\"seq\":4}").live(3);
    assertThat(bench.runs()).isFalse();
    assertThat(bench.last(Kind.SILENT).why()).startsWith("redox-b is silent for 60 s");
  }

  // Refusals are told when they change, and not without end.

  @Test
  void aSignalThatFlapsDoesNotFloodTheAudit() {
    bench.hear("lab/lagoon/redox/a", "x");
    int before = bench.records.size();
    for (int flap = 0; flap < 300; flap++) {
      bench.live(1);
      bench.hear("lab/lagoon/redox/a", flap % 2 == 0 ? "x" : json(1));
      bench.hear("lab/lagoon/air", flap % 3 == 0 ? "x" : "5");
    }
    assertThat(bench.records.size() - before).as("in 5 min").isLessThan(4 * 30 + 10);
  }

  @Test
  void refusalsNameEveryCauseAndAreWrittenWhenTheyChange() {
    bench.says("lab/gallery/ozone", "120").live(20);
    assertThat(bench.records(Kind.REFUSED)).hasSize(1);
    bench.mute.add("lab/lagoon/air");
    bench.live(31);
    assertThat(bench.records(Kind.REFUSED)).hasSizeBetween(2, 3);
    assertThat(bench.last(Kind.REFUSED).fields().get("causes").toString())
        .contains("room-ozone")
        .contains("skimmer-air");
    assertThat(bench.commands.get(bench.commands.size() - 1).runs()).isFalse();
  }
}

package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.config.ConfigException;
import io.github.tidewarden.config.ConfigReader;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

/**
 * What a keeper's own file brings by its sensors, through the core: each guard stands, a run ends,
 * and it comes back as the pages say.
 */
class GuardStoriesTest {
  private static final String SITE =
      """
      site: harbour-lab
      zone: Europe/Lisbon
      state-dir: /var/lib/tidewarden
      clock: { trusted-when: battery-backed }
      broker: { url: "mqtt://localhost:1883" }
      hard-limits: { redox-ceiling: 430 mV, ozone-per-24h: 120 min, longest-drop-out: 60 s,
        exchange-per-24h: 10 %, imbalance: 0.5 % }
      device-kinds:
        relay: { send-on: '{"on":true,"for":{seconds}}', send-off: '{"on":false}', drop-out: 30 s,
          confirm: { pointer: /on, "on": "true", "off": "false", within: 5 s } }
      rooms:
        gallery: { room-ozone: { topic: lab/gallery/ozone, measures: ozone-in-air, unit: ppb } }
      tanks:
        lagoon:
          water: 340 L
          room: gallery
          sensors:
            redox-a: { topic: lab/lagoon/redox/a, measures: redox }
            redox-b: { topic: lab/lagoon/redox/b, measures: redox, pointer: /mv }
            skimmer-air: { topic: lab/lagoon/air, measures: air-flow, unit: L/min, low: 3 L/min }
            circulation: { topic: lab/lagoon/return, measures: running,
              states: { running: "1", stopped: "0" } }
            sump: { topic: lab/lagoon/sump, measures: level, unit: mm, keep-between: [180 mm, 240 mm] }
            cup: { topic: lab/lagoon/cup, measures: level, unit: mm, keep-between: [0 mm, 200 mm] }
            floor: { topic: lab/lagoon/floor, measures: leak, states: { wet: "wet", dry: "dry" } }
          ozone:
            generator: { kind: relay, topic: lab/lagoon/ozone/set, state: lab/lagoon/ozone/state,
              rated-output: 50 mg/h }
            windows: [ { from: "01:30", to: "03:00" } ]
            most-per-night: 60 min
            reference: Ag/AgCl 3 M KCl
            band: { start-below: 340 mV, stop-above: 365 mV }
            ceiling: 400 mV
          without: { probe-calibration: checked by hand }
          interlocks:
            cup-full: { signal: cup, above: 120 mm, latch: true, stops: [ozone] }
      """;

  private Bench bench;

  @BeforeEach
  void aRunHasBegun() throws ConfigException {
    SiteSpec site =
        ConfigReader.read(Path.of("lab.yaml"), SITE.getBytes(StandardCharsets.UTF_8)).site();
    bench = new Bench(site, Bench.WINDOW_OPENS.minusSeconds(3600));
    bench.says("lab/gallery/ozone", "3").says("lab/lagoon/air", "5").says("lab/lagoon/return", "1");
    bench.says("lab/lagoon/sump", "210").says("lab/lagoon/cup", "40");
    bench.says("lab/lagoon/floor", "dry").redox(320, 322);
    bench.connect();
    bench.windowOpens();
    bench.live(2); // what a probe does from here on is no pick-up
    assertThat(bench.runs()).isTrue();
  }

  private List<Object> trips() {
    return bench.field(Kind.TRIP, "name");
  }

  /** The next thing that goes out is rest, and nothing runs after it. */
  private void stopsAtOnce(String topic, String payload) {
    int before = bench.commands.size();
    bench.says(topic, payload).hear(topic, payload);
    assertThat(bench.commands.get(before).runs()).isFalse();
    assertThat(bench.runs()).isFalse();
  }

  private void staysLatchedThoughTheCauseIsOver(String name) {
    assertThat(bench.memory().latches()).containsOnlyKeys(name);
    bench.live(700);
    assertThat(bench.runs()).isFalse();
    assertThat(bench.memory().latches()).containsOnlyKeys(name);
  }

  /** F03: in air an electrode soon reads nothing that water could be. */
  @Test
  void aProbeThatLeavesItsRangeEndsTheRun() {
    stopsAtOnce("lab/lagoon/redox/a", "49.9");
    assertThat(bench.field(Kind.SILENT, "name")).containsExactly("redox-a-silent");
    bench.live(700);
    assertThat(bench.runs()).isFalse();
  }

  /** F03: or it drifts away from the one that is still in the water. */
  @Test
  void aProbeThatDriftsAwayFromTheOtherEndsTheRunAndLatches() {
    stopsAtOnce("lab/lagoon/redox/a", "262");
    assertThat(trips()).containsExactly("probes-apart");
    bench.live(601);
    bench.redox(320, 322);
    staysLatchedThoughTheCauseIsOver("probes-apart");
  }

  /** F27. */
  @Test
  void aFullCupEndsTheRunByTheKeepersOwnInterlock() {
    bench.says("lab/lagoon/cup", "119.9").live(5);
    assertThat(bench.runs()).isTrue();
    stopsAtOnce("lab/lagoon/cup", "120");
    assertThat(trips()).containsExactly("cup-full");
    bench.says("lab/lagoon/cup", "10");
    staysLatchedThoughTheCauseIsOver("cup-full");
  }

  /** F29: 50 ppb are told, and stop nothing. */
  @Test
  void ozoneInTheRoomIsToldBeforeItTrips() {
    bench.says("lab/gallery/ozone", "60").live(299);
    assertThat(bench.records(Kind.NOTICE)).isEmpty();
    bench.live(3);
    assertThat(bench.field(Kind.NOTICE, "name")).containsExactly("room-ozone-notice");
    assertThat(bench.runs()).isTrue();
    stopsAtOnce("lab/gallery/ozone", "100");
    bench.live(31);
    bench.says("lab/gallery/ozone", "3");
    staysLatchedThoughTheCauseIsOver("room-ozone");
  }

  /** F35. */
  @Test
  void aHighSumpEndsTheRunAndLatchesAfter10MinutesWithTheReturnRunning() {
    stopsAtOnce("lab/lagoon/sump", "240");
    assertThat(trips()).containsExactly("level-high");
    bench.live(598);
    assertThat(bench.memory().latches()).isEmpty();
    bench.live(3);
    bench.says("lab/lagoon/sump", "210");
    staysLatchedThoughTheCauseIsOver("level-high");
  }

  /** F35: what comes down from the pipes when the return stops is no fault. */
  @Test
  void aSumpThatIsHighBecauseTheReturnStandsForbidsAndLatchesNothing() {
    stopsAtOnce("lab/lagoon/return", "0");
    bench.says("lab/lagoon/sump", "250").live(700);
    assertThat(bench.runs()).isFalse();
    assertThat(trips()).contains("level-high");
    assertThat(bench.memory().latches()).isEmpty();
  }

  /** F44. */
  @Test
  void aWetFloorEndsTheRunAndLatchesAtOnce() {
    stopsAtOnce("lab/lagoon/floor", "wet");
    assertThat(trips()).containsExactly("leak");
    bench.says("lab/lagoon/floor", "dry");
    staysLatchedThoughTheCauseIsOver("leak");
  }

  /** F28, F68. */
  @Test
  void aReturnPumpThatStopsEndsTheRunForTenMinutesAndNoLonger() {
    stopsAtOnce("lab/lagoon/return", "0");
    assertThat(trips()).isEmpty();
    bench.live(6);
    assertThat(trips()).containsExactly("circulation-lost");
    bench.live(600);
    assertThat(bench.memory().latches()).isEmpty();
    bench.says("lab/lagoon/return", "1").live(598);
    assertThat(bench.runs()).isFalse();
    bench.live(4);
    assertThat(bench.runs()).isTrue();
  }
}

package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.time.Duration;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** What a keeper holds at rest, for feeding or for a treatment. The figures are ours. */
class HoldTest {
  private static final Duration PORTION = Duration.ofMinutes(20);

  private static WaterBench bench(long seed) {
    WaterBench bench = new WaterBench(seed, WaterBench.OPENS.minusSeconds(1200));
    bench.connects();
    bench.live(1190);
    bench.confirmsBatch();
    return bench;
  }

  private static void untilPhase(WaterBench bench, String phase) {
    assertThat(bench.liveUntil(() -> bench.phase().equals(phase), PORTION)).as(phase).isTrue();
  }

  private static List<Hold> held(WaterBench bench) {
    return bench.state.remembered().tank("lagoon").holds();
  }

  private static boolean done(WaterBench bench) {
    return bench.liveUntil(() -> !bench.records(Kind.FILLED).isEmpty(), PORTION);
  }

  /** Held in mid-drain, with the return stopped by hand: what is out comes in, later. */
  @Test
  void aFeedingHoldEndsByItselfOnceTheReturnRunsSteadily() {
    WaterBench bench = bench(1);
    untilPhase(bench, "DRAINING");
    bench.live(60);
    assertThat(bench.asks("hold", "for", "15 min", "text", "feeding").what())
        .isEqualTo("rosa held tank for 15 min: feeding");
    bench.returnRuns = false;
    bench.live(2);
    assertThat(bench.on("drain")).isFalse();
    double out = bench.drainedLitres;
    bench.live(15 * 60);
    assertThat(bench.records(Kind.HOLD_OVER)).hasSize(1);
    bench.returnRuns = true;
    bench.live(9 * 60);
    assertThat(bench.filledLitres).as("the return has not run for 10 min yet").isZero();
    assertThat(done(bench)).isTrue();
    assertThat(bench.drainedLitres).isEqualTo(out).isBetween(0.2, 0.35);
    assertThat(bench.filledLitres).isCloseTo(out, within(0.15));
    assertThat(bench.latches()).isEmpty();
  }

  /** What was drained is filled again in a hold, and nothing more begins. Hazard F74. */
  @Test
  void aTreatmentHoldStandsOverRestartsUntilItsDate() {
    WaterBench bench = bench(2);
    untilPhase(bench, "FILLING");
    assertThat(
            bench.asks("hold", "name", "exchange", "until", "2026-01-16", "text", "copper").done())
        .isTrue();
    assertThat(done(bench)).isTrue();
    bench.restarts(30);
    bench.connects();
    bench.live(3600);
    assertThat(bench.records(Kind.PORTION)).hasSize(1);
    assertThat(bench.why()).contains("exchange is held by the keeper: copper");
    assertThat(held(bench)).extracting(Hold::name).containsExactly("exchange");
    bench.jumpsTo(WaterBench.OPENS.plus(Duration.ofDays(1)).minusSeconds(1200));
    bench.live(1800);
    assertThat(bench.records(Kind.PORTION)).as("the 15th").hasSize(1);
    bench.jumpsTo(WaterBench.OPENS.plus(Duration.ofDays(2)).minusSeconds(1200));
    bench.live(1800);
    assertThat(bench.records(Kind.PORTION)).as("the 16th").hasSizeGreaterThan(1);
    assertThat(bench.last(Kind.HOLD_OVER).why()).isEqualTo("the hold of exchange is over");
  }

  /** Hazard F74: the whole tank is held, in a window for ozone with redox under its band. */
  @Test
  void aHoldOfTheTankIsOneOfOzoneToo() {
    WaterBench bench = bench(7);
    bench.jumpsTo(WaterBench.OPENS.plus(Duration.ofHours(12)).plusSeconds(1740));
    bench.redox = 320;
    assertThat(bench.asks("hold", "until", "2026-01-20", "text", "copper").done()).isTrue();
    bench.live(1500);
    assertThat(bench.on("generator")).isFalse();
    bench.asks("release", "until", "2026-01-20");
    assertThat(bench.liveUntil(() -> bench.on("generator"), Duration.ofMinutes(12))).isTrue();
  }

  /** Hazard F74: fed in the evening, while the generator has its window and redox is low. */
  @Test
  void aFeedingHoldDoesNotEndATreatmentHold() {
    WaterBench bench = bench(7);
    bench.jumpsTo(WaterBench.OPENS.plus(Duration.ofHours(12)).plusSeconds(1740));
    bench.redox = 320;
    bench.asks("hold", "until", "2026-01-20", "text", "copper");
    assertThat(bench.asks("hold", "for", "5 min", "text", "feeding").what())
        .isEqualTo(
            "rosa held tank for 5 min: feeding"
                + " (also held: tank until 2026-01-20 12:00 +00:00 by rosa: copper)");
    assertThat(held(bench)).extracting(Hold::why).containsExactly("copper", "feeding");
    bench.live(120);
    bench.restarts(5);
    bench.connects();
    assertThat(bench.liveUntil(() -> bench.on("generator"), Duration.ofMinutes(25))).isFalse();
    assertThat(bench.records(Kind.HOLD_OVER)).hasSize(1);
    assertThat(held(bench)).extracting(Hold::why).containsExactly("copper");
    bench.jumpsTo(WaterBench.OPENS.plus(Duration.ofDays(6)).plus(Duration.ofHours(12)));
    assertThat(bench.liveUntil(() -> bench.on("generator"), Duration.ofMinutes(60))).isTrue();
  }

  /** Neither does a shorter date, or a shorter time, end a longer one. */
  @Test
  void ofSeveralHoldsTheLastOneToEndCounts() {
    WaterBench bench = bench(8);
    bench.asks("hold", "name", "exchange", "until", "2026-01-16", "text", "quarantine");
    bench.asks("hold", "name", "exchange", "until", "2026-01-15", "text", "copper");
    bench.asks("hold", "name", "exchange", "for", "20 h", "text", "away");
    bench.asks("hold", "name", "exchange", "for", "1 min", "text", "feeding");
    bench.live(1800);
    assertThat(bench.records(Kind.PORTION)).isEmpty();
    assertThat(bench.why()).contains("held by the keeper: quarantine");
    bench.jumpsTo(WaterBench.OPENS.plus(Duration.ofDays(1)).minusSeconds(1200));
    bench.live(1800);
    assertThat(bench.records(Kind.PORTION)).isEmpty();
    assertThat(held(bench)).extracting(Hold::why).containsExactly("quarantine");
  }

  /** Whoever has fed ends the feeding, and can end the treatment only by its date. */
  @Test
  void aReleaseEndsWhatEndsFirstAndADateOnlyByName() {
    WaterBench bench = bench(9);
    bench.asks("hold", "until", "2026-01-20", "text", "copper");
    bench.asks("hold", "for", "2 h", "text", "calibration");
    bench.asks("hold", "for", "10 min", "text", "feeding");
    assertThat(bench.asks("release").what())
        .isEqualTo(
            "rosa released tank (held until 2026-01-14 13:09 +00:00 by rosa: feeding; still held:"
                + " tank until 2026-01-20 12:00 +00:00 by rosa: copper;"
                + " tank until 2026-01-14 14:59 +00:00 by rosa: calibration)");
    assertThat(bench.asks("release").done()).isTrue();
    Effect.Answer refused = bench.asks("release");
    assertThat(refused.done()).isFalse();
    assertThat(refused.what())
        .isEqualTo(
            "held is tank until 2026-01-20 12:00 +00:00 by rosa: copper;"
                + " a hold until a date is released by that date (until)");
    assertThat(bench.asks("release", "until", "2026-01-21").done()).isFalse();
    assertThat(held(bench)).extracting(Hold::why).containsExactly("copper");
    assertThat(bench.asks("release", "until", "2026-01-20").done()).isTrue();
    assertThat(held(bench)).isEmpty();
  }

  /** A date ends at its noon: the same end said otherwise is the same end. */
  @ParameterizedTest
  @ValueSource(strings = {"2026-01-20", "2026-01-20T12:00:00Z"})
  void aSecondTreatmentUntilTheSameEndIsRefused(String until) {
    WaterBench bench = bench(11);
    bench.asks("hold", "until", "2026-01-20", "text", "copper");
    Effect.Answer refused = bench.asks("hold", "until", until, "text", "quarantine");
    assertThat(refused.done()).isFalse();
    assertThat(refused.what())
        .isEqualTo(
            "tank is held until 2026-01-20 12:00 +00:00 by rosa: copper; one release would end"
                + " both, so let this one end at another time, such as the day after");
    assertThat(held(bench)).extracting(Hold::why).containsExactly("copper");
    assertThat(bench.asks("hold", "until", "2026-01-21", "text", "quarantine").done()).isTrue();
    assertThat(bench.asks("release", "until", "2026-01-20").done()).isTrue();
    assertThat(held(bench)).extracting(Hold::why).containsExactly("quarantine");
  }

  @Test
  void soManyHoldsAndNoMoreStandAtOnce() {
    WaterBench bench = bench(10);
    for (int i = 0; i < Hold.MOST; i++) {
      assertThat(bench.asks("hold", "for", (i + 1) + " h").done()).isTrue();
    }
    Effect.Answer more = bench.asks("hold", "for", "10 h");
    assertThat(more.done()).isFalse();
    assertThat(more.what()).endsWith("by rosa: release some of these first");
  }

  @Test
  void aHoldIsReleasedByName() {
    WaterBench bench = bench(3);
    bench.asks("hold", "name", "exchange", "for", "2 h");
    bench.live(1800);
    assertThat(bench.records(Kind.PORTION)).isEmpty();
    assertThat(bench.asks("release", "name", "ozone").what())
        .isEqualTo("ozone is not held; held: exchange until 2026-01-14 14:59 +00:00 by rosa");
    assertThat(bench.asks("release", "name", "exchange").what())
        .isEqualTo("rosa released exchange (held until 2026-01-14 14:59 +00:00 by rosa)");
    assertThat(done(bench)).isTrue();
  }

  /** The clock that nobody vouches for ends no hold; monotonic time ends one within its boot. */
  @Test
  void aTimedHoldEndsByMonotonicTimeAndADateByATrustedClockOnly() {
    WaterBench bench = bench(4);
    bench.asks("hold", "name", "exchange", "for", "20 min");
    Hold timed = held(bench).get(0);
    io.github.tidewarden.quantity.Moment later =
        new io.github.tidewarden.quantity.Moment(
            bench.wall.plusSeconds(7200), bench.mono + 1_199_000_000_000L, true);
    assertThat(timed.stands("boot-1", later)).as("the wall clock was stepped").isTrue();
    assertThat(timed.stands("boot-2", later)).as("another boot").isFalse();
    io.github.tidewarden.quantity.Moment unsure =
        new io.github.tidewarden.quantity.Moment(later.wall(), later.monoNanos(), false);
    assertThat(timed.stands("boot-2", unsure)).isTrue();
  }

  @Test
  void topOffIsHeldOnItsOwn() {
    WaterBench bench = bench(5);
    bench.asks("hold", "name", "exchange", "for", "24 h");
    bench.live(700);
    assertThat(bench.on("top-off-hold")).isFalse();
    assertThat(bench.asks("hold", "name", "top-off", "for", "10 min").done()).isTrue();
    bench.live(5);
    assertThat(bench.on("top-off-hold")).isTrue();
    bench.live(11 * 60);
    assertThat(bench.on("top-off-hold")).isFalse();
  }

  /** Nothing tells the device without an exchange, so nobody is told that it is held. */
  @Test
  void topOffOfATankWithoutExchangeIsNotHeld() {
    WaterBench bench = bench(12);
    bench.losesItsExchange();
    bench.connects();
    Effect.Answer answer = bench.asks("hold", "name", "top-off", "for", "20 min");
    assertThat(answer.done()).isFalse();
    assertThat(answer.what()).isEqualTo("this tank has nothing that could hold its top-off");
  }

  /**
   * Both are on their way to the disk at once, and the old one ends when the new one is written.
   */
  @Test
  void theEndOfAHoldIsNotThatOfTheLongerOneWrittenBeforeIt() {
    WaterBench bench = bench(7);
    bench.asks("hold", "name", "ozone", "for", "2 min", "text", "short");
    AuditRecord first = bench.last(Kind.ACT);
    bench.asks("hold", "name", "ozone", "until", "2026-01-20", "text", "copper");
    AuditRecord second = bench.last(Kind.ACT);
    bench.live(130);
    AuditRecord over = bench.last(Kind.HOLD_OVER);
    TankMemory held = TankMemory.BLANK.apply(first, "boot-1");
    Hold old = held.holds().get(0);
    AuditRecord ended =
        AuditRecord.of(
            bench.now(),
            "lagoon",
            Kind.HOLD_OVER,
            "",
            Map.of(
                "name",
                "ozone",
                "end",
                io.github.tidewarden.quantity.Figures.recordTime(old.end())));
    assertThat(over.fields()).containsKeys("name", "end");
    assertThat(held.apply(ended, "boot-1").holds()).isEmpty();
    assertThat(held.apply(second, "boot-1").apply(ended, "boot-1").holds())
        .extracting(Hold::why)
        .containsExactly("copper");
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "tank    | 20 min | 2026-01-20 | it needs a time (for) or a date (until)",
        "tank    | ''     | ''         | it needs a time (for) or a date (until)",
        "skimmer | 20 min | ''         | \"skimmer\" is none of tank, ozone, exchange, top-off",
        "tank    | 25 h   | ''         | a hold of tank is 1 min to 24 h long; this would be 25 h",
        "tank    | 5 s    | ''         | a hold of tank is 1 min to 24 h long; this would be 5 s",
        "top-off | 121 min | ''        | a hold of top-off is 1 min to 2 h long",
        "tank    | ''     | 2026-01-10 | a hold of tank until a date is 1 min to",
        "tank    | ''     | friday     | \"friday\" is no date; write it as",
        "tank    | ''     | 2028-01-10 | a hold of tank until a date is 1 min to",
        "tank    | ''     | 2400-01-01 | a hold of tank until a date is 1 min to 8784 h long; this"
            + " would be over a year",
        "tank    | ''     | -9999-01-01 | a hold of tank until a date is 1 min to",
        "tank    | ''     | +999999999-12-31 | ",
        "tank    | ''     | -999999999-01-01 | ",
      })
  void aHoldThatIsNotOneIsRefused(String name, String time, String until, String why) {
    WaterBench bench = bench(6);
    Effect.Answer answer = bench.asks("hold", "name", name, "for", time, "until", until);
    assertThat(answer.done()).isFalse();
    assertThat(answer.what()).startsWith(why == null ? "" : why);
  }
}

package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import io.github.tidewarden.science.FirstOrder;
import io.github.tidewarden.science.LaggedFirstOrder;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayDeque;
import java.util.Deque;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.SplittableRandom;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;

/** Nights in which the whole core learns how a tank answers ozone, and doses by it. */
class LearnedStoriesTest {
  private static final double LIFT = 100;
  private static final double TAU = 900;
  private static final int DEAD_SECONDS = 120;
  private static final double BASELINE = 330;
  private static final Duration DAY = Duration.ofDays(1);

  private final Bench bench = bench();
  private final SplittableRandom random = new SplittableRandom(11);
  private final Deque<Boolean> underWay = new ArrayDeque<>();
  private double lift = LIFT;
  private double water = BASELINE;
  private double peak;

  private static Bench bench() {
    TankSpec lagoon = Specs.lagoon();
    TankSpec learns =
        Specs.with(
            lagoon, Objects.requireNonNull(lagoon.ozone()).learning(TimeUnit.SECONDS.toNanos(30)));
    Bench bench = new Bench(Specs.site(learns), Bench.WINDOW_OPENS.minusSeconds(1200));
    bench.connect();
    return bench;
  }

  /** The water by steps of a second; the probes say whole millivolts with noise of 1 mV. */
  private void lives(int seconds) {
    for (int second = 0; second < seconds; second++) {
      underWay.add(bench.generator().on(bench.real));
      boolean fed = underWay.size() > DEAD_SECONDS && underWay.remove();
      water += (BASELINE + (fed ? lift : 0) - water) / TAU;
      peak = Math.max(peak, water);
      bench.redox(
          Math.rint(water + random.nextGaussian()), Math.rint(water - 2 + random.nextGaussian()));
      bench.live(1);
    }
  }

  private void livesUntil(Instant instant) {
    lives((int) Duration.between(bench.wall, instant).toSeconds());
  }

  private static Instant opens(int night) {
    return Bench.WINDOW_OPENS.plus(DAY.multipliedBy(night));
  }

  /** The night's window, with what comes before and after. */
  private void night(int night) {
    if (night > 0) {
      bench.passesUntil(opens(night).minusSeconds(1200));
      water = BASELINE;
      underWay.clear();
    }
    livesUntil(opens(night).plus(Duration.ofMinutes(120)));
  }

  private List<AuditRecord> rests() {
    return bench.records(Kind.REST).stream()
        .filter(rest -> (Long) rest.fields().get(Fields.RAN_MS) > 0)
        .toList();
  }

  @Test
  void aTankOfWhichNothingIsKnownGetsAShortDoseAndItsEffectIsAwaited() {
    livesUntil(opens(0).plusSeconds(25 * 60));
    assertThat(bench.records(Kind.RUN)).hasSize(2);
    AuditRecord first = rests().get(0);
    assertThat(first.why()).isEqualTo("a first dose is over, and what it does is awaited");
    assertThat((Long) first.fields().get(Fields.RAN_MS)).isBetween(30_000L, 31_000L);
    AuditRecord taught = bench.records(Kind.LEARNED).get(0);
    assertThat(Duration.between(first.at(), taught.at()))
        .isBetween(Duration.ofMinutes(20), Duration.ofSeconds(1202));
    assertThat(taught.fields()).containsEntry(Fields.FIRST, true);
    // LIFT (1 - exp(-30 s / TAU)) = 3.3 mV, by hand.
    assertThat((Long) taught.fields().get(Fields.RISE_UV) / 1e3).isCloseTo(3.3, within(1.5));
    livesUntil(opens(0).plusSeconds(70 * 60));
    assertThat((Long) rests().get(1).fields().get(Fields.RAN_MS))
        .as("at most twice as long")
        .isBetween(40_000L, 64_000L);
  }

  @Test
  void afterSomeNightsDosesEndByWhatWasLearned() {
    for (int night = 0; night < 3; night++) {
      night(night);
    }
    Map<String, List<LaggedFirstOrder>> answers = bench.memory().lessons().answers();
    assertThat(answers).containsOnlyKeys("redox-a", "redox-b");
    LaggedFirstOrder answer = answers.get("redox-a").get(answers.get("redox-a").size() - 1);
    assertThat(answer.water().ratePerSecond() * 50).isCloseTo(LIFT / TAU, within(0.03));
    assertThat(answer.water().deadTimeSeconds() + answer.lagSeconds())
        .isCloseTo(DEAD_SECONDS, within(40.0));
    int known = rests().size();
    peak = 0;
    night(3);
    assertThat(rests().subList(known, rests().size()))
        .isNotEmpty()
        .allSatisfy(rest -> assertThat(rest.why()).startsWith("it will go to 36"));
    assertThat(peak).isBetween(350.0, 370.0);

    bench.reboots(Duration.ofSeconds(40));
    bench.connect();
    assertThat(bench.memory().lessons().answers())
        .isEqualTo(
            Checkpoint.read(Checkpoint.of(bench.state.remembered()))
                .tank("lagoon")
                .lessons()
                .answers());
    assertThat(bench.memory().lessons().answers().get("redox-a").size()).isBetween(2, Lessons.MOST);
  }

  @Test
  void ofADoseThatSomethingStoppedNothingIsLearned() {
    livesUntil(opens(0).plusSeconds(10));
    assertThat(bench.generator().on(bench.real)).isTrue();
    bench.says("lab/lagoon/air", "1.0");
    lives(5);
    bench.says("lab/lagoon/air", "5.0");
    livesUntil(opens(0).plusSeconds(40 * 60));
    AuditRecord taught = bench.records(Kind.LEARNED).get(0);
    assertThat(taught.why()).startsWith("nothing is learned of this dose: air-lost");
    assertThat(taught.fields()).containsEntry(Fields.FIRST, false);
    assertThat(bench.memory().lessons()).isEqualTo(Lessons.NONE);
    livesUntil(opens(0).plusSeconds(90 * 60));
    assertThat(bench.records(Kind.LEARNED))
        .as("nor of others in this window")
        .allSatisfy(record -> assertThat(record.why()).startsWith("nothing is learned"));
  }

  /** A tank that is lifted by more than its band in the shortest dose gets no second one. */
  @Test
  void whereTheShortestDoseIsTooMuchNoneIsGiven() {
    bench.redox(330, 330);
    livesUntil(opens(0).plusSeconds(40));
    for (int i = 0; i < 60; i++) {
      underWay.clear();
      water = 372;
      lives(1);
    }
    water = BASELINE;
    livesUntil(opens(0).plusSeconds(60 * 60));
    assertThat(bench.records(Kind.RUN)).hasSize(1);
  }

  /** Water that falls under ozone, such as something else may make it look, teaches nothing. */
  @Test
  void whatNoWaterDoesIsNoLesson() {
    assertThat(Lessons.isPlausible(new FirstOrder(2, 900, 120))).isTrue();
    assertThat(Lessons.isPlausible(new FirstOrder(-2, 900, 120))).isFalse();
    assertThat(Lessons.isPlausible(new FirstOrder(2, 0.5, 120))).isFalse();
    assertThat(Lessons.isPlausible(new FirstOrder(2, 1e7, 120))).isFalse();
    lift = -LIFT;
    for (int night = 0; night < 2; night++) {
      night(night);
    }
    assertThat(bench.records(Kind.LEARNED))
        .anySatisfy(record -> assertThat(record.why()).contains("no water answers ozone so"));
    assertThat(bench.memory().lessons().answers()).isEmpty();
  }
}

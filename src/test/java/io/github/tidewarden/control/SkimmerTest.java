package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/**
 * A skimmer is looked after by hours of the clock, and by what cleaning does to the air that it
 * draws. That a cup that is full stops ozone is hazard F27 of SAFETY.md.
 */
class SkimmerTest {
  private static final Instant NOON = Instant.parse("2026-01-14T12:00:00Z");

  private final ProbeBench keeper = keeper(Map.of(SkimmerWork.CLEANED, hours(170)));
  private final Bench bench = keeper.bench;

  private static ProbeBench keeper(Map<SkimmerWork, Long> after) {
    return new ProbeBench(
        Specs.with(
            Specs.lagoon(), new CareSpec(Map.of(), new SkimmerSpec("skimmer-air", null, after))),
        NOON.plusSeconds(3_600));
  }

  private static long hours(int hours) {
    return Duration.ofHours(hours).toNanos();
  }

  /** All sensors speak, and the core is asked, three times a minute. */
  private void lives(Duration time) {
    for (long third = 0; third < 3 * time.toMinutes(); third++) {
      bench.devicesAnswer();
      bench.sensorsSpeak();
      bench.passes(Duration.ofSeconds(20));
      bench.event(new Event.Tick());
    }
  }

  private void air(double litresPerMinute) {
    bench.says("lab/lagoon/air", String.format(Locale.ROOT, "%.2f", litresPerMinute));
  }

  private void note(String work) {
    assertThat(keeper.asks("note", "skimmer", work)).matches(Effect.Answer::done);
  }

  private List<String> told(String name) {
    return bench.records(Kind.NOTICE).stream()
        .filter(record -> name.equals(record.fields().get("name")))
        .map(AuditRecord::why)
        .toList();
  }

  /** An hour at one flow, the cleaning, and a day at another. */
  private void cleanedFromTo(double before, double after) {
    air(before);
    lives(Duration.ofMinutes(70));
    note("cleaned");
    air(before / 2); // in its first hour it says anything
    lives(Duration.ofMinutes(60));
    air(after);
    lives(Duration.ofHours(23).plusMinutes(2));
  }

  // By the clock.

  @Test
  void whatWasNeverNotedIsAskedForOnceANight() {
    lives(Duration.ofHours(3));
    bench.restarts(Duration.ofSeconds(5));
    bench.connect();
    lives(Duration.ofHours(3));
    assertThat(told("skimmer-clean"))
        .containsExactly(
            "when the skimmer was cleaned last is not known; do it, and `note skimmer cleaned`");
    lives(Duration.ofHours(18));
    assertThat(told("skimmer-clean")).as("the next night").hasSize(2);
  }

  /** At or over is over. */
  @ParameterizedTest
  @CsvSource({"169, false", "170, true", "171, true"})
  void itRemindsByHoursOfTheClock(int hours, boolean reminded) {
    note("cleaned");
    assertThat(bench.answers.get(0).what()).isEqualTo("rosa noted that the skimmer was cleaned");
    bench.passes(Duration.ofHours(hours));
    lives(Duration.ofMinutes(2));
    assertThat(told("skimmer-clean")).hasSize(reminded ? 1 : 0);
    if (reminded) {
      assertThat(told("skimmer-clean").get(0))
          .isEqualTo("the skimmer was cleaned " + hours + " h ago; 170 h are configured");
      note("cleaned");
      bench.passes(Duration.ofHours(25));
      lives(Duration.ofMinutes(2));
      assertThat(told("skimmer-clean")).hasSize(1);
    }
  }

  @Test
  void eachWorkHasItsOwnHoursAndItsOwnNote() {
    ProbeBench all =
        keeper(
            Map.of(
                SkimmerWork.CLEANED, hours(170),
                SkimmerWork.TUNED, hours(50),
                SkimmerWork.EMPTIED, hours(72)));
    all.asks("note", "skimmer", "cleaned");
    all.asks("note", "skimmer", "tuned");
    all.asks("note", "skimmer", "emptied");
    all.bench.passes(Duration.ofHours(60));
    all.bench.live(1);
    all.bench.passes(Duration.ofMinutes(1));
    all.bench.live(1);
    assertThat(all.bench.field(Kind.NOTICE, "name")).containsExactly("skimmer-tune");
    assertThat(all.bench.last(Kind.NOTICE).why())
        .isEqualTo("the skimmer was tuned 60 h ago; 50 h are configured");
    assertThat(all.bench.told("lagoon/state").get("skimmer").toString())
        .contains("cleaned=2026-01-14T13:00")
        .contains("emptied=");
  }

  @Test
  void aClockThatNobodyVouchesForTellsNothing() {
    note("cleaned");
    bench.stepsClock(Duration.ofHours(500));
    lives(Duration.ofHours(2));
    assertThat(told("skimmer-clean")).isEmpty();
    bench.trustsClock();
    lives(Duration.ofMinutes(2));
    assertThat(told("skimmer-clean")).hasSize(1);
  }

  // By what cleaning does.

  @Test
  void whatCleaningDidToAirAndRedoxIsKept() {
    bench.redox(330, 334);
    air(4);
    lives(Duration.ofMinutes(70));
    note("cleaned");
    assertThat(bench.last(Kind.ACT).fields())
        .containsEntry("skimmer", "cleaned")
        .containsEntry("air-before-ul-min", 4_000_000L)
        .containsEntry("redox-before-uv", 332_000L);
    air(2);
    bench.redox(390, 390);
    lives(Duration.ofMinutes(59));
    bench.redox(350, 356);
    air(5);
    lives(Duration.ofHours(23).plusMinutes(2));
    assertThat(bench.records(Kind.CLEANING)).hasSize(1);
    assertThat(bench.last(Kind.CLEANING).fields())
        .containsEntry("air-before-ul-min", 4_000_000L)
        .containsEntry("air-after-ul-min", 5_000_000L)
        .containsEntry("redox-after-uv", 353_000L);
    assertThat(bench.last(Kind.CLEANING).why())
        .isEqualTo(
            "what cleaning the skimmer did: air 4.00 L/min before, 5.00 L/min after; redox outside"
                + " doses 332.0 mV before, 353.0 mV after");
    bench.restarts(Duration.ofSeconds(5));
    SiteMemory read = Checkpoint.read(Checkpoint.of(bench.state.remembered()));
    assertThat(read).usingRecursiveComparison().isEqualTo(bench.state.remembered());
    assertThat(read.tank("lagoon").care().skimmer().after().litresPerMinute()).isEqualTo(5.0);
  }

  /** 4 L/min before, 5 after: back with a tenth of the gain left, at 4.1. */
  @ParameterizedTest
  @CsvSource({"4.2, false", "4.11, false", "4.09, true", "3.5, true"})
  void airThatFellBackWantsCleaning(double fallen, boolean told) {
    cleanedFromTo(4, 5);
    assertThat(told("skimmer-air-back")).isEmpty();
    air(fallen);
    lives(Duration.ofMinutes(62));
    assertThat(told("skimmer-air-back")).hasSize(told ? 1 : 0);
    bench.restarts(Duration.ofSeconds(5));
    bench.connect();
    lives(Duration.ofMinutes(62));
    assertThat(told("skimmer-air-back")).as("once a night").hasSize(told ? 1 : 0);
  }

  @Test
  void whatItTellsOfAirNamesAllThree() {
    cleanedFromTo(4, 5);
    air(4.05);
    lives(Duration.ofMinutes(62));
    assertThat(told("skimmer-air-back"))
        .singleElement()
        .asString()
        .startsWith("the skimmer wants cleaning: over the last hour it drew 4.")
        .endsWith(", before the last cleaning 4.00 L/min, after it 5.00 L/min");
    note("cleaned");
    bench.passes(Duration.ofHours(14));
    lives(Duration.ofMinutes(62));
    assertThat(told("skimmer-air-back")).as("of this cleaning nothing is known yet").hasSize(1);
  }

  /** A gain within what two readings of a flow sensor differ by says nothing. */
  @Test
  void aCleaningThatDidNothingTeachesNothing() {
    cleanedFromTo(4, 4.15);
    air(3.9);
    lives(Duration.ofHours(3));
    assertThat(told("skimmer-air-back")).isEmpty();
    assertThat(bench.records(Kind.CLEANING)).hasSize(1);
  }

  /** What was sampled before a start is lost; what comes after it counts. */
  @Test
  void aStartInBetweenLosesSomeOfItAndEndsNothing() {
    air(4);
    lives(Duration.ofMinutes(70));
    note("cleaned");
    air(9);
    lives(Duration.ofHours(10));
    bench.restarts(Duration.ofSeconds(5));
    bench.connect();
    air(5);
    lives(Duration.ofHours(14).plusMinutes(2));
    assertThat(bench.last(Kind.CLEANING).fields()).containsEntry("air-after-ul-min", 5_000_000L);
  }

  @Test
  void aDayThatNobodyWatchedIsSaidToBeNotKnown() {
    note("cleaned");
    assertThat(bench.last(Kind.ACT).fields()).containsEntry("air-before-ul-min", -1L);
    bench.passes(Duration.ofHours(25));
    lives(Duration.ofMinutes(2));
    assertThat(bench.last(Kind.CLEANING).why())
        .contains("air not known before, not known after; redox outside doses not known before");
    lives(Duration.ofHours(2));
    assertThat(bench.records(Kind.CLEANING)).hasSize(1);
  }

  @Test
  void aNoteOfWhatIsNotThereIsRefused() {
    assertThat(keeper.asks("note", "skimmer", "oiled").what())
        .isEqualTo("\"oiled\" is none of cleaned, tuned, emptied");
    ProbeBench none = ProbeBench.free();
    assertThat(none.asks("note", "skimmer", "cleaned").what())
        .startsWith("lagoon has no skimmer by its configuration; declare it, `skimmer: {");
  }
}

package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import org.junit.jupiter.api.Test;

/** Carbon is counted by the hours that ozone ran since it was changed: hazard F75 of SAFETY.md. */
class CarbonTest {
  private static final Instant FIRST = Bench.WINDOW_OPENS;

  /** Told from 50 min of ozone on, and no start from 100 min on; a night gives 60 min. */
  private static final CarbonLife SHORT =
      new CarbonLife(Duration.ofMinutes(50).toNanos(), Duration.ofMinutes(100).toNanos());

  private final ProbeBench keeper = keeper(Map.of(Carbon.OFF_GAS, SHORT));
  private final Bench bench = keeper.bench;

  private static ProbeBench keeper(Map<Carbon, CarbonLife> carbon) {
    return new ProbeBench(
        Specs.with(Specs.lagoon(), new CareSpec(carbon, null)), FIRST.minusSeconds(14_400));
  }

  private void changes(String carbon) {
    assertThat(keeper.asks("note", "carbon", carbon)).matches(Effect.Answer::done);
  }

  private static Instant night(int later) {
    return FIRST.plus(Duration.ofDays(later));
  }

  /** The whole allowance of a night, in one dose. */
  private void dosesFor60Minutes(int later) {
    keeper.windowOpens(night(later));
    assertThat(bench.runs()).as("night %d", later).isTrue();
    bench.live(3_660);
    assertThat(bench.runs()).isFalse();
  }

  private List<String> reminders() {
    return bench.records(Kind.NOTICE).stream()
        .filter(record -> "carbon-off-gas".equals(record.fields().get("name")))
        .map(AuditRecord::why)
        .toList();
  }

  private long spentMillis() {
    return Objects.requireNonNull(bench.memory().carbonMillis(Carbon.OFF_GAS));
  }

  @Test
  void untilAKeeperHasSaidWhenItWasChangedNoOzoneStarts() {
    keeper.windowOpens(FIRST);
    assertThat(bench.runs()).isFalse();
    assertThat(bench.last(Kind.REFUSED).why())
        .isEqualTo(
            "carbon-off-gas: when the carbon on off-gas was changed is not known; change it, and"
                + " `note carbon off-gas`");
    changes("off-gas");
    assertThat(bench.last(Kind.ACT).fields())
        .containsEntry("act", "note")
        .containsEntry("name", "carbon-off-gas")
        .containsEntry("carbon", "off-gas");
    assertThat(bench.answers.get(0).what())
        .isEqualTo("rosa noted that the carbon on off-gas was changed");
    bench.live(620);
    assertThat(bench.runs()).isTrue();
  }

  @Test
  void itRemindsOnceAWindowThenForbidsTheStartAndAChangeLiftsIt() {
    changes("off-gas");
    dosesFor60Minutes(0);
    assertThat(spentMillis()).isBetween(3_540_000L, 3_600_000L);
    assertThat(reminders()).as("nothing was spent when that window opened").isEmpty();

    dosesFor60Minutes(1); // passes 100 min in the middle of the dose, which goes on
    assertThat(reminders())
        .singleElement()
        .asString()
        .matches(
            "ozone ran for 1 h since the carbon on off-gas was changed; from 1.7 h on no ozone"
                + " starts");
    assertThat(spentMillis()).isGreaterThan(Duration.ofMinutes(117).toMillis());

    keeper.windowOpens(night(2));
    bench.live(900);
    assertThat(bench.runs()).isFalse();
    assertThat(bench.last(Kind.REFUSED).why())
        .isEqualTo(
            "carbon-off-gas: ozone ran for 2 h since the carbon on off-gas was changed; change it,"
                + " and `note carbon off-gas`");
    assertThat(reminders()).as("a refusal says more").hasSize(1);

    changes("off-gas");
    bench.live(5);
    assertThat(bench.runs()).isTrue();
    assertThat(spentMillis()).as("begins anew").isLessThanOrEqualTo(300_000);
  }

  @Test
  void hoursSurviveStartsPowerCutsAndACheckpoint() {
    changes("off-gas");
    dosesFor60Minutes(0);
    dosesFor60Minutes(1);
    long spent = spentMillis();
    bench.restarts(Duration.ofSeconds(5));
    bench.reboots(Duration.ofMinutes(5));
    assertThat(spentMillis()).isEqualTo(spent);
    SiteMemory read = Checkpoint.read(Checkpoint.of(bench.state.remembered()));
    assertThat(read).usingRecursiveComparison().isEqualTo(bench.state.remembered());
    assertThat(read.tank("lagoon").carbonMillis(Carbon.OFF_GAS)).isEqualTo(spent);
    bench.connect();
    keeper.windowOpens(night(2));
    assertThat(bench.runs()).isFalse();
  }

  /** What nobody saw the end of counts as it counts against the night: all that was reserved. */
  @Test
  void aRunThatACrashCutOffCountsInFull() {
    changes("off-gas");
    keeper.windowOpens(FIRST);
    bench.live(60);
    assertThat(spentMillis()).as("what is reserved counts at once").isEqualTo(300_000);
    bench.restarts(Duration.ofSeconds(5));
    assertThat(bench.memory().run()).isNull();
    assertThat(spentMillis()).isEqualTo(300_000);
  }

  @Test
  void aChangeInTheMiddleOfADoseCountsTheWholeDose() {
    changes("off-gas");
    keeper.windowOpens(FIRST);
    bench.live(600);
    changes("off-gas");
    bench.live(30);
    assertThat(spentMillis()).isGreaterThanOrEqualTo(630_000);
  }

  /** Each carbon has its own; one that was changed lifts nothing of the other. */
  @Test
  void bothAreCountedApart() {
    ProbeBench two = keeper(Map.of(Carbon.OFF_GAS, SHORT, Carbon.EFFLUENT, CarbonLife.STANDARD));
    two.asks("note", "carbon", "off-gas");
    two.windowOpens(FIRST);
    assertThat(two.bench.runs()).isFalse();
    assertThat(two.bench.last(Kind.REFUSED).why())
        .startsWith("carbon-effluent: when the carbon on");
    two.asks("note", "carbon", "effluent");
    two.bench.live(620);
    assertThat(two.bench.runs()).isTrue();
    assertThat(two.bench.told("lagoon/state").get("carbon").toString())
        .contains("off-gas={changed=2026-01-14T21:30", "by=rosa, ozone-h=0.", "forbid-after-h=1.67")
        .contains(
            "effluent={changed=2026-01-15T01:", "remind-after-h=400.00, forbid-after-h=500.00");
  }

  @Test
  void whereNothingIsConfiguredNothingIsForbiddenAndANoteIsRefused() {
    ProbeBench none = keeper(Map.of());
    Effect.Answer answer = none.asks("note", "carbon", "effluent");
    assertThat(answer.done()).isFalse();
    assertThat(answer.what())
        .isEqualTo(
            "lagoon has no carbon on effluent by its configuration; declare it under `ozone`:"
                + " `carbon: { effluent: {} }`, or keep a remark in quotation marks");
    assertThat(none.asks("note", "carbon", "floor").what())
        .isEqualTo("\"floor\" is none of off-gas, effluent");
    none.windowOpens(FIRST);
    assertThat(none.bench.runs()).isTrue();
  }

  @Test
  void oneNoteTellsOneThing() {
    assertThat(keeper.asks("note", "carbon", "off-gas", "cleaned", "redox-a").what())
        .isEqualTo("cleaned and carbon are of notes of their own; send one for each");
  }

  /** How long ozone ran is lost with the past, so the carbon is taken for spent. */
  @Test
  void aPastThatCannotBeReadLeavesNoCarbonKnown() {
    changes("off-gas");
    AuditRecord lost =
        AuditRecord.of(
            bench.now(),
            "",
            Kind.RECOVERED,
            "torn",
            Map.of("latched", true, "night", "2026-01-14", "boot", "boot-1"));
    TankMemory after = bench.memory().apply(lost, "boot-1");
    assertThat(after.carbonMillis(Carbon.OFF_GAS)).isNull();
    AuditRecord mended =
        AuditRecord.of(bench.now(), "", Kind.RECOVERED, "torn", Map.of("latched", false));
    assertThat(bench.memory().apply(mended, "boot-1").carbonMillis(Carbon.OFF_GAS)).isZero();
  }
}

package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.interlock.Arming;
import io.github.tidewarden.interlock.Condition;
import io.github.tidewarden.interlock.InterlockSpec;
import io.github.tidewarden.interlock.TankFunction;
import java.time.Duration;
import java.util.List;
import java.util.Set;
import java.util.SplittableRandom;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

/** A signal that goes to and fro fills neither the log nor the keeper's morning (F15, F62). */
class FlappingTest {
  private static final Set<Kind> ALARMS =
      Set.of(Kind.TRIP, Kind.CLEARED, Kind.NOTICE, Kind.LATCHED);
  private static final int HOUR = 3_600;

  private Bench bench;

  /** With room ozone as the signal that flaps, idle at noon. */
  private void watchedBy(InterlockSpec spec) {
    bench =
        new Bench(
            Specs.site(Specs.with(Specs.lagoon(), spec)),
            Bench.WINDOW_OPENS.minus(Duration.ofHours(13)));
    bench.connect();
    bench.live(4);
  }

  @BeforeEach
  void plainOne() {
    watchedBy(flaps(false, 0, 0, 0, Set.of()));
  }

  private static InterlockSpec flaps(
      boolean notice, int forSeconds, int restSeconds, int count, Set<TankFunction> stops) {
    return new InterlockSpec(
        "flaps",
        new Condition.Above("room-ozone", 50),
        Arming.ALWAYS,
        notice,
        Duration.ofSeconds(forSeconds).toNanos(),
        null,
        Duration.ofSeconds(restSeconds).toNanos(),
        null,
        0,
        count,
        stops);
  }

  private void flaps(int seconds) {
    for (int second = 0; second < seconds; second++) {
      bench.says("lab/gallery/ozone", second % 2 == 0 ? "60" : "10").live(1);
    }
  }

  private List<AuditRecord> told() {
    return bench.records.stream()
        .filter(record -> ALARMS.contains(record.kind()))
        .filter(record -> "flaps".equals(record.fields().get("name")))
        .toList();
  }

  @Test
  void anHourOfFlappingIsBoundedForAnyInterlock() {
    SplittableRandom random = new SplittableRandom(20261103);
    for (int i = 0; i < 40; i++) {
      int count = random.nextInt(5);
      InterlockSpec spec =
          flaps(
              random.nextBoolean(),
              0,
              random.nextInt(3) * 10,
              count,
              random.nextBoolean() ? Specs.OZONE : Set.of());
      watchedBy(spec);
      flaps(HOUR);
      assertThat(told()).as(spec.toString()).hasSizeBetween(1, Quiet.MOST_PER_HOUR);
    }
  }

  @Test
  void theFirstThreeAreTellingAndThenOneAMinuteWithTheNumberOfTheOthers() {
    flaps(HOUR);
    assertThat(told())
        .extracting(AuditRecord::kind)
        .startsWith(Kind.TRIP, Kind.CLEARED, Kind.TRIP, Kind.CLEARED, Kind.TRIP, Kind.CLEARED);
    long repeats =
        told().stream().mapToLong(r -> (Long) r.fields().getOrDefault("repeats", 0L)).sum();
    assertThat(told().size() + repeats).isBetween(HOUR - 60L, (long) HOUR);
  }

  @Test
  void howItStandsAtLastIsRecorded() {
    flaps(101); // the last one trips
    bench.live(60);
    AuditRecord last = told().get(told().size() - 1);
    assertThat(last.kind()).isEqualTo(Kind.TRIP);
    assertThat(last.why()).contains("60.0 ppb");
    int before = told().size();
    bench.live(HOUR);
    assertThat(told()).as("it stands still").hasSize(before);
    bench.says("lab/gallery/ozone", "10").live(1);
    assertThat(told().get(before).kind()).isEqualTo(Kind.CLEARED);
  }

  /** What latches at the third trip of a night latches at the third, however fast they come. */
  @Test
  void whatCountsTowardsALatchIsAlwaysRecorded() {
    for (int count = 1; count <= 20; count++) {
      watchedBy(flaps(false, 0, 0, count, Specs.OZONE));
      flaps(2 * count - 1);
      assertThat(bench.memory().latches()).as("at trip " + count).containsOnlyKeys("flaps");
      assertThat(told().stream().filter(r -> r.kind() == Kind.TRIP)).hasSize(count);
      bench.restarts(Duration.ofSeconds(1));
      assertThat(bench.memory().latches()).containsOnlyKeys("flaps");
    }
  }

  @Test
  void onceItIsLatchedOnlyTheEndOfThatTripIsTold() {
    watchedBy(flaps(false, 0, 0, 2, Specs.OZONE));
    flaps(HOUR);
    assertThat(told())
        .extracting(AuditRecord::kind)
        .containsExactly(Kind.TRIP, Kind.CLEARED, Kind.TRIP, Kind.CLEARED);
    assertThat(bench.told("lagoon/trip/flaps")).containsEntry("latched", true);
  }

  /** A trip that was held back stands in the log before the latch that follows from it. */
  @Test
  void aLatchIsPrecededByItsTrip() {
    InterlockSpec spec =
        new InterlockSpec(
            "flaps",
            new Condition.Above("room-ozone", 50),
            Arming.ALWAYS,
            false,
            0,
            null,
            0,
            new Condition.Above("room-ozone", 50),
            Duration.ofSeconds(20).toNanos(),
            0,
            Specs.OZONE);
    watchedBy(spec);
    flaps(11);
    bench.live(25);
    List<AuditRecord> told = told();
    assertThat(told.get(told.size() - 1).kind()).isEqualTo(Kind.LATCHED);
    assertThat(told.get(told.size() - 2).kind()).isEqualTo(Kind.TRIP);
    assertThat(bench.memory().latches()).containsOnlyKeys("flaps");
  }
}

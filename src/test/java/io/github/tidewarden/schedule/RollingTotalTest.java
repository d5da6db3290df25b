package io.github.tidewarden.schedule;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatExceptionOfType;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;
import static org.assertj.core.api.Assertions.assertThatIllegalStateException;

import io.github.tidewarden.quantity.Moment;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class RollingTotalTest {

  private static final Instant EVENING = Instant.parse("2026-03-10T22:00:00Z");
  private static final LocalDate NIGHT = LocalDate.of(2026, 3, 10);
  private static final Duration DAY = Duration.ofHours(24);
  private static final String BOOT = "boot-a";
  private static final String NEXT_BOOT = "boot-b";

  @Test
  void countsARunWholeUntilItsEndIsADayOld() {
    RollingTotal total =
        RollingTotal.NOTHING.plus(run("PT0H", minutes(5))).plus(run("PT1H", minutes(7)));
    assertThat(within(total, DAY, after("PT1H"))).isEqualTo(minutes(12));
    assertThat(within(total, DAY, after("PT23H59M59.999S"))).isEqualTo(minutes(12));
    assertThat(within(total, DAY, after("PT24H"))).isEqualTo(minutes(7));
    assertThat(within(total, DAY, after("PT24H59M59.999S"))).isEqualTo(minutes(7));
    assertThat(within(total, DAY, after("PT25H"))).isZero();
  }

  @Test
  void forgetsNothingByARestart() {
    RollingTotal total = RollingTotal.NOTHING.plus(run("PT0H", minutes(5)));
    RollingTotal recovered = RollingTotal.of(total.spends());
    Moment justBefore = new Moment(EVENING.plus(DAY).minusMillis(1), 17, true);
    Moment dayLater = new Moment(EVENING.plus(DAY), 17, true);
    assertThat(recovered.spentWithin(DAY, NEXT_BOOT, justBefore)).isEqualTo(minutes(5));
    assertThat(recovered.spentWithin(DAY, NEXT_BOOT, dayLater)).isZero();
  }

  @Test
  void agesNothingWhileTheClockIsNotTrusted() {
    RollingTotal total = RollingTotal.NOTHING.plus(run("PT0H", minutes(5)));
    Moment untrusted = untrusted(after("PT100H"));
    assertThat(within(total, DAY, untrusted)).isEqualTo(minutes(5));
    assertThat(total.pruned(BOOT, untrusted)).isSameAs(total);
  }

  @Test
  void keepsANightsAccountForAsLongAsAWindowOfItMayBeOpen() {
    LocalDate next = NIGHT.plusDays(1);
    RollingTotal total =
        RollingTotal.NOTHING
            .plus(run("PT0H", minutes(5)))
            .plus(run("PT1H", minutes(6)))
            .plus(Spend.endingAt(after("PT25H"), BOOT, next, minutes(7) * 1_000_000));
    RollingTotal later = total.pruned(BOOT, after("PT48H"));
    assertThat(later).isSameAs(total);
    assertThat(later.spentInNight(NIGHT)).isEqualTo(minutes(11));
    assertThat(later.spentInNight(next)).isEqualTo(minutes(7));
    assertThat(later.spentInNight(NIGHT.minusDays(1))).isZero();
  }

  @Test
  void dropsASpendAfterThreeDays() {
    RollingTotal total =
        RollingTotal.NOTHING.plus(run("PT0H", minutes(5))).plus(run("PT1H", minutes(6)));
    assertThat(total.pruned(BOOT, after("PT71H59M59.999S")).spends()).hasSize(2);
    assertThat(total.pruned(BOOT, after("PT72H")).spends())
        .containsExactly(run("PT1H", minutes(6)));
    assertThat(total.pruned(BOOT, after("PT73H")).spends()).isEmpty();
  }

  @Test
  void refusesASpanForWhichSpendsAreNotKept() {
    assertThat(within(RollingTotal.NOTHING, RollingTotal.KEPT, after("PT0H"))).isZero();
    assertThatIllegalArgumentException()
        .isThrownBy(
            () -> within(RollingTotal.NOTHING, RollingTotal.KEPT.plusNanos(1), after("PT0H")));
  }

  @Test
  void datesWhatEndedUntrustedInAnotherBootWhenTheClockIsTrustedAgain() {
    // the clock stepped during a run, then the power went: nobody knows how long ago that was
    RollingTotal total =
        RollingTotal.NOTHING.plus(
            Spend.endingAt(untrusted(after("PT0H")), BOOT, NIGHT, minutes(5) * 1_000_000));
    Moment monthLater = after("PT720H");
    assertThat(total.spentWithin(DAY, NEXT_BOOT, monthLater)).isEqualTo(minutes(5));

    RollingTotal dated = total.pruned(NEXT_BOOT, monthLater);
    assertThat(dated.spends())
        .containsExactly(
            new Spend(
                NEXT_BOOT,
                NIGHT,
                monoMillis(after("PT720H10M")),
                after("PT720H10M").wall(),
                true,
                minutes(5)));
    assertThat(dated.pruned(NEXT_BOOT, monthLater)).isSameAs(dated);
    assertThat(dated.spentWithin(DAY, NEXT_BOOT, after("PT744H9M59.999S"))).isEqualTo(minutes(5));
    assertThat(dated.spentWithin(DAY, NEXT_BOOT, after("PT744H10M"))).isZero();
  }

  @Test
  void doesNotDateAnewWhatEndedUntrustedInThisBoot() {
    RollingTotal total =
        RollingTotal.NOTHING.plus(
            Spend.endingAt(untrusted(after("PT0H")), BOOT, NIGHT, minutes(5) * 1_000_000));
    assertThat(total.pruned(BOOT, after("PT5H"))).isSameAs(total);
    assertThat(within(total, DAY, after("PT24H"))).isZero();
  }

  /** The clock is two years wrong at a start, and right five minutes later; then the power goes. */
  @Test
  void datesWhatEndedUntrustedInThisBootOnceTheClockIsTrusted() {
    Moment start = after("PT0H");
    Moment wrong = new Moment(start.wall().minus(Duration.ofDays(730)), start.monoNanos(), false);
    RollingTotal total =
        RollingTotal.NOTHING.plus(Spend.endingAt(wrong, BOOT, NIGHT, minutes(5) * 1_000_000));
    assertThat(total.dated(BOOT, untrusted(after("PT5M")))).isSameAs(total);
    RollingTotal dated = total.dated(BOOT, after("PT5M"));
    assertThat(dated.spends().get(0).wallEnd()).isEqualTo(start.wall());
    assertThat(dated.dated(BOOT, after("PT6M"))).isSameAs(dated);
    Moment before = new Moment(start.wall().plus(DAY).minusMillis(1), 17, true);
    assertThat(dated.spentWithin(DAY, NEXT_BOOT, before)).isEqualTo(minutes(5));
    assertThat(dated.spentWithin(DAY, NEXT_BOOT, new Moment(start.wall().plus(DAY), 17, true)))
        .isZero();
  }

  @Test
  void doesNotDateAnewWhatEndedTrustedInAnotherBoot() {
    RollingTotal total = RollingTotal.NOTHING.plus(run("PT0H", minutes(5)));
    assertThat(total.pruned(NEXT_BOOT, after("PT5H"))).isSameAs(total);
    assertThat(total.pruned(NEXT_BOOT, after("PT72H")).spends()).isEmpty();
  }

  @Test
  void bearsAnEndAheadByALeaseButNotOneThatAWrongClockWrote() {
    RollingTotal ahead = RollingTotal.NOTHING.plus(run("PT10M", minutes(5)));
    assertThat(ahead.pruned(BOOT, after("PT0H"))).isSameAs(ahead);

    RollingTotal nextYear = RollingTotal.NOTHING.plus(run("PT8760H", minutes(5)));
    RollingTotal dated = nextYear.pruned(BOOT, after("PT0H"));
    assertThat(dated.spends()).containsExactly(run("PT10M", minutes(5)));
    assertThat(within(dated, DAY, after("PT24H9M"))).isEqualTo(minutes(5));
    assertThat(within(dated, DAY, after("PT24H10M"))).isZero();
  }

  @Test
  void mergesTheLeastOfANightWhenItIsFullAndForgetsNone() {
    List<Spend> spends = new ArrayList<>();
    for (int second = 0; second < RollingTotal.MOST_SPENDS; second++) {
      spends.add(run("PT" + second + "S", second == 7 ? 900 : 1_000 + second));
    }
    RollingTotal full = RollingTotal.of(spends);
    assertThat(full.spends()).isEqualTo(spends);

    RollingTotal more = full.plus(run("PT5000S", 9_000));
    assertThat(more.spends()).hasSize(RollingTotal.MOST_SPENDS);
    assertThat(more.spends().get(0)).isEqualTo(run("PT0S", 1_000));
    assertThat(more.spends().get(6)).isEqualTo(run("PT7S", 1_006 + 900));
    assertThat(more.spends().get(7)).isEqualTo(run("PT8S", 1_008));
    assertThat(more.spends().get(RollingTotal.MOST_SPENDS - 1)).isEqualTo(run("PT5000S", 9_000));
    assertThat(more.spentInNight(NIGHT)).isEqualTo(full.spentInNight(NIGHT) + 9_000);
    assertThat(within(more, DAY, after("PT24H6.999S")))
        .as("the merged one is as young as its younger part")
        .isEqualTo(full.spentInNight(NIGHT) + 9_000 - 6_015);
  }

  /** However many a night has: what is over for a while no more counts. */
  @ParameterizedTest
  @ValueSource(ints = {41, 48, 51, 80, 150})
  void ofManyInANightNoneCountsForLongerThanThreeOfThoseKept(int count) {
    long each = 1_000;
    long window = Duration.ofHours(9).toMillis();
    long late = 3 * (window / RollingTotal.MOST_SPENDS + window / count);
    RollingTotal total = RollingTotal.NOTHING;
    for (int night = 0; night < 3; night++) {
      for (int i = 0; i < count; i++) {
        long at = night * DAY.toMillis() + i * window / count;
        total = total.plus(onNight(NIGHT.plusDays(night), Duration.ofMillis(at).toString(), each));
        long counted = within(total, DAY, after(Duration.ofMillis(at).toString()));
        long truly = 0;
        long still = 0;
        for (int n = 0; n <= night; n++) {
          for (int j = 0; j < (n == night ? i + 1 : count); j++) {
            long age = at - n * DAY.toMillis() - j * window / count;
            truly += age <= DAY.toMillis() ? each : 0;
            still += age <= DAY.toMillis() + late ? each : 0;
          }
        }
        assertThat(counted).as("portion %d of night %d", i, night).isBetween(truly - each, still);
      }
    }
  }

  @Test
  void mergesWithinANightEvenWhenNightsAlternate() {
    LocalDate odd = NIGHT.plusDays(1);
    List<Spend> spends = new ArrayList<>();
    spends.add(onNight(NIGHT.minusDays(9), "PT0S", 50)); // alone in its night: stays as it is
    for (int second = 1; second <= RollingTotal.MOST_SPENDS; second++) {
      spends.add(onNight(second % 2 == 0 ? NIGHT : odd, "PT" + second + "S", 1));
    }
    RollingTotal total = RollingTotal.of(spends);
    assertThat(total.spends()).hasSize(RollingTotal.MOST_SPENDS);
    assertThat(total.spends().subList(0, 3))
        .containsExactly(
            onNight(NIGHT.minusDays(9), "PT0S", 50),
            onNight(NIGHT, "PT2S", 1),
            onNight(odd, "PT3S", 2));
    assertThat(total.spentInNight(NIGHT)).isEqualTo(RollingTotal.MOST_SPENDS / 2);
    assertThat(total.spentInNight(odd)).isEqualTo(RollingTotal.MOST_SPENDS / 2);
  }

  @Test
  void condensedKeepsOneSpendANightOfWhatIsOldAndEachOfWhatIsYoung() {
    LocalDate next = NIGHT.plusDays(1);
    RollingTotal total =
        RollingTotal.of(
            List.of(
                onNight(NIGHT, "PT2H", 30), // in the order of recording, not of their ends
                onNight(NIGHT, "PT0H", 10),
                onNight(NIGHT, "PT1H", 20),
                onNight(next, "PT23H", 7),
                onNight(next, "PT24H", 400),
                onNight(next, "PT24H0.001S", 5_000),
                onNight(next, "PT25H", 60_000)));

    RollingTotal condensed = total.condensed(DAY, BOOT, after("PT48H"));

    assertThat(condensed.spends())
        .containsExactly(
            onNight(NIGHT, "PT2H", 60),
            onNight(next, "PT24H", 407),
            onNight(next, "PT24H0.001S", 5_000),
            onNight(next, "PT25H", 60_000));
    assertThat(condensed.spentInNight(NIGHT)).isEqualTo(total.spentInNight(NIGHT));
    assertThat(within(condensed, DAY, after("PT48H")))
        .isEqualTo(within(total, DAY, after("PT48H")))
        .isEqualTo(65_000);
  }

  @Test
  void condensedIsAsYoungAsItsYoungestInWhateverOrderTheyWereRecorded() {
    RollingTotal total =
        RollingTotal.of(List.of(run("PT0H", 10), run("PT2H", 30), run("PT1H", 20)));
    assertThat(total.condensed(DAY, BOOT, after("PT30H")).spends())
        .containsExactly(run("PT2H", 60));
  }

  @Test
  void condensedForgetsWhatIsTooOldToMatter() {
    RollingTotal total = RollingTotal.NOTHING.plus(run("PT0H", 10)).plus(run("PT1H", 20));
    assertThat(total.condensed(DAY, BOOT, after("PT72H")).spends())
        .containsExactly(run("PT1H", 20));
  }

  @Test
  void refusesRatherThanForgetANight() {
    List<Spend> spends = new ArrayList<>();
    for (int night = 0; night <= RollingTotal.MOST_SPENDS; night++) {
      spends.add(onNight(NIGHT.plusDays(night), "PT0S", 1));
    }
    assertThatIllegalStateException().isThrownBy(() -> RollingTotal.of(spends));
  }

  @Test
  void refusesATotalThatDoesNotFitRatherThanWrapRound() {
    RollingTotal total =
        RollingTotal.NOTHING.plus(run("PT0H", Long.MAX_VALUE / 2_000_000)).plus(run("PT0H", 1));
    assertThat(total.spentInNight(NIGHT)).isEqualTo(Long.MAX_VALUE / 2_000_000 + 1);
    Spend huge = new Spend(BOOT, NIGHT, 0, EVENING, true, Long.MAX_VALUE);
    RollingTotal over = total.plus(huge);
    assertThatExceptionOfType(ArithmeticException.class).isThrownBy(() -> over.spentInNight(NIGHT));
    assertThatExceptionOfType(ArithmeticException.class)
        .isThrownBy(() -> within(over, DAY, after("PT1H")));
  }

  private static long within(RollingTotal total, Duration span, Moment now) {
    return total.spentWithin(span, BOOT, now);
  }

  private static Spend run(String endAfter, long millis) {
    return onNight(NIGHT, endAfter, millis);
  }

  private static Spend onNight(LocalDate night, String endAfter, long millis) {
    return Spend.endingAt(after(endAfter), BOOT, night, millis * 1_000_000);
  }

  private static Moment after(String time) {
    Duration since = Duration.parse(time);
    return new Moment(EVENING.plus(since), 40_000_000_000L + since.toNanos(), true);
  }

  private static Moment untrusted(Moment moment) {
    return new Moment(moment.wall(), moment.monoNanos(), false);
  }

  private static long monoMillis(Moment moment) {
    return moment.monoNanos() / 1_000_000;
  }

  private static long minutes(long minutes) {
    return Duration.ofMinutes(minutes).toMillis();
  }
}

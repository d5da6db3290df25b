package io.github.tidewarden.schedule;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatExceptionOfType;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;

import io.github.tidewarden.quantity.Moment;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import org.junit.jupiter.api.Test;

class SpendTest {

  private static final Instant END = Instant.parse("2026-03-10T23:00:00Z");
  private static final LocalDate NIGHT = LocalDate.of(2026, 3, 10);
  private static final long END_MONO_MILLIS = 5_000_000;

  @Test
  void withinABootIsAsOldAsTheSlowerClockSays() {
    Spend spend = spend(true);
    assertThat(age(spend, "boot-a", "PT3H", "PT3H", true)).isEqualTo("PT3H");
    assertThat(age(spend, "boot-a", "PT27H", "PT3H", true)).isEqualTo("PT3H");
    assertThat(age(spend, "boot-a", "PT2H", "PT3H", true)).isEqualTo("PT2H");
  }

  @Test
  void withinABootAgesByTheMonotonicClockThoughItsEndWasNotTrusted() {
    assertThat(age(spend(false), "boot-a", "PT500000H", "PT3H", true)).isEqualTo("PT3H");
  }

  @Test
  void acrossBootsIsAsOldAsTwoTrustedWallTimesSay() {
    assertThat(age(spend(true), "boot-b", "PT3H", "PT-1H", true)).isEqualTo("PT3H");
    assertThat(age(spend(false), "boot-b", "PT3H", "PT3H", true)).isEqualTo("PT0S");
  }

  @Test
  void doesNotAgeWhileTheClockIsNotTrusted() {
    assertThat(age(spend(true), "boot-a", "PT30H", "PT30H", false)).isEqualTo("PT0S");
    assertThat(age(spend(true), "boot-b", "PT30H", "PT30H", false)).isEqualTo("PT0S");
  }

  @Test
  void isNeverYoungerThanNothing() {
    assertThat(age(spend(true), "boot-a", "PT3H", "PT-1S", true)).isEqualTo("PT0S");
    assertThat(age(spend(true), "boot-a", "PT-1S", "PT3H", true)).isEqualTo("PT0S");
    assertThat(age(spend(true), "boot-b", "PT-1S", "PT3H", true)).isEqualTo("PT0S");
  }

  /** The other bound: what was held may have been held since, so never less than is certain. */
  @Test
  void isAtMostSoOldAsTheMonotonicClockOrTwoTrustedWallTimesSay() {
    Duration most = Duration.ofHours(9);
    Moment later =
        new Moment(END.plusSeconds(7200), (END_MONO_MILLIS + 3_600_000) * 1_000_000, true);
    Duration milli = Duration.ofMillis(1);
    assertThat(spend(true).ageAtMost("boot-a", later, most))
        .isEqualTo(Duration.ofHours(1).plus(milli));
    assertThat(spend(false).ageAtMost("boot-a", later, most))
        .isEqualTo(Duration.ofHours(1).plus(milli));
    assertThat(spend(true).ageAtMost("boot-b", later, most))
        .isEqualTo(Duration.ofHours(2).plus(milli));
    assertThat(spend(false).ageAtMost("boot-b", later, most)).isEqualTo(most);
    Moment untrusted = new Moment(later.wall(), later.monoNanos(), false);
    assertThat(spend(true).ageAtMost("boot-b", untrusted, most)).isEqualTo(most);
    assertThat(spend(true).ageAtMost("boot-a", untrusted, most))
        .isEqualTo(Duration.ofHours(1).plus(milli));
    Moment before = new Moment(END.minusSeconds(1), (END_MONO_MILLIS - 1_000) * 1_000_000, true);
    assertThat(spend(true).ageAtMost("boot-b", before, most)).as("it went back").isEqualTo(most);
    assertThat(spend(true).ageAtMost("boot-a", before, most)).isEqualTo(most);
    assertThat(spend(true).ageAtMost("boot-a", later, milli)).isEqualTo(milli);
  }

  @Test
  void roundsItsEndAndItsAmountUpToTheMillisecond() {
    Moment end = new Moment(END.plusNanos(1), 7_000_001, true);
    assertThat(Spend.endingAt(end, "boot-a", NIGHT, 1_000_001))
        .isEqualTo(new Spend("boot-a", NIGHT, 8, END.plusMillis(1), true, 2));
    Moment exact = new Moment(END, -7_000_000, false);
    assertThat(Spend.endingAt(exact, "boot-a", NIGHT, 1_000_000))
        .isEqualTo(new Spend("boot-a", NIGHT, -7, END, false, 1));
    Moment beforeOrigin = new Moment(END, -7_000_001, false);
    assertThat(Spend.endingAt(beforeOrigin, "boot-a", NIGHT, 0))
        .isEqualTo(new Spend("boot-a", NIGHT, -7, END, false, 0));
  }

  @Test
  void refusesANegativeAmount() {
    assertThatIllegalArgumentException()
        .isThrownBy(() -> new Spend("boot-a", NIGHT, 0, END, true, -1))
        .withMessageContaining("-1");
  }

  @Test
  void takesAnOlderOneIntoItself() {
    Spend older = new Spend("boot-0", NIGHT, 1, END.minusSeconds(60), false, 250);
    assertThat(spend(true).plusOlder(older))
        .isEqualTo(new Spend("boot-a", NIGHT, END_MONO_MILLIS, END, true, 1_250));
  }

  @Test
  void refusesASumThatDoesNotFitRatherThanWrapRound() {
    Spend huge = new Spend("boot-a", NIGHT, 0, END, true, Long.MAX_VALUE);
    assertThatExceptionOfType(ArithmeticException.class)
        .isThrownBy(() -> spend(true).plusOlder(huge));
  }

  private static Spend spend(boolean trusted) {
    return new Spend("boot-a", NIGHT, END_MONO_MILLIS, END, trusted, 1_000);
  }

  private static String age(
      Spend spend, String boot, String wallSince, String monoSince, boolean trusted) {
    Moment now =
        new Moment(
            END.plus(Duration.parse(wallSince)),
            END_MONO_MILLIS * 1_000_000 + Duration.parse(monoSince).toNanos(),
            trusted);
    return spend.age(boot, now).toString();
  }
}

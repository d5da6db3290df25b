package io.github.tidewarden.exchange;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import io.github.tidewarden.schedule.NightPlan;
import io.github.tidewarden.schedule.OpenWindow;
import io.github.tidewarden.schedule.WindowSpec;
import java.time.DayOfWeek;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.ZoneId;
import java.util.EnumSet;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** How much is due by when. */
class DailyShareTest {
  private static final ZoneId LISBON = ZoneId.of("Europe/Lisbon");

  @ParameterizedTest
  @CsvSource({
    "10.2, 0.5, 21",
    "10, 0.5, 20",
    "0.5, 0.5, 1",
    "0.3, 0.5, 1",
    "1.8, 0.2, 9",
    "0.9, 0.3, 3",
    "0.500001, 0.5, 2",
    "68, 6.8, 10"
  })
  void portionsAreEqualAndNoneIsOverTheConfiguredOne(double perDay, double portion, int portions) {
    ExchangeSpec spec = spec(perDay, portion);
    assertThat(DailyShare.portions(spec)).isEqualTo(portions);
    assertThat(perDay / portions).isLessThanOrEqualTo(portion + 1e-9);
  }

  @Test
  void isSpreadEvenlyOverOneWindow() {
    ExchangeSpec spec = spec(2, 0.5);
    List<OpenWindow> windows = windows("2026-01-15", window("13:00", "21:00"));
    assertThat(due(spec, windows, "2026-01-15T12:59:59Z")).isZero();
    assertThat(due(spec, windows, "2026-01-15T13:00:00Z")).isEqualTo(0.5);
    assertThat(due(spec, windows, "2026-01-15T14:59:59Z")).isEqualTo(0.5);
    assertThat(due(spec, windows, "2026-01-15T15:00:00Z")).isEqualTo(1.0);
    assertThat(due(spec, windows, "2026-01-15T19:00:00Z")).isEqualTo(2.0);
    assertThat(due(spec, windows, "2026-01-15T21:00:00Z")).isEqualTo(2.0);
    assertThat(due(spec, windows, "2026-01-16T11:59:59Z")).isEqualTo(2.0);
  }

  /** Three hours and one hour: three portions in the first, one in the second. */
  @Test
  void isSpreadOverTwoWindowsByTheirLength() {
    ExchangeSpec spec = spec(2, 0.5);
    List<OpenWindow> windows =
        windows("2026-01-15", window("14:00", "17:00"), window("02:00", "03:00"));
    assertThat(due(spec, windows, "2026-01-15T16:00:00Z")).isEqualTo(1.5);
    assertThat(due(spec, windows, "2026-01-15T16:59:59Z")).isEqualTo(1.5);
    assertThat(due(spec, windows, "2026-01-16T02:00:00Z")).isEqualTo(2.0);
  }

  @Test
  void aNightWithoutAWindowOwesNothing() {
    assertThat(due(spec(2, 0.5), List.of(), "2026-01-15T20:00:00Z")).isZero();
  }

  /** A trigger that never came, or an hour that was held up, changes nothing of what is due. */
  @Test
  void isALevelAndNotAnEdge() {
    ExchangeSpec spec = spec(10.2, 0.5);
    List<OpenWindow> windows = windows("2026-01-15", window("13:00", "22:00"));
    Instant start = Instant.parse("2026-01-15T12:00:00Z");
    double before = 0;
    for (int second = 0; second <= 86_400; second++) {
      double due = DailyShare.dueLitres(spec, windows, start.plusSeconds(second));
      assertThat(due).isBetween(before, 10.2 + 1e-9);
      assertThat(due - before).isLessThanOrEqualTo(10.2 / 21 + 1e-9);
      assertThat(DailyShare.dueLitres(spec, windows, start.plusSeconds(second))).isEqualTo(due);
      before = due;
    }
    assertThat(before).isEqualTo(10.2, within(1e-9));
  }

  /**
   * Lisbon put its clocks forward at 01:00 on 29 March 2026 and back at 02:00 on 25 October 2026: a
   * window from 00:00 to 04:00 is an hour shorter in spring and no longer in autumn, and each gives
   * the whole share.
   */
  @ParameterizedTest
  @CsvSource({"2026-03-28, 3", "2026-10-24, 4", "2026-06-01, 4"})
  void nightsOnWhichTheClocksChangeGiveTheWholeShare(String night, int hours) {
    ExchangeSpec spec = spec(2, 0.5);
    List<OpenWindow> windows = windows(night, window("00:00", "04:00"));
    OpenWindow window = windows.get(0);
    assertThat(window.interval().length()).isEqualTo(Duration.ofHours(hours));
    Instant start = window.interval().start();
    for (int portion = 0; portion < 4; portion++) {
      Instant begins = start.plus(Duration.ofHours(hours).dividedBy(4).multipliedBy(portion));
      assertThat(DailyShare.dueLitres(spec, windows, begins)).isEqualTo(0.5 * (portion + 1));
      assertThat(DailyShare.dueLitres(spec, windows, begins.minusNanos(1)))
          .isEqualTo(0.5 * portion);
    }
  }

  private static double due(ExchangeSpec spec, List<OpenWindow> windows, String instant) {
    return DailyShare.dueLitres(spec, windows, Instant.parse(instant));
  }

  private static List<OpenWindow> windows(String night, WindowSpec... specs) {
    return NightPlan.of(LocalDate.parse(night), LISBON, List.of(specs)).windows();
  }

  private static WindowSpec window(String from, String to) {
    return new WindowSpec(
        LocalTime.parse(from), LocalTime.parse(to), EnumSet.allOf(DayOfWeek.class));
  }

  private static ExchangeSpec spec(double perDay, double portion) {
    ExchangeSpec spec = ExchangeBench.PORTIONS;
    return new ExchangeSpec(
        spec.kind(),
        perDay,
        portion,
        spec.windows(),
        spec.drain(),
        spec.fill(),
        spec.level(),
        spec.bin(),
        spec.evaporationLitresPerDay(),
        spec.imbalanceLitres(),
        spec.whileOzone(),
        spec.salinitySensor(),
        spec.temperatureSensor(),
        spec.shares());
  }
}

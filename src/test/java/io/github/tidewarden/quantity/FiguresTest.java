package io.github.tidewarden.quantity;

import static org.assertj.core.api.Assertions.assertThat;

import java.math.BigDecimal;
import java.time.Instant;
import java.time.ZoneId;
import java.util.List;
import java.util.SplittableRandom;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;

class FiguresTest {
  private static final List<UnitCode> UNITS = List.of(UnitCode.values());
  private static final ZoneId LISBON = ZoneId.of("Europe/Lisbon");

  @Test
  void writesEachUnitWithItsOwnDecimals() {
    assertThat(Figures.amount(365, UnitCode.MILLIVOLT)).isEqualTo("365.0 mV");
    assertThat(Figures.amount(364.95, UnitCode.MILLIVOLT)).isEqualTo("365.0 mV");
    assertThat(Figures.amount(2.345, UnitCode.LITRE_PER_MINUTE)).isEqualTo("2.35 L/min");
    assertThat(Figures.amount(1e-7, UnitCode.LITRES)).isEqualTo("0.000 L");
    assertThat(Figures.amount(1e7, UnitCode.MILLIVOLT)).isEqualTo("10000000.0 mV");
    assertThat(Figures.amount(Double.NaN, UnitCode.MILLIVOLT)).isEqualTo("no value");
    assertThat(Figures.amount(Double.NEGATIVE_INFINITY, UnitCode.PPB)).isEqualTo("no value");
  }

  @Test
  void writesBrieflyForReading() {
    assertThat(Figures.brief(365, UnitCode.MILLIVOLT)).isEqualTo("365 mV");
    assertThat(Figures.brief(2.5, UnitCode.LITRE_PER_MINUTE)).isEqualTo("2.5 L/min");
    assertThat(Figures.brief(100, UnitCode.PPB)).isEqualTo("100 ppb");
    assertThat(Figures.brief(0, UnitCode.PPB)).isEqualTo("0 ppb");
    assertThat(Figures.brief(Double.NaN, UnitCode.PPB)).isEqualTo("no value");
  }

  @Test
  void readsBackWhatItWroteWithinHalfOfTheLastDecimal() throws NotAnAmountException {
    SplittableRandom random = new SplittableRandom(3);
    for (int i = 0; i < 20_000; i++) {
      UnitCode unit = UNITS.get(random.nextInt(UNITS.size()));
      double value =
          BigDecimal.valueOf(random.nextLong(-9_999_999, 9_999_999), unit.decimals()).doubleValue();
      assertThat(Amount.parse(Figures.amount(value, unit), unit.dimension()).in(unit))
          .isEqualTo(value);
      assertThat(Amount.parse(Figures.brief(value, unit), unit.dimension()).in(unit))
          .isEqualTo(value);
    }
  }

  @Test
  void writesASpanInTheLargestWholeUnit() throws NotAnAmountException {
    assertThat(Figures.span(0)).isEqualTo("0 s");
    assertThat(Figures.span(TimeUnit.SECONDS.toNanos(5))).isEqualTo("5 s");
    assertThat(Figures.span(TimeUnit.SECONDS.toNanos(100))).isEqualTo("100 s");
    assertThat(Figures.span(TimeUnit.MINUTES.toNanos(90))).isEqualTo("90 min");
    assertThat(Figures.span(TimeUnit.HOURS.toNanos(24))).isEqualTo("24 h");
    assertThat(Figures.span(TimeUnit.MILLISECONDS.toNanos(1500))).isEqualTo("1.5 s");
    SplittableRandom random = new SplittableRandom(4);
    for (int i = 0; i < 5_000; i++) {
      long nanos = TimeUnit.MILLISECONDS.toNanos(random.nextLong(500_000_000));
      assertThat(Amount.parse(Figures.span(nanos), Dimension.TIME).nanos()).isEqualTo(nanos);
    }
  }

  @Test
  void writesTimesInOneWay() {
    Instant at = Instant.parse("2026-07-01T00:30:05.123456Z");

    assertThat(Figures.recordTime(at)).isEqualTo("2026-07-01T00:30:05.123Z");
    assertThat(Figures.recordTime(Instant.parse("2026-07-01T00:30:05Z")))
        .isEqualTo("2026-07-01T00:30:05.000Z");
    assertThat(Figures.clock(at, LISBON)).isEqualTo("01:30");
    assertThat(Figures.clockSeconds(at, LISBON)).isEqualTo("01:30:05");
    assertThat(Figures.dateClock(at, LISBON)).isEqualTo("2026-07-01 01:30 +01:00");
  }
}

package io.github.tidewarden.quantity;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.catchThrowableOfType;

import java.math.BigDecimal;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

class AmountTest {
  private static final List<UnitCode> UNITS = List.of(UnitCode.values());
  private static final List<Dimension> DIMENSIONS = List.of(Dimension.values());

  @ParameterizedTest
  @CsvSource({
    "340 L, VOLUME, LITRES, 340",
    "0.5 L, VOLUME, MILLILITRE, 500",
    "50 mg/h, MASS_RATE, GRAM_PER_HOUR, 0.05",
    "0.4 V, POTENTIAL, MILLIVOLT, 400",
    "-5 mV, POTENTIAL, MILLIVOLT, -5",
    "90 min, TIME, HOURS, 1.5",
    "1 d, TIME, SECONDS, 86400",
    "0.1 ppm, GAS_IN_AIR, PPB, 100",
    "100 [ppb], GAS_IN_AIR, PPM, 0.1",
    "35 PSU, SALINITY, PSU, 35",
    "120 mL/mm, VOLUME_PER_LENGTH, LITRE_PER_CENTIMETRE, 1.2",
    "180 L/h, FLOW, LITRE_PER_MINUTE, 3",
    "5 mg/L, CONCENTRATION, MILLIGRAM_PER_LITRE, 5",
    "3 %, FRACTION, PERCENTS, 3",
    "25 Cel, TEMPERATURE, DEGREE_CELSIUS, 25",
    "18 cm, LENGTH, MILLIMETRE, 180"
  })
  void readsANumberAndItsUnit(String text, Dimension dimension, UnitCode in, double value)
      throws NotAnAmountException {
    assertThat(Amount.parse(text, dimension).in(in)).isEqualTo(value);
  }

  @Test
  void keepsTheNumberExact() throws NotAnAmountException {
    assertThat(Amount.parse("0.1 mL", Dimension.VOLUME).number()).isEqualTo(new BigDecimal("0.1"));
    assertThat(Amount.parse("0.1 s", Dimension.TIME).nanos()).isEqualTo(100_000_000);
    assertThat(Amount.parse("30 min", Dimension.TIME).nanos()).isEqualTo(1_800_000_000_000L);
    assertThat(Amount.parse("0.0000000019 s", Dimension.TIME).nanos()).isEqualTo(1);
    assertThat(Amount.parse("999999999999999 d", Dimension.TIME).nanos()).isEqualTo(Long.MAX_VALUE);
  }

  @ParameterizedTest
  @CsvSource(
      quoteCharacter = '^',
      value = {
        "340, VOLUME, has no unit, a volume in mL or L",
        "340L, VOLUME, exactly one space, \"340 L\"",
        "340  L, VOLUME, exactly one space, \"340 L\"",
        "340 l, VOLUME, is not a unit, \"340 L\"",
        "340 ml, VOLUME, is not a unit, \"340 mL\"",
        "340 gal, VOLUME, is not a unit, mL or L",
        "25 C, TEMPERATURE, is not a unit, \"25 Cel\"",
        "25°C, TEMPERATURE, does not have exactly one space, \"25 Cel\"",
        "30 sec, TIME, is not a unit, ms or s or min or h or d",
        "30 M, LENGTH, is not a unit, \"30 m\"",
        "30 m, TIME, is a length, ms or s or min or h or d",
        "50 mg, MASS_RATE, is a mass, mg/h or g/h",
        "100 ppb, FRACTION, is a share of the air, a percentage in %",
        "35 PSU, FRACTION, is a practical salinity, a percentage in %",
        "1.000.5 L, VOLUME, plain decimal, as number",
        "1e3 L, VOLUME, plain decimal, as number",
        "+5 L, VOLUME, plain decimal, as number",
        ".5 L, VOLUME, plain decimal, as number",
        "5. L, VOLUME, plain decimal, as number",
        "0x10 L, VOLUME, plain decimal, as number"
      })
  void refusesWhatIsNotAnAmountAndSaysWhatWouldBeRight(
      String text, Dimension wanted, String wrong, String right) {
    NotAnAmountException refused =
        catchThrowableOfType(NotAnAmountException.class, () -> Amount.parse(text, wanted));

    assertThat(refused).as(text).isNotNull();
    assertThat(refused.getMessage()).contains(wrong);
    assertThat(refused.right()).contains(right);
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "",
        " ",
        "L",
        " 340 L",
        "340 L ",
        "NaN L",
        "Infinity L",
        "-Infinity L",
        "1,5 L",
        "١٢ L",
        "--3 L",
        "- 3 L",
        "340\tL",
        "340\u00a0L",
        "1234567890123456 L",
        "0.1234567890123456 L",
        "null",
        "340 L L"
      })
  void refusesGarbage(String text) {
    assertThatThrownBy(() -> Amount.parse(text, Dimension.VOLUME))
        .isInstanceOf(NotAnAmountException.class);
  }

  @Test
  void neverThrowsAnythingButItsOwnRefusal() {
    SplittableRandom random = new SplittableRandom(20261124);
    String letters = "0123456789.,-+eE mLVsgh/%[]pb\u00b5\n\"";
    for (int i = 0; i < 50_000; i++) {
      StringBuilder text = new StringBuilder();
      int length = random.nextInt(12);
      for (int j = 0; j < length; j++) {
        text.append(letters.charAt(random.nextInt(letters.length())));
      }
      Dimension wanted = DIMENSIONS.get(random.nextInt(DIMENSIONS.size()));
      try {
        assertThat(Amount.parse(text.toString(), wanted).unit().dimension()).isEqualTo(wanted);
      } catch (NotAnAmountException expected) {
        assertThat(expected.right()).isNotBlank();
      }
    }
  }

  @Test
  void readsBackWhatItWrote() throws NotAnAmountException {
    SplittableRandom random = new SplittableRandom(1);
    for (int i = 0; i < 20_000; i++) {
      Amount amount = anyAmount(random);
      assertThat(Amount.parse(amount.format(), amount.unit().dimension())).isEqualTo(amount);
    }
  }

  @Test
  void tellsAThousandApart() throws NotAnAmountException {
    SplittableRandom random = new SplittableRandom(2);
    UnitCode[][] thousands = {
      {UnitCode.MILLIVOLT, UnitCode.VOLTS},
      {UnitCode.MILLISECOND, UnitCode.SECONDS},
      {UnitCode.MILLILITRE, UnitCode.LITRES},
      {UnitCode.MILLILITRE_PER_MINUTE, UnitCode.LITRE_PER_MINUTE},
      {UnitCode.MILLIGRAM_PER_HOUR, UnitCode.GRAM_PER_HOUR},
      {UnitCode.MILLIGRAM, UnitCode.GRAMS},
      {UnitCode.PPB, UnitCode.PPM},
      {UnitCode.MILLIMETRE, UnitCode.METRES}
    };
    for (UnitCode[] pair : thousands) {
      for (int i = 0; i < 500; i++) {
        String number = anyNumber(random).toPlainString();
        Amount small = Amount.parse(number + " " + pair[0].code(), pair[0].dimension());
        Amount large = Amount.parse(number + " " + pair[1].code(), pair[1].dimension());
        assertThat(large.unit().convert(large.number(), pair[0]))
            .isEqualByComparingTo(small.number().movePointRight(3));
      }
    }
  }

  private static Amount anyAmount(SplittableRandom random) {
    return new Amount(anyNumber(random), UNITS.get(random.nextInt(UNITS.size())));
  }

  private static BigDecimal anyNumber(SplittableRandom random) {
    return BigDecimal.valueOf(random.nextLong(-999_999_999L, 999_999_999L), random.nextInt(10));
  }
}

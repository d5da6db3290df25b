package io.github.tidewarden.quantity;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.math.BigDecimal;
import java.math.BigInteger;
import java.math.MathContext;
import java.util.Arrays;
import java.util.EnumMap;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;

/** Every accepted code against the published factor of its unit. */
class UnitCodeTest {

  /** Numerator and denominator of the factor to the first unit named in the comment. */
  private record Factor(long up, long down) {
    BigDecimal over(Factor other) {
      BigInteger numerator = BigInteger.valueOf(up).multiply(BigInteger.valueOf(other.down));
      BigInteger denominator = BigInteger.valueOf(down).multiply(BigInteger.valueOf(other.up));
      return new BigDecimal(numerator).divide(new BigDecimal(denominator), MathContext.DECIMAL128);
    }
  }

  /**
   * Prefixes milli and centi: SI Brochure, 9th edition, table 7. Minute 60 s, hour 3600 s, day 86
   * 400 s, litre 1 dm3: the same, table 8. Percent 1/100, [ppm] 1e-6 and [ppb] 1e-9: UCUM, table of
   * dimensionless units ("10*-2", "10*-6", "10*-9"). PSU: a scale of its own (PSS-78), factor 1.
   */
  private static final Map<UnitCode, Factor> PUBLISHED = new EnumMap<>(UnitCode.class);

  static {
    publish(UnitCode.MILLIVOLT, 1, 1_000); // V
    publish(UnitCode.VOLTS, 1, 1);
    publish(UnitCode.MILLISECOND, 1, 1_000); // s
    publish(UnitCode.SECONDS, 1, 1);
    publish(UnitCode.MINUTES, 60, 1);
    publish(UnitCode.HOURS, 3_600, 1);
    publish(UnitCode.DAYS, 86_400, 1);
    publish(UnitCode.MILLILITRE, 1, 1_000_000); // m3
    publish(UnitCode.LITRES, 1, 1_000);
    publish(UnitCode.MILLILITRE_PER_SECOND, 1, 1_000_000); // m3/s
    publish(UnitCode.MILLILITRE_PER_MINUTE, 1, 60_000_000);
    publish(UnitCode.LITRE_PER_MINUTE, 1, 60_000);
    publish(UnitCode.LITRE_PER_HOUR, 1, 3_600_000);
    publish(UnitCode.MILLIGRAM_PER_HOUR, 1, 3_600_000); // g/s
    publish(UnitCode.GRAM_PER_HOUR, 1, 3_600);
    publish(UnitCode.MILLIGRAM, 1, 1_000); // g
    publish(UnitCode.GRAMS, 1, 1);
    publish(UnitCode.MILLIGRAM_PER_LITRE, 1, 1); // g/m3
    publish(UnitCode.PERCENTS, 1, 100); // 1
    publish(UnitCode.PPB, 1, 1_000_000_000); // 1
    publish(UnitCode.PPM, 1, 1_000_000);
    publish(UnitCode.PSU, 1, 1); // 1
    publish(UnitCode.MILLIMETRE, 1, 1_000); // m
    publish(UnitCode.CENTIMETRE, 1, 100);
    publish(UnitCode.METRES, 1, 1);
    publish(UnitCode.DEGREE_CELSIUS, 1, 1); // Cel
    publish(UnitCode.MILLILITRE_PER_MILLIMETRE, 1, 1_000); // m2
    publish(UnitCode.LITRE_PER_CENTIMETRE, 1, 10);
  }

  private static void publish(UnitCode unit, long up, long down) {
    PUBLISHED.put(unit, new Factor(up, down));
  }

  @ParameterizedTest
  @EnumSource(UnitCode.class)
  void scalesExactlyAsPublishedToEveryUnitOfItsDimension(UnitCode from) {
    Factor ours = PUBLISHED.get(from);
    assertThat(ours).as("a published factor for %s", from).isNotNull();
    for (UnitCode to : from.dimension().units()) {
      assertThat(from.convert(BigDecimal.ONE, to))
          .as("1 %s in %s", from.code(), to.code())
          .isEqualByComparingTo(ours.over(PUBLISHED.get(to)));
    }
  }

  @ParameterizedTest
  @EnumSource(UnitCode.class)
  void isNeverTurnedIntoAnotherDimension(UnitCode from) {
    Arrays.stream(UnitCode.values())
        .filter(to -> to.dimension() != from.dimension())
        .forEach(
            to ->
                assertThatThrownBy(() -> from.convert(BigDecimal.ONE, to))
                    .as("%s to %s", from.code(), to.code())
                    .isInstanceOf(IllegalArgumentException.class));
  }

  @ParameterizedTest
  @EnumSource(UnitCode.class)
  void isFoundByItsCodeInTheRightCaseOnly(UnitCode unit) {
    assertThat(UnitCode.of(unit.code())).contains(unit);
    String swapped = swapCase(unit.code());
    if (!swapped.equals(unit.code())) {
      assertThat(UnitCode.of(swapped)).isEmpty();
    }
  }

  @Test
  void knowsTheTradesCodesBesideThoseOfUcum() {
    assertThat(UnitCode.of("ppb")).isEqualTo(UnitCode.of("[ppb]"));
    assertThat(UnitCode.of("ppm")).isEqualTo(UnitCode.of("[ppm]"));
    assertThat(UnitCode.PPM.factorTo(UnitCode.PPB)).isEqualTo(1000);
  }

  private static String swapCase(String code) {
    StringBuilder swapped = new StringBuilder();
    code.chars()
        .forEach(
            c ->
                swapped.append(
                    (char)
                        (Character.isUpperCase(c)
                            ? Character.toLowerCase(c)
                            : Character.toUpperCase(c))));
    return swapped.toString();
  }
}

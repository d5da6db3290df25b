package io.github.tidewarden.cli;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.List;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class ArgumentsTest {

  @ParameterizedTest
  @CsvSource({
    "480 mL, '', 480 mL",
    "480mL, '', 480 mL",
    "4h, '', 4 h",
    "0.25  L, '', 0.25 L",
    "35, PSU, 35 PSU",
    "35 PSU, PSU, 35 PSU",
    "25.5, Cel, 25.5 Cel",
    "120, '', 120",
    "much, PSU, much",
    "4.h, '', 4.h",
  })
  void anAmountMayBeWrittenWithoutItsSpace(String written, String unit, String read) {
    assertThat(Arguments.amount(List.of(written.split(" ")), unit)).isEqualTo(read);
  }
}

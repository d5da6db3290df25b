package io.github.tidewarden.interlock;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.interlock.Condition.Above;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Quality;
import io.github.tidewarden.sensing.Signal;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** What is said of raw and corrected signals together. */
class SeenTest {
  private static final Condition CAUSE = new Above("a", 400);

  private static Map<String, Signal> saying(String name, Verdict verdict) {
    double value = verdict == Verdict.TRUE ? 401 : 399;
    Quality quality = verdict == Verdict.UNKNOWN ? Quality.BAD : Quality.GOOD;
    return Map.of("a", GuardBench.signal(name, Measure.REDOX, value, quality, "silent"));
  }

  @ParameterizedTest
  @CsvSource({
    "TRUE, TRUE, TRUE, TRUE, a 401",
    "TRUE, FALSE, TRUE, FALSE, a 401",
    "TRUE, UNKNOWN, TRUE, UNKNOWN, a 401",
    "FALSE, TRUE, TRUE, FALSE, a corrected 401",
    "FALSE, FALSE, FALSE, FALSE, a 399",
    "FALSE, UNKNOWN, UNKNOWN, FALSE, a 399",
    "UNKNOWN, TRUE, TRUE, UNKNOWN, a corrected 401",
    "UNKNOWN, FALSE, UNKNOWN, FALSE, a 399",
    "UNKNOWN, UNKNOWN, UNKNOWN, UNKNOWN, a 399",
  })
  void aCauseIsTrueOfEitherAndOverOfBoth(
      Verdict raw, Verdict corrected, Verdict either, Verdict both, String told) {
    Seen seen = new Seen(saying("a", raw), saying("a corrected", corrected));
    assertThat(seen.either(CAUSE)).isEqualTo(either);
    assertThat(seen.both(CAUSE)).isEqualTo(both);
    assertThat(seen.told(CAUSE)).startsWith(told + ".0 mV");
  }

  @Test
  void whereNothingIsCorrectedItIsTheRawVerdict() {
    for (Verdict verdict : Verdict.values()) {
      Seen seen = Seen.raw(saying("a", verdict));
      assertThat(seen.either(CAUSE)).isEqualTo(verdict);
      assertThat(seen.both(CAUSE)).isEqualTo(verdict);
    }
  }
}

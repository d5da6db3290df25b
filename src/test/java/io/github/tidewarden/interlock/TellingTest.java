package io.github.tidewarden.interlock;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.interlock.Condition.Above;
import io.github.tidewarden.interlock.Condition.AnyOf;
import io.github.tidewarden.interlock.Condition.Apart;
import io.github.tidewarden.interlock.Condition.Below;
import io.github.tidewarden.interlock.Condition.Is;
import io.github.tidewarden.interlock.Condition.Not;
import io.github.tidewarden.interlock.Condition.Outside;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Quality;
import io.github.tidewarden.sensing.Signal;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.Test;

class TellingTest {
  private static final Map<String, Signal> SIGNALS =
      Map.of(
          "a", GuardBench.signal("a", Measure.REDOX, 421, Quality.GOOD, ""),
          "b", GuardBench.signal("b", Measure.REDOX, 338.04, Quality.GOOD, ""),
          "sump", GuardBench.signal("sump", Measure.LEVEL, 241.3, Quality.GOOD, ""),
          "floor", GuardBench.signal("floor", Measure.LEAK, 1, Quality.GOOD, ""),
          "unheard",
              GuardBench.signal("unheard", Measure.REDOX, Double.NaN, Quality.BAD, "not heard"));

  @Test
  void tellsTheValueAndTheLimitWithTheirUnits() {
    assertThat(Telling.of(new Above("a", 400), SIGNALS))
        .isEqualTo("a 421.0 mV, limit 400.0 mV or over");
    assertThat(Telling.of(new Below("b", 340), SIGNALS))
        .isEqualTo("b 338.0 mV, limit 340.0 mV or under");
    assertThat(Telling.of(new Outside("sump", 180, 240), SIGNALS))
        .isEqualTo("sump 241.3 mm (outside 180.0 mm to 240.0 mm)");
    assertThat(Telling.of(new Is("floor", true), SIGNALS)).isEqualTo("floor wet");
    assertThat(Telling.of(new Apart(List.of("b", "a"), 60), SIGNALS))
        .isEqualTo("b 338.0 mV, a 421.0 mV, limit 60.0 mV apart");
    assertThat(Telling.of(new Not(new Above("b", 340)), SIGNALS))
        .isEqualTo("not: b 338.0 mV, limit 340.0 mV or over");
  }

  @Test
  void ofSeveralPartsTellsTheFirstThatIsTrueElseAll() {
    Condition over = new AnyOf(List.of(new Above("b", 400), new Above("a", 400)));
    assertThat(Telling.of(over, SIGNALS)).isEqualTo("a 421.0 mV, limit 400.0 mV or over");
    Condition wayOver = new AnyOf(List.of(new Above("b", 450), new Above("a", 450)));
    assertThat(Telling.of(wayOver, SIGNALS))
        .isEqualTo("b 338.0 mV, limit 450.0 mV or over, a 421.0 mV, limit 450.0 mV or over");
  }

  @Test
  void ofPartsThatAllCountTellsEach() {
    Condition both = new Condition.AllOf(List.of(new Above("a", 400), new Above("b", 300)));
    assertThat(Telling.of(both, SIGNALS))
        .isEqualTo("a 421.0 mV, limit 400.0 mV or over, b 338.0 mV, limit 300.0 mV or over");
  }

  @Test
  void whatWasNeverHeardOrIsNotThereIsUnknown() {
    assertThat(Telling.of(new Above("unheard", 400), SIGNALS))
        .isEqualTo("unheard unknown, limit 400.0 mV or over");
    assertThat(Telling.of(new Above("nowhere", 400), SIGNALS)).isEqualTo("nowhere unknown");
  }
}

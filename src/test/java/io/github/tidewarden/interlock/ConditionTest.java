package io.github.tidewarden.interlock;

import static io.github.tidewarden.interlock.Verdict.FALSE;
import static io.github.tidewarden.interlock.Verdict.TRUE;
import static io.github.tidewarden.interlock.Verdict.UNKNOWN;
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
import java.util.TreeMap;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.EnumSource;

/** At or over is over; what is not good is unknown (DEVELOPERS.md, D1 and D3). */
class ConditionTest {

  private static Map<String, Signal> redox(double a) {
    return Map.of("a", GuardBench.signal("a", Measure.REDOX, a, Quality.GOOD, ""));
  }

  private static Map<String, Signal> redox(double a, double b) {
    Map<String, Signal> both = new TreeMap<>(redox(a));
    both.put("b", GuardBench.signal("b", Measure.REDOX, b, Quality.GOOD, ""));
    return both;
  }

  private static double ulpUnder(double limit) {
    return Math.nextDown(limit);
  }

  private static double ulpOver(double limit) {
    return Math.nextUp(limit);
  }

  @Test
  void atOrOverIsOver() {
    Condition over = new Above("a", 400);
    assertThat(over.verdict(redox(399))).isEqualTo(FALSE);
    assertThat(over.verdict(redox(ulpUnder(400)))).isEqualTo(FALSE);
    assertThat(over.verdict(redox(400))).isEqualTo(TRUE);
    assertThat(over.verdict(redox(ulpOver(400)))).isEqualTo(TRUE);
  }

  @Test
  void atOrUnderIsUnder() {
    Condition under = new Below("a", 200);
    assertThat(under.verdict(redox(ulpOver(200)))).isEqualTo(FALSE);
    assertThat(under.verdict(redox(200))).isEqualTo(TRUE);
    assertThat(under.verdict(redox(ulpUnder(200)))).isEqualTo(TRUE);
  }

  @Test
  void theEdgesOfARangeAreOutsideIt() {
    Condition outside = new Outside("a", 180, 240);
    assertThat(outside.verdict(redox(180))).isEqualTo(TRUE);
    assertThat(outside.verdict(redox(ulpOver(180)))).isEqualTo(FALSE);
    assertThat(outside.verdict(redox(ulpUnder(240)))).isEqualTo(FALSE);
    assertThat(outside.verdict(redox(240))).isEqualTo(TRUE);
  }

  @ParameterizedTest
  @CsvSource({"true, 1, TRUE", "true, 0, FALSE", "false, 1, FALSE", "false, 0, TRUE"})
  void aContactIsInItsStateOrNot(boolean asked, double value, Verdict verdict) {
    Map<String, Signal> floor =
        Map.of("a", GuardBench.signal("a", Measure.LEAK, value, Quality.GOOD, ""));
    assertThat(new Is("a", asked).verdict(floor)).isEqualTo(verdict);
  }

  @Test
  void probesAreApartFromTheLimitOnWhicheverIsHigher() {
    Condition apart = new Apart(List.of("a", "b"), 60);
    assertThat(apart.verdict(redox(300, ulpUnder(360)))).isEqualTo(FALSE);
    assertThat(apart.verdict(redox(300, 360))).isEqualTo(TRUE);
    assertThat(apart.verdict(redox(360, 300))).isEqualTo(TRUE);
  }

  @ParameterizedTest
  @EnumSource(
      value = Quality.class,
      names = {"UNCERTAIN", "BAD"})
  void nothingIsKnownOfASignalThatIsNotGoodOrNotThere(Quality quality) {
    Map<String, Signal> doubtful = new TreeMap<>(redox(450, 450));
    doubtful.put("b", GuardBench.signal("b", Measure.REDOX, 450, quality, "silent for 60 s"));
    for (Condition condition :
        List.of(
            new Above("b", 400),
            new Below("b", 500),
            new Outside("b", 100, 400),
            new Is("b", true),
            new Apart(List.of("a", "b"), 0),
            new Not(new Above("b", 400)))) {
      assertThat(condition.verdict(doubtful)).as(condition + " when doubtful").isEqualTo(UNKNOWN);
      assertThat(condition.verdict(redox(450))).as(condition + " unheard").isEqualTo(UNKNOWN);
    }
  }

  @ParameterizedTest
  @CsvSource({
    "399, 399, FALSE",
    "400, 399, TRUE",
    "399, 400, TRUE",
    "400, , TRUE",
    "399, , UNKNOWN",
    ", 400, TRUE",
    ", 399, UNKNOWN",
    ", , UNKNOWN"
  })
  void anyOneProbeOverTheLimitCountsWhateverTheOtherSays(Double a, Double b, Verdict verdict) {
    Map<String, Signal> signals = new TreeMap<>();
    if (a != null) {
      signals.put("a", GuardBench.signal("a", Measure.REDOX, a, Quality.GOOD, ""));
    }
    if (b != null) {
      signals.put("b", GuardBench.signal("b", Measure.REDOX, b, Quality.GOOD, ""));
    }
    Condition any = new AnyOf(List.of(new Above("a", 400), new Above("b", 400)));
    assertThat(any.verdict(signals)).isEqualTo(verdict);
  }

  @Test
  void notTurnsTrueAndFalseRound() {
    assertThat(new Not(new Above("a", 340)).verdict(redox(340))).isEqualTo(FALSE);
    assertThat(new Not(new Above("a", 340)).verdict(redox(ulpUnder(340)))).isEqualTo(TRUE);
  }

  @Test
  void namesWhatItWatchesSorted() {
    assertThat(new Above("x", 1).watched()).containsExactly("x");
    assertThat(new Below("x", 1).watched()).containsExactly("x");
    assertThat(new Outside("x", 1, 2).watched()).containsExactly("x");
    assertThat(new Is("x", true).watched()).containsExactly("x");
    assertThat(new Apart(List.of("z", "y"), 1).watched()).containsExactly("y", "z");
    assertThat(new Not(new Above("x", 1)).watched()).containsExactly("x");
    assertThat(new AnyOf(List.of(new Above("z", 1), new Below("a", 1))).watched())
        .containsExactly("a", "z");
  }

  @Test
  void aListThatChangesAfterwardsChangesNoCondition() {
    List<String> names = new java.util.ArrayList<>(List.of("a", "b"));
    Condition apart = new Apart(names, 60);
    names.clear();
    assertThat(apart.watched()).containsExactly("a", "b");
  }

  @ParameterizedTest
  @CsvSource({
    "400, 400, TRUE",
    "400, 399, FALSE",
    "399, 400, FALSE",
    "400, , UNKNOWN",
    "399, , FALSE",
    ", 400, UNKNOWN",
    ", 399, FALSE",
    ", , UNKNOWN"
  })
  void allOfNeedsEveryPart(Double a, Double b, Verdict verdict) {
    Map<String, Signal> signals = new TreeMap<>();
    if (a != null) {
      signals.put("a", GuardBench.signal("a", Measure.REDOX, a, Quality.GOOD, ""));
    }
    if (b != null) {
      signals.put("b", GuardBench.signal("b", Measure.REDOX, b, Quality.GOOD, ""));
    }
    Condition all = new Condition.AllOf(List.of(new Above("a", 400), new Above("b", 400)));
    assertThat(all.verdict(signals)).isEqualTo(verdict);
    assertThat(all.watched()).containsExactly("a", "b");
  }
}

package io.github.tidewarden.schedule;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;

import java.time.DayOfWeek;
import java.time.LocalTime;
import java.util.EnumSet;
import java.util.Set;
import org.junit.jupiter.api.Test;

class WindowSpecTest {

  private static final LocalTime TEN = LocalTime.of(22, 0);

  @Test
  void refusesAWindowThatOpensWhenItCloses() {
    assertThatIllegalArgumentException()
        .isThrownBy(() -> new WindowSpec(TEN, TEN, EnumSet.allOf(DayOfWeek.class)))
        .withMessageContaining("22:00");
  }

  @Test
  void refusesAWindowWithoutADay() {
    assertThatIllegalArgumentException()
        .isThrownBy(() -> new WindowSpec(TEN, LocalTime.MIDNIGHT, Set.of()))
        .withMessageContaining("day");
  }

  @Test
  void keepsItsDaysWhenTheCallersSetChanges() {
    Set<DayOfWeek> days = EnumSet.of(DayOfWeek.MONDAY);
    WindowSpec window = new WindowSpec(TEN, LocalTime.MIDNIGHT, days);
    days.add(DayOfWeek.FRIDAY);
    assertThat(window.days()).containsExactly(DayOfWeek.MONDAY);
  }
}

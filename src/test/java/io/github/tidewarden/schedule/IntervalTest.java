package io.github.tidewarden.schedule;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;

import java.time.Duration;
import java.time.Instant;
import org.junit.jupiter.api.Test;

class IntervalTest {

  private static final Instant START = Instant.parse("2026-03-10T22:00:00Z");
  private static final Instant END = Instant.parse("2026-03-11T01:30:00Z");
  private static final Interval INTERVAL = new Interval(START, END);

  @Test
  void holdsItsStartAndNotItsEnd() {
    assertThat(INTERVAL.contains(START.minusNanos(1))).isFalse();
    assertThat(INTERVAL.contains(START)).isTrue();
    assertThat(INTERVAL.contains(END.minusNanos(1))).isTrue();
    assertThat(INTERVAL.contains(END)).isFalse();
  }

  @Test
  void hasTheLengthThatPasses() {
    assertThat(INTERVAL.length()).isEqualTo(Duration.ofMinutes(210));
  }

  @Test
  void isNeverEmptyOrBackwards() {
    assertThatIllegalArgumentException().isThrownBy(() -> new Interval(START, START));
    assertThatIllegalArgumentException().isThrownBy(() -> new Interval(END, START));
  }
}

package io.github.tidewarden.rehearsal;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.Test;

/** The queue of what is to happen. */
class VirtualTimeTest {
  private final VirtualTime time = new VirtualTime();
  private final List<String> happened = new ArrayList<>();

  private Runnable tells(String what) {
    return () -> happened.add(what + "@" + time.nowNanos());
  }

  @Test
  void whatIsDueHappensInItsOrderAndWhatIsDueTogetherAsItWasAsked() {
    time.at(20, tells("late"));
    time.at(10, tells("first"));
    time.at(10, tells("second"));
    time.until(20);
    assertThat(happened).containsExactly("first@10", "second@10", "late@20");
  }

  @Test
  void whatSomethingAsksForHappensInTheSameSweep() {
    time.at(
        5,
        () -> {
          time.in(0, tells("at once"));
          time.in(3, tells("soon"));
        });
    time.until(7);
    assertThat(happened).containsExactly("at once@5");
    assertThat(time.nowNanos()).isEqualTo(7);
    time.until(8);
    assertThat(happened).containsExactly("at once@5", "soon@8");
  }

  @Test
  void whatIsPastHappensNext() {
    time.until(100);
    time.at(1, tells("overdue"));
    time.until(100);
    assertThat(happened).containsExactly("overdue@100");
  }
}

package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import org.junit.jupiter.api.Test;

/** What a run of the program knows of its last portion. */
class OwnPortionTest {
  private static final OwnPortion SEVENTH = OwnPortion.begun(7);

  @Test
  void teachesOnlyWhatNothingElseMoved() {
    assertThat(SEVENTH.teaches(7)).isTrue();
    assertThat(SEVENTH.teaches(6)).isFalse();
    assertThat(SEVENTH.disturbedByOthers().teaches(7)).isFalse();
    assertThat(SEVENTH.thatWasToppedOff().teaches(7)).isFalse();
  }
}

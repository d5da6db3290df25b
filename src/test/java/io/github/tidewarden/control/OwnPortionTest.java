package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import org.junit.jupiter.api.Test;

/** What a run of the program knows of its last portion. */
class OwnPortionTest {
  private static final OwnPortion SEVENTH = OwnPortion.NONE.followedBy(7);

  @Test
  void teachesOnlyWhatNothingElseMoved() {
    assertThat(SEVENTH.teaches(7)).isTrue();
    assertThat(SEVENTH.teaches(6)).isFalse();
    assertThat(SEVENTH.disturbedByOthers().teaches(7)).isFalse();
    assertThat(SEVENTH.thatWasToppedOff(0.5).teaches(7)).isFalse();
    assertThat(SEVENTH.thatWasToppedOff(0.5).followedBy(8).teaches(8)).isTrue();
  }

  @Test
  void portionsInARowThatWereToppedOffAddUpAndOneThatWasNotEndsThem() {
    OwnPortion eighth = SEVENTH.thatWasToppedOff(0.5).thatWasToppedOff(0.5).followedBy(8);
    assertThat(eighth.unsureLitres()).isEqualTo(0.5);
    assertThat(eighth.thatWasToppedOff(0.4).followedBy(9).unsureLitres()).isEqualTo(0.9);
    assertThat(eighth.followedBy(9).unsureLitres()).isZero();
    assertThat(eighth.leftToTheKeeper().unsureLitres()).isZero();
  }
}

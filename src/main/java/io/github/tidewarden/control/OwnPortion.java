package io.github.tidewarden.control;

import io.github.tidewarden.exchange.Portion;
import org.jspecify.annotations.Nullable;

/**
 * What this run of the program knows of the last portion that it began, or found under way: of an
 * older one nobody knows how long its pumps ran.
 *
 * @param number its number; 0 for none
 * @param disturbed whether others may have moved the level, or drawn from the bin, meanwhile
 * @param toppedOff whether top-off may have let fresh water in since a pump ran for it
 */
record OwnPortion(long number, boolean disturbed, boolean toppedOff) {

  /** It has begun none. */
  static final OwnPortion NONE = begun(0);

  /** One that is begun now. */
  static OwnPortion begun(long number) {
    return new OwnPortion(number, false, false);
  }

  /** One that a start of the program found under way; null for none. It teaches nothing. */
  static OwnPortion found(@Nullable Portion portion) {
    return portion == null ? NONE : begun(portion.number()).disturbedByOthers();
  }

  /** Whether it is this one. */
  boolean is(long portion) {
    return number == portion;
  }

  /** Whether it teaches what the pumps of this portion move. */
  boolean teaches(long portion) {
    return is(portion) && !disturbed && !toppedOff;
  }

  /**
   * Whether top-off may have let water into this portion, and the pumps' time tells what they did:
   * of one that was filled before a start of the program it does not.
   */
  boolean wasToppedOff(@Nullable Portion portion) {
    return portion != null && is(portion.number()) && toppedOff && portion.refills() == 0;
  }

  OwnPortion disturbedByOthers() {
    return new OwnPortion(number, true, toppedOff);
  }

  /** After top-off may have let water into it. */
  OwnPortion thatWasToppedOff() {
    return new OwnPortion(number, disturbed, true);
  }
}

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
 * @param unsureLitres what the portions in a row that were topped off were to exchange, L: of them
 *     only the pumps' rates tell what they did
 */
record OwnPortion(long number, boolean disturbed, boolean toppedOff, double unsureLitres) {

  /** It has begun none. */
  static final OwnPortion NONE = new OwnPortion(0, false, false, 0);

  /** One that a start of the program found under way; null for none. It teaches nothing. */
  static OwnPortion found(@Nullable Portion portion) {
    return portion == null ? NONE : new OwnPortion(portion.number(), true, false, 0);
  }

  /** One that is begun now. */
  OwnPortion followedBy(long next) {
    return new OwnPortion(next, false, false, toppedOff ? unsureLitres : 0);
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
    return new OwnPortion(number, true, toppedOff, unsureLitres);
  }

  /** After top-off may have let water into it, a portion of so many litres. */
  OwnPortion thatWasToppedOff(double litres) {
    return toppedOff ? this : new OwnPortion(number, disturbed, true, unsureLitres + litres);
  }

  /** A keeper is asked to measure. */
  OwnPortion leftToTheKeeper() {
    return new OwnPortion(number, disturbed, toppedOff, 0);
  }
}

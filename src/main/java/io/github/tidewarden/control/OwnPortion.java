package io.github.tidewarden.control;

/**
 * What this run of the program knows of the last portion that it began: of an older one nobody
 * knows how long its pumps ran.
 *
 * @param number its number; 0 for none
 * @param disturbed whether others may have moved the level, or drawn from the bin, meanwhile
 * @param toppedOff whether top-off may have let fresh water in since a pump ran for it
 */
record OwnPortion(long number, boolean disturbed, boolean toppedOff) {

  /** It has begun none. */
  static final OwnPortion NONE = new OwnPortion(0, false, false);

  /** One that is begun now. */
  static OwnPortion begun(long number) {
    return new OwnPortion(number, false, false);
  }

  /** Whether it is this one. */
  boolean is(long portion) {
    return number == portion;
  }

  /** Whether it teaches what the pumps of this portion move. */
  boolean teaches(long portion) {
    return is(portion) && !disturbed && !toppedOff;
  }

  OwnPortion disturbedByOthers() {
    return new OwnPortion(number, true, toppedOff);
  }

  OwnPortion thatWasToppedOff() {
    return new OwnPortion(number, disturbed, true);
  }
}

package io.github.tidewarden.exchange;

import java.time.LocalDate;

/**
 * One portion that is under way: what must survive a crash of it.
 *
 * @param number counts the portions of the tank, from 1
 * @param night whose share it is
 * @param window in which it was begun
 * @param millilitres what is to be exchanged, mL
 * @param beforeMicrometres the level before, µm; {@link #UNMEASURED} without a level sensor
 * @param targetMicrometres the level to which it is filled again, µm; else {@link #UNMEASURED}
 * @param microlitresPerMillimetre the water in one millimetre of that level by which it was begun,
 *     µL/mm; {@link #UNMEASURED} without a level sensor, {@link #UNTOLD} where it was not recorded
 * @param binMillilitres what was left in the bin of new water before, mL; {@link #UNMEASURED} when
 *     nobody knows
 * @param restarts how often the program began anew, or a fault in it was reset, while it was under
 *     way
 * @param refills how many of these starts came while it was filled: before each of them its water
 *     may have come in already
 * @param whole whether it counts whole whatever went out: the program began anew before that was
 *     known, and top-off may have filled the tank again meanwhile
 * @param stage how far it is
 * @param outMillilitres what was taken out, mL; 0 until it is known
 * @param drainedMicrometres the level after that, µm; else {@link #UNMEASURED}
 */
public record Portion(
    long number,
    LocalDate night,
    String window,
    long millilitres,
    long beforeMicrometres,
    long targetMicrometres,
    long microlitresPerMillimetre,
    long binMillilitres,
    long restarts,
    long refills,
    boolean whole,
    Stage stage,
    long outMillilitres,
    long drainedMicrometres) {

  /** In place of what nobody measures. */
  public static final long UNMEASURED = -1;

  /** In place of what a version that did not record it knew. */
  public static final long UNTOLD = 0;

  /** How far a portion is. */
  public enum Stage {
    /** Reserved; water may have been taken out. */
    DRAINING,
    /** What was taken out is known; it is, or will be, filled again. */
    FILLING
  }

  /** What is to be exchanged, L. */
  public double litres() {
    return millilitres / 1000.0;
  }

  /** What was left in the bin before, L; NaN when nobody knows. */
  public double binLitres() {
    return binMillilitres == UNMEASURED ? Double.NaN : binMillilitres / 1000.0;
  }

  /** After one more start of the program. */
  public Portion restarted() {
    return new Portion(
        number,
        night,
        window,
        millilitres,
        beforeMicrometres,
        targetMicrometres,
        microlitresPerMillimetre,
        binMillilitres,
        restarts + 1,
        stage == Stage.FILLING ? refills + 1 : refills,
        whole || stage == Stage.DRAINING,
        stage,
        outMillilitres,
        drainedMicrometres);
  }

  /** After what was taken out is known. */
  public Portion drained(long millilitresOut, long levelMicrometres) {
    return new Portion(
        number,
        night,
        window,
        millilitres,
        beforeMicrometres,
        targetMicrometres,
        microlitresPerMillimetre,
        binMillilitres,
        restarts,
        refills,
        whole,
        Stage.FILLING,
        millilitresOut,
        levelMicrometres);
  }
}

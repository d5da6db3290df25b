package io.github.tidewarden.rehearsal;

import java.time.Duration;
import java.util.Map;
import java.util.TreeMap;
import java.util.function.ToDoubleFunction;

/**
 * The water of one tank, or of tanks over one sump: a display over a sump whose level is seen.
 * Pumps move water out of the sump and in from a bin, water evaporates, a float valve makes it good
 * with fresh water, skimmate is taken off, and what lives in it makes one dissolved nutrient. All
 * of it mixes at once; salt and nutrient are balanced by mass, with a litre weighing the same
 * everywhere.
 *
 * <p>Steps of at most ten seconds: what a pump moves in a step is exact, and what it carries is off
 * by less than a millionth of what is there.
 */
final class SimulatedWater {

  /** What the pumps of one tank move, L/min. */
  private record Pumps(double out, double in) {}

  /** The float of top-off opens this far under its level, mm. */
  private static final double FLOAT_MILLIMETRES = 1;

  /** In what time what the display holds back comes down when the return stops. */
  private static final double BACK_MINUTES = Duration.ofSeconds(90).toSeconds() / 60.0;

  private static final double LONGEST_STEP_MINUTES = 1 / 6.0;
  private static final double MINUTES_A_DAY = 1440;
  private static final double NANOS_A_MINUTE = 60e9;

  private final TankModel.Water model;
  private final SimulatedBin bin;
  private SimulatedWaste waste = new SimulatedWaste(Double.POSITIVE_INFINITY);
  private final double litresPerMillimetre;
  private final double setMillimetres;
  private double sumpLitres;
  private double displayLitres;
  private double salt;
  private double nutrient;
  private double heldBackLitres;
  private final Map<String, Pumps> pumps = new TreeMap<>();
  private long nowNanos;
  private double outShare = 1;
  private double inShare = 1;
  private double lostLitresPerMinute;
  private double heldLitresPerMinute;
  private boolean returnRuns = true;
  private double heldLitres;
  private boolean topOffHeld;
  private boolean floatOpen;
  private double outLitres;
  private double inLitres;
  private double toppedLitres;

  /**
   * Water at rest.
   *
   * @param model its figures
   * @param waterLitres all of it, L
   * @param litresPerMillimetre water in a millimetre of the sump, L/mm; infinite where no level
   *     tells of it
   * @param millimetres the level now, to which top-off fills, mm
   * @param psu its practical salinity
   * @param bin from which new water comes
   * @param startNanos monotonic time now
   */
  SimulatedWater(
      TankModel.Water model,
      double waterLitres,
      double litresPerMillimetre,
      double millimetres,
      double psu,
      SimulatedBin bin,
      long startNanos) {
    this.model = model;
    nowNanos = startNanos;
    this.bin = bin;
    this.litresPerMillimetre = litresPerMillimetre;
    setMillimetres = millimetres;
    boolean seen = Double.isFinite(litresPerMillimetre);
    sumpLitres = seen ? Math.min(waterLitres, millimetres * litresPerMillimetre) : waterLitres / 4;
    displayLitres = waterLitres - sumpLitres;
    salt = waterLitres * psu;
    nutrient = waterLitres * model.nutrientMilligramsPerLitre();
  }

  /** From now on what is drained and skimmed goes there; before that, down a drain. */
  void wasteGoesTo(SimulatedWaste place) {
    waste = place;
  }

  /** What the pumps of a tank move from now on by their configured rates, L/min. */
  void pumps(String tank, double out, double in) {
    pumps.put(tank, new Pumps(out * model.drainFactor(), in * model.fillFactor()));
  }

  /** From now on the pumps move only this share of what they did; 1 for sound ones. */
  void pumpsMove(double out, double in) {
    outShare = out;
    inShare = in;
  }

  /** From now on water runs out of the sump onto the floor, as through a siphon; 0 for no more. */
  void runsOut(double litresPerMinute) {
    lostLitresPerMinute = litresPerMinute;
  }

  /** From now on a clogged weir holds so much back in the display; 0 lets all of it come down. */
  void heldBack(double litresPerMinute) {
    heldLitresPerMinute = litresPerMinute;
    if (litresPerMinute == 0) {
      sumpLitres += heldLitres;
      displayLitres -= heldLitres;
      heldLitres = 0;
    }
  }

  void returnRuns(boolean runs) {
    returnRuns = runs;
  }

  void topOffHeld(boolean held) {
    topOffHeld = held;
  }

  /** Puts the level where somebody wants it, with water of the tank. */
  void level(double millimetres) {
    double litres = Double.isFinite(litresPerMillimetre) ? millimetres * litresPerMillimetre : 0;
    double psu = psu();
    double milligrams = nutrientMilligramsPerLitre();
    sumpLitres = litres;
    salt = litres() * psu;
    nutrient = litres() * milligrams;
  }

  /** Somebody pours fresh water in until the level is so high; what it took, L. */
  double makeGood(double millimetres) {
    double litres = Math.max(0, (millimetres - levelMillimetres()) * litresPerMillimetre);
    double poured = Double.isFinite(litres) ? litres : 0;
    sumpLitres += poured;
    return poured;
  }

  /** Makes all of it as salty as this. */
  void psu(double newPsu) {
    salt = litres() * newPsu;
  }

  /** Goes on to this monotonic time; a time before the last one does nothing. */
  void advanceTo(long monoNanos) {
    double minutes = (monoNanos - nowNanos) / NANOS_A_MINUTE;
    nowNanos = Math.max(nowNanos, monoNanos);
    for (double left = minutes; left > 0; left -= LONGEST_STEP_MINUTES) {
      step(Math.min(left, LONGEST_STEP_MINUTES));
    }
  }

  private void step(double minutes) {
    double out = Math.min(outShare * rate(Pumps::out) * minutes, sumpLitres);
    double drawnPsu = bin.psu();
    double in = bin.draw(inShare * rate(Pumps::in) * minutes);
    double evaporated = model.evaporationLitresPerDay() / MINUTES_A_DAY * minutes;
    double skimmed = model.skimmateLitresPerDay() / MINUTES_A_DAY * minutes;
    double topped = topped(minutes);
    double back = back(minutes);
    double gone = out + skimmed + lostLitresPerMinute * minutes;
    double held = Math.min(heldLitresPerMinute * minutes, sumpLitres);
    heldLitres += held;
    double after = litres() + in - gone - evaporated + topped;
    double made = model.nutrientMilligramsPerLitreDay() / MINUTES_A_DAY * minutes * litres();
    salt = carried(salt, in * drawnPsu, gone, after);
    nutrient = carried(nutrient, made, gone, after);
    sumpLitres = Math.max(0, sumpLitres + in - gone - evaporated + topped + back - held);
    displayLitres += held - back;
    waste.takes(out + skimmed);
    outLitres += out;
    inLitres += in;
    toppedLitres += topped;
  }

  /** What is left of something when some comes and some goes at the mean of both ends' strength. */
  private double carried(double amount, double comes, double goneLitres, double litresAfter) {
    double before = amount / litres();
    double then = (amount + comes - goneLitres * before) / litresAfter;
    return amount + comes - goneLitres * (before + then) / 2;
  }

  private double rate(ToDoubleFunction<Pumps> of) {
    double litresPerMinute = 0;
    for (Pumps one : pumps.values()) {
      litresPerMinute += of.applyAsDouble(one);
    }
    return litresPerMinute;
  }

  private double topped(double minutes) {
    if (topOffHeld || model.topOffLitresPerMinute() <= 0) {
      floatOpen = false;
      return 0;
    }
    double missing = (setMillimetres - levelMillimetres()) * litresPerMillimetre;
    floatOpen = Double.isFinite(missing) && missing > (floatOpen ? 0 : floatLitres());
    return floatOpen ? Math.min(missing, model.topOffLitresPerMinute() * minutes) : 0;
  }

  private double floatLitres() {
    return FLOAT_MILLIMETRES * litresPerMillimetre;
  }

  /** What comes down into the sump in a step; negative when the return lifts it again. */
  private double back(double minutes) {
    double most = model.backLitres() * minutes / BACK_MINUTES;
    double wanted = returnRuns ? 0 : model.backLitres();
    double back = Math.max(-most, Math.min(most, wanted - heldBackLitres));
    heldBackLitres += back;
    return back;
  }

  private double litres() {
    return sumpLitres + displayLitres;
  }

  /** The level of the sump, mm; the one to which top-off fills where none is seen. */
  double levelMillimetres() {
    return Double.isFinite(litresPerMillimetre) ? sumpLitres / litresPerMillimetre : setMillimetres;
  }

  double psu() {
    return salt / litres();
  }

  double nutrientMilligramsPerLitre() {
    return nutrient / litres();
  }

  SimulatedBin bin() {
    return bin;
  }

  SimulatedWaste waste() {
    return waste;
  }

  /** What the drain pump has moved so far, L. */
  double outLitres() {
    return outLitres;
  }

  /** What the fill pump has moved so far, L. */
  double inLitres() {
    return inLitres;
  }

  /** The fresh water that top-off has let in so far, L. */
  double toppedLitres() {
    return toppedLitres;
  }
}

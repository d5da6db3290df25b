package io.github.tidewarden.exchange;

import java.util.SplittableRandom;

/**
 * The water of a tank as it is, for the tests: 340 L of which 120 mL lie in a millimetre of the
 * sump, with pumps that move what they really move, evaporation, a return that may stop, and a
 * sensor with noise.
 */
final class Sump {
  static final double LITRES_PER_MILLIMETRE = 0.12;
  static final double NOMINAL_MILLIMETRES = 212;
  static final double WATER_LITRES = 340;
  static final double NEW_WATER_PSU = 35;

  /** With the return at rest this much more stands in the sump, after a minute and a half. */
  static final double RETURN_MILLIMETRES = 74;

  private static final double RETURN_SECONDS = 90;

  /** What each pump really moves, L/min. */
  double drainLitresPerMinute = 0.25;

  double fillLitresPerMinute = 0.25;
  double evaporationLitresPerDay = 3.4;
  double noiseMillimetres = 1;

  /** The sensor tells whole multiples of this; 0 for every digit. */
  double resolutionMillimetres;

  /** Flows that nobody asked for, L/min. */
  double siphonLitresPerMinute;

  double weldedLitresPerMinute;
  boolean returnRuns = true;

  /** NaN for a sensor that works. */
  double stuckMillimetres = Double.NaN;

  /** What stands in the sump while the return runs. */
  double millimetres = NOMINAL_MILLIMETRES;

  double salt = WATER_LITRES * NEW_WATER_PSU;
  double outLitres;
  double inLitres;
  private double returnMillimetres;
  private final SplittableRandom random;

  Sump(long seed) {
    random = new SplittableRandom(seed);
  }

  void second(boolean drains, boolean fills) {
    out(siphonLitresPerMinute / 60 + (drains ? drainLitresPerMinute / 60 : 0));
    in(weldedLitresPerMinute / 60 + (fills ? fillLitresPerMinute / 60 : 0));
    evaporate(1);
    double step = RETURN_MILLIMETRES / RETURN_SECONDS;
    returnMillimetres =
        returnRuns
            ? Math.max(0, returnMillimetres - step)
            : Math.min(RETURN_MILLIMETRES, returnMillimetres + step);
  }

  void evaporate(double seconds) {
    millimetres -= evaporationLitresPerDay / 86_400 * seconds / LITRES_PER_MILLIMETRE;
  }

  /** Fresh water up to the nominal level, if it is below. */
  void topOff() {
    millimetres = Math.max(millimetres, NOMINAL_MILLIMETRES);
  }

  double reading() {
    if (!Double.isNaN(stuckMillimetres)) {
      return stuckMillimetres;
    }
    double seen = millimetres + returnMillimetres + noiseMillimetres * random.nextGaussian();
    return resolutionMillimetres == 0
        ? seen
        : Math.round(seen / resolutionMillimetres) * resolutionMillimetres;
  }

  double salinityPsu() {
    return salt / waterLitres();
  }

  private double waterLitres() {
    return WATER_LITRES + (millimetres - NOMINAL_MILLIMETRES) * LITRES_PER_MILLIMETRE;
  }

  private void out(double litres) {
    salt -= litres * salinityPsu();
    millimetres -= litres / LITRES_PER_MILLIMETRE;
    outLitres += litres;
  }

  private void in(double litres) {
    salt += litres * NEW_WATER_PSU;
    millimetres += litres / LITRES_PER_MILLIMETRE;
    inLitres += litres;
  }
}

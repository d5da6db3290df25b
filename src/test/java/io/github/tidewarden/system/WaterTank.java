package io.github.tidewarden.system;

import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.rehearsal.SimulatedDevice;
import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;

/**
 * The water of one tank as it is, with its two pumps and its top-off, in real time. What the pumps
 * moved is reckoned from when they truly ran, to the nanosecond. Not safe for use by several
 * threads at once.
 */
final class WaterTank {
  static final double NOMINAL_MILLIMETRES = 200;

  /** Of each reading of the level, mm. */
  static final double NOISE_MILLIMETRES = 0.3;

  private static final double NEW_WATER_PSU = 35;
  private static final double EVAPORATION_LITRES_PER_DAY = 1;
  private static final double TOP_OFF_LITRES_PER_MINUTE = 0.3;

  /** So far under its nominal level it is topped off, mm. */
  private static final double TOP_OFF_BELOW_MILLIMETRES = 1;

  /** With the return at rest so much more water stands in the sump, and so fast, L and L/min. */
  private static final double BACK_LITRES = 0.5;

  private static final double BACK_LITRES_PER_MINUTE = 1;

  /**
   * The water at a time.
   *
   * @param nanos monotonic
   * @param millimetres what stands in the sump
   * @param outLitres what the drain pump has taken out so far
   * @param inLitres what the fill pump has brought in so far
   * @param toppedLitres what top-off has brought in so far
   */
  record Sample(
      long nanos, double millimetres, double outLitres, double inLitres, double toppedLitres) {}

  final WaterFile.Tank figures;
  final SimulatedDevice drain;
  final SimulatedDevice fill;
  final SimulatedDevice hold;
  double drainLitresPerMinute = WaterFile.LITRES_PER_MINUTE * 0.95;
  double fillLitresPerMinute = WaterFile.LITRES_PER_MINUTE * 1.05;
  boolean returnRuns = true;
  boolean levelSpeaks = true;

  private final List<Sample> samples = new ArrayList<>();
  private final SplittableRandom random;
  private double sumpLitres = NOMINAL_MILLIMETRES * WaterFile.LITRES_PER_MILLIMETRE;
  private double backLitres;
  private double binLitres = 60;
  private double saltGrams = WaterFile.WATER_LITRES * NEW_WATER_PSU;
  private double outLitres;
  private double inLitres;
  private double toppedLitres;
  private boolean tops;

  WaterTank(String site, WaterFile.Tank figures, long nowNanos) {
    this.figures = figures;
    random = new SplittableRandom(figures.name().hashCode());
    String at = site + "/" + figures.name() + "/";
    drain = device("drain", TankFunction.EXCHANGE, at, WaterFile.LEASE_SECONDS, nowNanos);
    fill = device("fill", TankFunction.EXCHANGE, at, WaterFile.LEASE_SECONDS, nowNanos);
    hold = device("top-off", TankFunction.TOP_OFF, at, WaterFile.HOLD_SECONDS, nowNanos);
    samples.add(sample(nowNanos));
  }

  private static SimulatedDevice device(
      String name, TankFunction function, String at, int dropOutSeconds, long nowNanos) {
    return new SimulatedDevice(
        new ActuatorSpec(name, function, at + name + "/set", "on {seconds}", "off", dropOutSeconds),
        nowNanos);
  }

  List<SimulatedDevice> devices() {
    return List.of(drain, fill, hold);
  }

  /** Goes on to a time. */
  void advanceTo(long nanos) {
    double minutes = (nanos - samples.get(samples.size() - 1).nanos()) / 60e9;
    if (minutes <= 0) {
      return;
    }
    boolean held = hold.on();
    double drained = ran(drain, nanos) * drainLitresPerMinute;
    double filled = Math.min(binLitres, ran(fill, nanos) * fillLitresPerMinute);
    hold.advanceTo(nanos);
    saltGrams += filled * NEW_WATER_PSU - drained * psu();
    binLitres -= filled;
    sumpLitres += filled - drained - EVAPORATION_LITRES_PER_DAY / 1440 * minutes;
    outLitres += drained;
    inLitres += filled;
    tops &= millimetres() < NOMINAL_MILLIMETRES;
    tops |= millimetres() < NOMINAL_MILLIMETRES - TOP_OFF_BELOW_MILLIMETRES;
    if (tops && !held && !hold.on()) {
      sumpLitres += TOP_OFF_LITRES_PER_MINUTE * minutes;
      toppedLitres += TOP_OFF_LITRES_PER_MINUTE * minutes;
    }
    double most = BACK_LITRES_PER_MINUTE * minutes;
    double wanted = returnRuns ? 0 : BACK_LITRES;
    double comesBack = Math.max(-most, Math.min(most, wanted - backLitres));
    backLitres += comesBack;
    sumpLitres += comesBack;
    samples.add(sample(nanos));
  }

  private static double ran(SimulatedDevice pump, long nanos) {
    long before = pump.onNanos();
    pump.advanceTo(nanos);
    return (pump.onNanos() - before) / 60e9;
  }

  private Sample sample(long nanos) {
    return new Sample(nanos, millimetres(), outLitres, inLitres, toppedLitres);
  }

  double millimetres() {
    return sumpLitres / WaterFile.LITRES_PER_MILLIMETRE;
  }

  double psu() {
    double sump = NOMINAL_MILLIMETRES * WaterFile.LITRES_PER_MILLIMETRE;
    return saltGrams / (WaterFile.WATER_LITRES - sump + sumpLitres - backLitres);
  }

  double binLitres() {
    return binLitres;
  }

  /** What the level sensor says. */
  double reading() {
    return millimetres() + NOISE_MILLIMETRES * random.nextGaussian();
  }

  /** The water from the beginning until now. */
  List<Sample> samples() {
    return List.copyOf(samples);
  }
}

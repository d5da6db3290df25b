package io.github.tidewarden.gate;

/**
 * Bounds of the whole site that nothing can pass, read once at start. Each is itself within the
 * compiled-in maxima below.
 *
 * @param redoxCeilingMillivolts highest ceiling a tank may have
 * @param ozonePer24hNanos most running time of a generator in any rolling 24 h
 * @param longestDropOutSeconds longest drop-out time of any device
 * @param exchangePer24hPercent most water exchanged in any rolling 24 h, % of the tank's water
 * @param imbalancePercent most that out and in may differ, % of the tank's water
 */
public record HardLimits(
    double redoxCeilingMillivolts,
    long ozonePer24hNanos,
    int longestDropOutSeconds,
    double exchangePer24hPercent,
    double imbalancePercent) {

  /** Highest redox ceiling against Ag/AgCl 3 M KCl, mV. */
  public static final double MAX_REDOX_CEILING_MILLIVOLTS = 450;

  /**
   * Lowest redox that may permit anything, mV against any reference electrode. Living sea water
   * never reads so low; a probe in the wrong unit or off its plug does.
   */
  public static final double MIN_REDOX_MILLIVOLTS = 50;

  /**
   * Highest figure that a ceiling may have, mV against any reference electrode: the compiled-in
   * ceiling reads 657 mV against the standard hydrogen electrode.
   */
  public static final double MAX_REDOX_MILLIVOLTS = 700;

  /** Most ozone in 24 h, minutes. */
  public static final int MAX_OZONE_PER_24H_MINUTES = 240;

  /** Most ozone that one reservation takes, minutes. */
  public static final int MAX_QUANTUM_MINUTES = 5;

  /** Shortest drop-out time of a device, s. */
  public static final int MIN_DROP_OUT_SECONDS = 6;

  /** Longest drop-out time of a device, s. */
  public static final int MAX_DROP_OUT_SECONDS = 120;

  /** Longest age of an analogue reading that may still count, s. */
  public static final int MAX_ANALOGUE_STALE_SECONDS = 120;

  /** Most water exchanged in 24 h, % of the tank's water. */
  public static final double MAX_EXCHANGE_PER_24H_PERCENT = 20;

  /** Largest portion, % of the tank's water. */
  public static final double MAX_PORTION_PERCENT = 2;

  /** Largest difference of out and in, % of the tank's water. */
  public static final double MAX_IMBALANCE_PERCENT = 1;

  /** Generator output per litre of tank water that is warned about, mg/h per L. */
  public static final double WARN_MILLIGRAMS_PER_HOUR_LITRE = 0.15;

  /** Generator output per litre of tank water that is refused, mg/h per L. */
  public static final double MAX_MILLIGRAMS_PER_HOUR_LITRE = 0.5;
}

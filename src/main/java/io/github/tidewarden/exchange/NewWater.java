package io.github.tidewarden.exchange;

import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.quantity.UnitCode;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Signal;
import java.time.Duration;
import org.jspecify.annotations.Nullable;

/**
 * Whether the water in the bin is fit for the tank: a sensor in the bin says so, or a keeper has
 * confirmed a batch, it has mixed for long enough, and nobody has filled the bin since.
 */
public final class NewWater {

  /** How far a batch may be off what the configuration wants of it, PSU. */
  public static final double MOST_OFF_PSU = 1;

  /** How far new water may be off the tank's temperature, K. */
  public static final double MOST_OFF_KELVIN = 2;

  /** Without a sensor in the tank, the temperatures at which water of any reef tank is kept, °C. */
  private static final double LEAST_CELSIUS = 18;

  private static final double MOST_CELSIUS = 32;

  /**
   * A bin that holds so much more or less than was left in it, as a share of what it can hold, was
   * seen to by hand.
   */
  private static final double ODD = 0.03;

  private static final double LEAST_ODD_LITRES = 1;

  /** The same share of what the ledger says, which is off by what pumps and levels are off. */
  private static final double OFF_THE_LEDGER = 0.1;

  /** What a bin is not emptied beyond when only the ledger measures it, as a share of all of it. */
  private static final double RESERVE = 0.05;

  private NewWater() {}

  /**
   * What is known of the new water.
   *
   * @param bin the bin
   * @param confirmed whether a keeper has confirmed a batch
   * @param mixed how long it has mixed for certain; null when nothing is known to have been put in
   *     since a portion of it was begun
   * @param ledgerLitres what is left by what was drawn since, L
   * @param volume the bin's sensor; null for none
   * @param lastLitres what that sensor said when the batch was confirmed, or after the last
   *     portion, L; NaN for unknown
   */
  public record World(
      ExchangeSpec.Bin bin,
      boolean confirmed,
      @Nullable Duration mixed,
      double ledgerLitres,
      @Nullable Signal volume,
      double lastLitres) {}

  /** Why a batch of this salinity is not what the configuration wants; null when it is. */
  public static @Nullable String salinityFlaw(ExchangeSpec.Bin bin, double psu) {
    return Math.abs(psu - bin.salinityPsu()) <= MOST_OFF_PSU
        ? null
        : "a salinity of "
            + Figures.brief(psu, UnitCode.PSU)
            + " is more than "
            + Figures.brief(MOST_OFF_PSU, UnitCode.PSU)
            + " off the "
            + Figures.brief(bin.salinityPsu(), UnitCode.PSU)
            + " that `new-water` wants; mend the water, or the configuration";
  }

  /**
   * Why new water of this temperature is not fit for the tank; null when it is.
   *
   * @param tank the tank's temperature; null for a tank without a sensor
   */
  public static @Nullable String temperatureFlaw(double celsius, @Nullable Signal tank) {
    if (tank == null) {
      return celsius >= LEAST_CELSIUS && celsius <= MOST_CELSIUS
          ? null
          : Measure.TEMPERATURE.told(celsius) + " is not between 18 and 32 °C";
    }
    if (!tank.good()) {
      return tank.name() + " is " + tank.reason() + ", so nobody knows whether it is as warm";
    }
    return Math.abs(celsius - tank.value()) <= MOST_OFF_KELVIN
        ? null
        : Measure.TEMPERATURE.told(celsius)
            + " is more than 2 K off the tank, which has "
            + Measure.TEMPERATURE.told(tank.value());
  }

  /** Why no new water may be used; null when it may. */
  public static @Nullable String stop(World world) {
    // Where its salinity is measured an interlock judges that; whether it has mixed, nobody sees.
    if (!world.confirmed() && !measured(world)) {
      return "no batch of new water is confirmed; measure it and confirm it (batch)";
    }
    if (filled(world)) {
      return filledWhy(world);
    }
    Duration mixed = world.mixed();
    return mixed != null && mixed.toNanos() < world.bin().mixNanos()
        ? "the new water has mixed for "
            + mixed.toMinutes()
            + " min of "
            + Figures.span(world.bin().mixNanos())
        : null;
  }

  private static boolean measured(World world) {
    return world.bin().salinitySensor() != null;
  }

  /** Whether somebody has filled the bin since. */
  public static boolean filled(World world) {
    boolean known = world.confirmed() || measured(world);
    return (known && more(world) > oddLitres(world.bin())) || offTheLedger(world);
  }

  /** Whether somebody took water out of the bin, no portion being under way. */
  public static boolean taken(World world) {
    return -more(world) > oddLitres(world.bin());
  }

  /** By how much the bin holds more than was left in it, L; negative for less, NaN for unknown. */
  private static double more(World world) {
    Signal volume = world.volume();
    return volume != null && volume.good() ? volume.value() - world.lastLitres() : Double.NaN;
  }

  /** What a bin may be off what was left in it before somebody has been at it, L. */
  static double oddLitres(ExchangeSpec.Bin bin) {
    return Math.max(LEAST_ODD_LITRES, ODD * bin.holdsLitres());
  }

  /** Whether it holds far more than by the ledger: filled as fast as it was drawn from. */
  private static boolean offTheLedger(World world) {
    Signal volume = world.volume();
    return world.confirmed()
        && volume != null
        && volume.good()
        && volume.value() - world.ledgerLitres() > OFF_THE_LEDGER * world.bin().holdsLitres();
  }

  /** The same in the keeper's words. */
  public static String filledWhy(World world) {
    return holds(world)
        + (measured(world) ? ": it was filled" : ": it was filled, and no batch is confirmed");
  }

  /** The same of water that was taken out. */
  public static String takenWhy(World world) {
    return holds(world) + ": somebody took some out";
  }

  private static String holds(World world) {
    Signal volume = world.volume();
    return "the bin holds "
        + Figures.brief(volume == null ? Double.NaN : volume.value(), UnitCode.LITRES)
        + " where "
        + Figures.brief(world.lastLitres(), UnitCode.LITRES)
        + " were left";
  }

  /** What stays in a bin that only the ledger measures, L. */
  public static double reserveLitres(ExchangeSpec.Bin bin) {
    return RESERVE * bin.holdsLitres();
  }

  /**
   * Why the bin has too little for a portion by the ledger; null when it has, or a sensor tells.
   */
  public static @Nullable String low(World world, double portionLitres) {
    double least = portionLitres + reserveLitres(world.bin());
    return world.volume() == null && world.confirmed() && !(world.ledgerLitres() >= least)
        ? "by the ledger "
            + Figures.brief(Math.max(0, world.ledgerLitres()), UnitCode.LITRES)
            + " of new water are left; mix and confirm a new batch"
        : null;
  }
}

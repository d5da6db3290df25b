package io.github.tidewarden.config;

import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.exchange.DailyShare;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.exchange.NewWater;
import io.github.tidewarden.interlock.Condition.AnyOf;
import io.github.tidewarden.interlock.Condition.Below;
import io.github.tidewarden.interlock.InterlockSpec;
import io.github.tidewarden.science.AirLimits;
import io.github.tidewarden.science.Dilution;
import io.github.tidewarden.science.RoomLeak;
import io.github.tidewarden.science.SaltBalance;
import io.github.tidewarden.science.SeaWater;
import java.util.List;
import java.util.Map;
import java.util.stream.Stream;
import org.jspecify.annotations.Nullable;

/**
 * What {@code plan} tells of a tank when every night gives what is configured, as facts; {@link
 * PlanText} and {@link PlanJson} write them.
 */
record PlanFacts(TankSpec tank, @Nullable Exchange exchange, @Nullable Ozone ozone) {

  /** Temperature at which new water is taken to be mixed and measured, degC. */
  static final double CELSIUS = 25;

  private static final int DAYS_PER_WEEK = 7;
  private static final double MINUTES_PER_HOUR = 60;

  /**
   * The exchange of a tank.
   *
   * @param daysPerWeek days of a week in whose night a window opens
   * @param portionsPerDay on such a day
   * @param litresPerWeek out and in
   * @param newAfterWeek fraction of the water that is new after a week: compounded, for each
   *     portion takes some of the earlier ones' water out again
   * @param binDays how long a full bin lasts until it is low, on average
   * @param dryGramsPerLitre dry sea salt in a litre of new water
   * @param saltKilogramsPerYear of the mix
   */
  record Exchange(
      ExchangeSpec spec,
      int daysPerWeek,
      int portionsPerDay,
      double litresPerWeek,
      double newAfterWeek,
      double binDays,
      double dryGramsPerLitre,
      double saltKilogramsPerYear) {

    boolean everyDay() {
      return daysPerWeek == DAYS_PER_WEEK;
    }
  }

  /**
   * The ozone of a tank.
   *
   * @param mostMilligrams in a night, by the allowance
   * @param milligramsPerLitreNight the same for each litre of the tank
   * @param leak what should all of it leak; null where nothing is said of the room's air
   */
  record Ozone(double mostMilligrams, double milligramsPerLitreNight, @Nullable LeakFacts leak) {}

  /**
   * All that the generator makes let into its room, with no credit for what decays.
   *
   * @param air of the room
   * @param milligramsPerHour what the generator makes
   * @param fills how soon it comes to each limit
   */
  record LeakFacts(RoomLeak air, double milligramsPerHour, List<Fill> fills) {}

  /**
   * A limit of ozone in air; figures are cut to a tenth, on the safe side.
   *
   * @param ppb the limit
   * @param minutes until the room is there; infinite for never
   * @param harmlessMilligramsPerHour the largest generator that never brings it there
   */
  record Fill(double ppb, double minutes, double harmlessMilligramsPerHour) {}

  /**
   * The facts of one tank.
   *
   * @param air of each room of which it is said, by its name
   */
  static PlanFacts of(TankSpec tank, Map<String, RoomLeak> air) {
    ExchangeSpec exchange = tank.exchange();
    OzoneSpec ozone = tank.ozone();
    return new PlanFacts(
        tank,
        exchange == null ? null : exchange(exchange, tank),
        ozone == null ? null : ozone(ozone, tank, air));
  }

  private static Ozone ozone(OzoneSpec spec, TankSpec tank, Map<String, RoomLeak> air) {
    double milligrams = CheckFacts.milligrams(spec, spec.mostPerNightNanos());
    RoomLeak leak = air.get(tank.room());
    return new Ozone(
        milligrams,
        milligrams / tank.waterLitres(),
        leak == null
            ? null
            : new LeakFacts(
                leak,
                spec.ratedMilligramsPerHour(),
                Stream.of(AirLimits.FDA_DEVICE_PPB, AirLimits.NIOSH_CEILING_PPB)
                    .map(ppb -> fill(leak, ppb, spec.ratedMilligramsPerHour()))
                    .toList()));
  }

  private static Fill fill(RoomLeak leak, double ppb, double milligramsPerHour) {
    return new Fill(
        ppb,
        down(MINUTES_PER_HOUR * leak.hoursUntil(ppb, milligramsPerHour)),
        down(leak.largestMilligramsPerHour(ppb)));
  }

  private static double down(double figure) {
    return Math.floor(10 * figure) / 10;
  }

  /** What the exchange of a tank comes to. */
  static Exchange exchange(ExchangeSpec spec, TankSpec tank) {
    int days =
        (int) spec.windows().stream().flatMap(window -> window.days().stream()).distinct().count();
    int portions = DailyShare.portions(spec);
    double litresPerWeek = spec.litresPerDay() * days;
    double litresPerDay = litresPerWeek / DAYS_PER_WEEK;
    ExchangeSpec.Bin bin = spec.bin();
    return new Exchange(
        spec,
        days,
        portions,
        litresPerWeek,
        newFraction(spec, tank.waterLitres(), portions, days),
        (bin.holdsLitres() - lowLitres(bin, tank)) / litresPerDay,
        SeaWater.dryGramsPerLitre(bin.salinityPsu(), CELSIUS),
        SaltBalance.kilogramsPerYear(litresPerDay, bin.salinityPsu(), CELSIUS, bin.saltFactor()));
  }

  /** What a bin is not emptied beyond, L: by its sensor's `low`, or by the ledger. */
  private static double lowLitres(ExchangeSpec.Bin bin, TankSpec tank) {
    String volume = bin.volumeSensor();
    return volume == null
        ? NewWater.reserveLitres(bin)
        : tank.interlocks().stream()
            .map(InterlockSpec::cause)
            .flatMap(cause -> cause instanceof AnyOf any ? any.parts().stream() : Stream.of(cause))
            .filter(Below.class::isInstance)
            .map(Below.class::cast)
            .filter(below -> below.signal().equals(volume))
            .mapToDouble(Below::limit)
            .max()
            .orElse(0);
  }

  private static double newFraction(ExchangeSpec spec, double waterLitres, int portions, int days) {
    double perDay = spec.litresPerDay() / waterLitres;
    return switch (spec.kind()) {
      case PORTIONS -> Dilution.exchangedFraction(perDay / portions, (double) portions * days);
      case PAIRED -> Dilution.exchangedContinuousFraction(perDay * days);
    };
  }
}

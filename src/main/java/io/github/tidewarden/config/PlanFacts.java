package io.github.tidewarden.config;

import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.exchange.DailyShare;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.exchange.NewWater;
import io.github.tidewarden.interlock.Condition.AnyOf;
import io.github.tidewarden.interlock.Condition.Below;
import io.github.tidewarden.interlock.InterlockSpec;
import io.github.tidewarden.science.Dilution;
import io.github.tidewarden.science.SaltBalance;
import io.github.tidewarden.science.SeaWater;
import java.util.List;
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
   * @param fill what should all leak that is made in its room; null where no room is named
   */
  record Ozone(double mostMilligrams, double milligramsPerLitreNight, @Nullable RoomFill fill) {}

  /**
   * The facts of one tank.
   *
   * @param fills each room with a generator
   */
  static PlanFacts of(TankSpec tank, List<RoomFill> fills) {
    ExchangeSpec exchange = tank.exchange();
    OzoneSpec ozone = tank.ozone();
    return new PlanFacts(
        tank,
        exchange == null ? null : exchange(exchange, tank),
        ozone == null ? null : ozone(ozone, tank, fills));
  }

  private static Ozone ozone(OzoneSpec spec, TankSpec tank, List<RoomFill> fills) {
    double milligrams = CheckFacts.milligrams(spec, spec.mostPerNightNanos());
    return new Ozone(
        milligrams,
        milligrams / tank.waterLitres(),
        fills.stream().filter(fill -> fill.room().equals(tank.room())).findFirst().orElse(null));
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

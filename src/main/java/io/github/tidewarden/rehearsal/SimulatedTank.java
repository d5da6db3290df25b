package io.github.tidewarden.rehearsal;

import io.github.tidewarden.sensing.Measure;
import java.util.EnumMap;
import java.util.Map;
import java.util.concurrent.TimeUnit;

/**
 * The truth about one tank: what its water does, not what its sensors say. Pure and deterministic:
 * time is handed in, and the result does not depend on how often it is advanced.
 *
 * <p>Ozone is carried into the water by the skimmer's air. As the air flow falls below its normal
 * value the generator's output goes into the room instead, all of it without air: the worst case.
 * Of what reaches the water organics use up their part first. Pumps move the level, and new water
 * comes out of a bin until it is empty.
 */
public final class SimulatedTank {

  /** Over this a contact is closed. */
  private static final double HALF = 0.5;

  private final String name;
  private final TankModel model;
  private final SimulatedRoom room;
  private final RedoxResponse redox;
  private final SimulatedWater water;
  private final Map<Measure, Double> steady = new EnumMap<>(Measure.class);
  private final long startNanos;
  private double generatorMilligramsPerHour;
  private double pickUpMillivolts;

  /**
   * A tank at rest.
   *
   * @param name unique in its room
   * @param model its figures
   * @param room the room that it leaks into; advanced together with the tank
   * @param water its water, as of {@code model}; advanced together with the tank
   * @param startNanos monotonic time now
   */
  SimulatedTank(
      String name, TankModel model, SimulatedRoom room, SimulatedWater water, long startNanos) {
    this.name = name;
    this.model = model;
    this.room = room;
    this.water = water;
    this.redox = new RedoxResponse(model);
    this.startNanos = startNanos;
    model.steady().forEach((measure, value) -> steady.put(measure, value.value()));
  }

  /** Goes on to this monotonic time; a time before the last one does nothing. */
  public void advanceTo(long monoNanos) {
    water.advanceTo(monoNanos);
    room.advanceTo(monoNanos);
    redox.advanceTo(
        model.speed() * (monoNanos - startNanos) / (double) TimeUnit.SECONDS.toNanos(1));
  }

  /**
   * From the time last advanced to, the generator makes this much.
   *
   * @param milligramsPerHour ozone, mg/h, not negative; 0 at rest
   */
  public void generator(double milligramsPerHour) {
    if (generatorMilligramsPerHour != milligramsPerHour) {
      generatorMilligramsPerHour = milligramsPerHour;
      spread();
    }
  }

  /**
   * From the time last advanced to, pumps of these configured rates run. In the clock's own time,
   * as all devices.
   *
   * @param out of the drain pump, L/min, not negative; 0 at rest
   * @param in of the fill pump, L/min, not negative; 0 at rest
   */
  public void pumps(double out, double in) {
    water.pumps(name, out, in);
  }

  /** From the time last advanced to, top-off is held, or let go. */
  public void topOffHeld(boolean held) {
    water.topOffHeld(held);
  }

  /** Somebody pours fresh water in until the level is so high, mm; what it took, L. */
  public double makeGood(double millimetres) {
    return water.makeGood(millimetres);
  }

  /** Its water. */
  SimulatedWater water() {
    return water;
  }

  /** The bin from which its new water comes. */
  public SimulatedBin bin() {
    return water.bin();
  }

  /** One dissolved nutrient in its water, mg/L. */
  public double nutrientMilligramsPerLitre() {
    return water.nutrientMilligramsPerLitre();
  }

  /** What its drain pump has taken out so far, L; with that of others where they share a sump. */
  public double outLitres() {
    return water.outLitres();
  }

  /** What its fill pump has brought in so far, L; with that of others where they share a sump. */
  public double inLitres() {
    return water.inLitres();
  }

  /**
   * From the time last advanced to, a quantity that stands still has this value: no air, no
   * circulation, a wet floor.
   *
   * @throws IllegalArgumentException for redox and ozone in air, which follow from the physics
   */
  public void set(Measure measure, double value) {
    if (measure == Measure.REDOX || measure == Measure.OZONE_IN_AIR) {
      throw new IllegalArgumentException(measure.word() + " follows from the physics");
    }
    switch (measure) {
      case LEVEL -> water.level(value);
      case SALINITY -> water.psu(value);
      case VOLUME -> water.bin().holds(value);
      default -> steady.put(measure, value);
    }
    if (measure == Measure.AIR_FLOW) {
      spread();
    } else if (measure == Measure.RUNNING) {
      water.returnRuns(value >= HALF);
    }
  }

  /** Takes the skimmer's air away, or gives it back. */
  public void airLost(boolean lost) {
    set(Measure.AIR_FLOW, lost ? 0 : normal(Measure.AIR_FLOW));
  }

  /**
   * From the time last advanced to, the water is pulled down to this value without ozone, as after
   * a feeding.
   */
  public void baseline(double millivolts) {
    redox.baseline(millivolts);
  }

  /**
   * From now on every probe reads this much more for as long as the generator makes ozone: its
   * leads pick up the mains. 0 for sound again.
   *
   * @param millivolts may be negative
   */
  public void pickUp(double millivolts) {
    pickUpMillivolts = millivolts;
  }

  private void spread() {
    double normalAir = normal(Measure.AIR_FLOW);
    double carried = normalAir <= 0 ? 0 : Math.min(1, value(Measure.AIR_FLOW) / normalAir);
    double intoWater = generatorMilligramsPerHour * carried * (1 - model.leakFraction());
    redox.feed(Math.max(0, intoWater - model.redox().loadMilligramsPerHour()));
    room.leak(name, generatorMilligramsPerHour - intoWater);
  }

  private double normal(Measure measure) {
    TankModel.Steady normal = model.steady().get(measure);
    return normal == null ? 0 : normal.value();
  }

  /** Redox of the water itself, mV. */
  public double waterRedoxMillivolts() {
    return redox.waterMillivolts();
  }

  /**
   * What the water, and pick-up, has made of a probe's potential so far, mV: lag of the water's
   * part included, offset and noise not.
   *
   * @param probe index into {@link TankModel#probes()}
   */
  public double probeRedoxMillivolts(int probe) {
    return redox.probeMillivolts(probe) + (generatorMilligramsPerHour > 0 ? pickUpMillivolts : 0);
  }

  /**
   * The true value of a quantity in the core's unit; for redox that of the water. A quantity that
   * the model does not name is 0.
   */
  public double value(Measure measure) {
    return switch (measure) {
      case REDOX -> waterRedoxMillivolts();
      case OZONE_IN_AIR -> room.ozonePpb();
      case LEVEL -> water.levelMillimetres();
      case SALINITY -> water.psu();
      case VOLUME -> water.bin().litres();
      case FULL -> water.waste().full() ? 1 : steady.getOrDefault(measure, 0.0);
      case LEAK -> water.waste().runsOver() ? 1 : steady.getOrDefault(measure, 0.0);
      default -> steady.getOrDefault(measure, 0.0);
    };
  }
}

package io.github.tidewarden.rehearsal;

import io.github.tidewarden.science.RoomAir;
import io.github.tidewarden.sensing.Measure;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;

/**
 * The figures of a simulated tank.
 *
 * @param redox how the water answers ozone
 * @param probes the redox probes in the order of the tank's redox sensors, at least one; a tank
 *     with more sensors begins again at the first
 * @param steady value and noise of every quantity that stands still until something is switched, in
 *     the core's units
 * @param leakFraction share of the generator's output that escapes into the room, 0 to 1
 * @param roomAir the room that it escapes into
 * @param speed how many seconds of the tank's physics pass in one second of the clock, positive:
 *     the time constants of water, probes and room are that much shorter for who looks on. Devices
 *     keep the clock's own time, since a lease is a promise in real seconds.
 */
public record TankModel(
    Redox redox,
    List<Probe> probes,
    Map<Measure, Steady> steady,
    double leakFraction,
    RoomAir roomAir,
    double speed) {

  /**
   * First order with dead time: {@code y = baseline + gain u (1 - exp(-(t - deadTime) /
   * timeConstant))} after a step {@code u} from rest. Source: the textbook process model.
   *
   * @param startMillivolts redox of the water at the start, mV
   * @param baselineMillivolts what the organics in the water pull redox down to without ozone, mV
   * @param gainMillivoltsPerMilligramHour rise at steady state for each mg/h that reaches the water
   * @param timeConstantSeconds time constant of the water, s, positive
   * @param deadTimeSeconds from a change of the feed to the first answer of the water, s, not
   *     negative
   */
  public record Redox(
      double startMillivolts,
      double baselineMillivolts,
      double gainMillivoltsPerMilligramHour,
      double timeConstantSeconds,
      double deadTimeSeconds) {

    /**
     * Checks the bounds.
     *
     * @throws IllegalArgumentException when a figure is not finite or out of its bounds
     */
    public Redox {
      check("start", Double.isFinite(startMillivolts));
      check("baseline", Double.isFinite(baselineMillivolts));
      check("gain", Double.isFinite(gainMillivoltsPerMilligramHour));
      check("time constant", Double.isFinite(timeConstantSeconds) && timeConstantSeconds > 0);
      check("dead time", Double.isFinite(deadTimeSeconds) && deadTimeSeconds >= 0);
    }

    /** The same water starting at another redox. */
    public Redox from(double millivolts) {
      return new Redox(
          millivolts,
          baselineMillivolts,
          gainMillivoltsPerMilligramHour,
          timeConstantSeconds,
          deadTimeSeconds);
    }
  }

  /**
   * One redox probe.
   *
   * @param offsetMillivolts how far it reads from the truth, mV
   * @param lagSeconds its own first-order lag, s, not negative
   * @param noiseMillivolts standard deviation of its noise, mV, not negative
   * @param stepMillivolts resolution of its reading, such as 1 or 0.1 mV, positive
   */
  public record Probe(
      double offsetMillivolts, double lagSeconds, double noiseMillivolts, double stepMillivolts) {

    /**
     * Checks the bounds.
     *
     * @throws IllegalArgumentException when a figure is not finite or out of its bounds
     */
    public Probe {
      check("probe offset", Double.isFinite(offsetMillivolts));
      check("probe lag", Double.isFinite(lagSeconds) && lagSeconds >= 0);
      check("probe noise", Double.isFinite(noiseMillivolts) && noiseMillivolts >= 0);
      check("probe step", Double.isFinite(stepMillivolts) && stepMillivolts > 0);
    }
  }

  /**
   * A quantity that stands still.
   *
   * @param value the true value; a contact: 1 or 0
   * @param noise standard deviation of the sensor's noise, not negative
   */
  public record Steady(double value, double noise) {

    /**
     * Checks the bounds.
     *
     * @throws IllegalArgumentException when a figure is not finite or out of its bounds
     */
    public Steady {
      check("steady value", Double.isFinite(value));
      check("steady noise", Double.isFinite(noise) && noise >= 0);
    }
  }

  /**
   * Copies the collections and checks the bounds.
   *
   * @throws IllegalArgumentException when a figure is not finite or out of its bounds
   */
  public TankModel {
    probes = List.copyOf(probes);
    steady = Map.copyOf(steady);
    check("number of probes", !probes.isEmpty());
    check("leak fraction", leakFraction >= 0 && leakFraction <= 1);
    check("speed", Double.isFinite(speed) && speed > 0);
  }

  private static void check(String figure, boolean sound) {
    if (!sound) {
      throw new IllegalArgumentException(figure + " of a simulated tank is out of bounds");
    }
  }

  /**
   * A tank that its generator lifts by 100 mV in the long run, from 320 mV with a baseline of 310
   * mV, time constant 30 min, dead time 3 min, in a room of 30 m3 with the decay of an ordinary
   * home. The figures are invented to behave like a tank; they were measured on none.
   *
   * @param ratedMilligramsPerHour rated output of the generator, mg/h, positive
   */
  public static TankModel typical(double ratedMilligramsPerHour) {
    Map<Measure, Steady> steady = new EnumMap<>(Measure.class);
    steady.put(Measure.AIR_FLOW, new Steady(5, 0.05));
    steady.put(Measure.RUNNING, new Steady(1, 0));
    steady.put(Measure.LEVEL, new Steady(210, 0.3));
    steady.put(Measure.SALINITY, new Steady(35, 0.02));
    steady.put(Measure.VOLUME, new Steady(100, 0.02));
    steady.put(Measure.LEAK, new Steady(0, 0));
    steady.put(Measure.TEMPERATURE, new Steady(25, 0.01));
    return new TankModel(
        new Redox(320, 310, 100 / ratedMilligramsPerHour, 1800, 180),
        List.of(new Probe(1.5, 5, 0.4, 1), new Probe(-1.5, 10, 0.3, 0.1)),
        steady,
        0.02,
        new RoomAir(30, 0.35, 2.8),
        1);
  }

  /** The same tank with another answer to ozone. */
  public TankModel withRedox(Redox other) {
    return new TankModel(other, probes, steady, leakFraction, roomAir, speed);
  }

  /** The same tank with other probes. */
  public TankModel withProbes(List<Probe> others) {
    return new TankModel(redox, others, steady, leakFraction, roomAir, speed);
  }

  /** The same tank with another value of one quantity that stands still. */
  public TankModel withSteady(Measure measure, double value, double noise) {
    Map<Measure, Steady> changed = new EnumMap<>(Measure.class);
    changed.putAll(steady);
    changed.put(measure, new Steady(value, noise));
    return new TankModel(redox, probes, changed, leakFraction, roomAir, speed);
  }

  /** The same tank in another room. */
  public TankModel withRoom(RoomAir air, double leaking) {
    return new TankModel(redox, probes, steady, leaking, air, speed);
  }

  /** The same tank with its physics that much faster than the clock. */
  public TankModel atSpeed(double factor) {
    return new TankModel(redox, probes, steady, leakFraction, roomAir, factor);
  }
}

package io.github.tidewarden.rehearsal;

import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.interlock.TankFunction;
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
 * @param water its water, salt and what dissolves in it
 * @param speed how many seconds of the tank's physics pass in one second of the clock, positive:
 *     the time constants of water, probes and room are that much shorter for who looks on. Devices
 *     keep the clock's own time, since a lease is a promise in real seconds.
 * @param fittings what of its equipment is otherwise than typical
 */
public record TankModel(
    Redox redox,
    List<Probe> probes,
    Map<Measure, Steady> steady,
    double leakFraction,
    RoomAir roomAir,
    Water water,
    double speed,
    Fittings fittings) {

  private static final double ROOM_OZONE_NOISE_PPB = 1;
  private static final double LOOK_SECONDS = 600;
  private static final int LOOKS_A_DAY = 144;

  /**
   * First order with dead time: {@code y = baseline + gain u (1 - exp(-(t - deadTime) /
   * timeConstant))} after a step {@code u} from rest. Source: the textbook process model. What the
   * day and the weeks do comes on top of it.
   *
   * @param startMillivolts redox of the water at the start, mV
   * @param baselineMillivolts what the organics in the water pull redox down to without ozone, mV
   * @param gainMillivoltsPerMilligramHour rise at steady state for each mg/h that reaches the water
   * @param timeConstantSeconds time constant of the water, s, positive
   * @param deadTimeSeconds from a change of the feed to the first answer of the water, s, not
   *     negative
   * @param course what the day and the weeks do to it
   * @param loadMilligramsPerHour ozone that organics use up before any of it lifts redox, mg/h, not
   *     negative
   */
  public record Redox(
      double startMillivolts,
      double baselineMillivolts,
      double gainMillivoltsPerMilligramHour,
      double timeConstantSeconds,
      double deadTimeSeconds,
      DailyCourse course,
      double loadMilligramsPerHour) {

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
      check("load", Double.isFinite(loadMilligramsPerHour) && loadMilligramsPerHour >= 0);
    }

    /** Water that only ozone moves, all of which lifts it. */
    public Redox(
        double startMillivolts,
        double baselineMillivolts,
        double gainMillivoltsPerMilligramHour,
        double timeConstantSeconds,
        double deadTimeSeconds) {
      this(
          startMillivolts,
          baselineMillivolts,
          gainMillivoltsPerMilligramHour,
          timeConstantSeconds,
          deadTimeSeconds,
          DailyCourse.NONE,
          0);
    }

    /**
     * What redox of the water would be without any ozone, looked at each ten minutes, mV: on its
     * way from the start to the baseline, by the same model.
     *
     * @param days since the start
     */
    Range withoutOzone(int days) {
      Range alone = Range.NOTHING;
      for (int look = 0; look < days * LOOKS_A_DAY; look++) {
        double seconds = look * LOOK_SECONDS;
        alone =
            alone.with(
                baselineMillivolts
                    + (startMillivolts - baselineMillivolts)
                        * Math.exp(-seconds / timeConstantSeconds)
                    + course.millivolts(seconds, 0));
      }
      return alone;
    }

    /** The same water starting at another redox. */
    public Redox from(double millivolts) {
      return new Redox(
          millivolts,
          baselineMillivolts,
          gainMillivoltsPerMilligramHour,
          timeConstantSeconds,
          deadTimeSeconds,
          course,
          loadMilligramsPerHour);
    }
  }

  /**
   * One sensor, in the core's unit of what it measures.
   *
   * @param offset how far it reads from the truth
   * @param lagSeconds its own first-order lag, s, not negative
   * @param noise standard deviation of its noise, not negative
   * @param step resolution of its reading, such as 1 or 0.1 mV, positive
   * @param fouling what makes it slower
   */
  public record Probe(
      double offset, double lagSeconds, double noise, double step, Fouling fouling) {

    /**
     * Checks the bounds.
     *
     * @throws IllegalArgumentException when a figure is not finite or out of its bounds
     */
    public Probe {
      check("probe offset", Double.isFinite(offset));
      check("probe lag", Double.isFinite(lagSeconds) && lagSeconds >= 0);
      check("probe noise", Double.isFinite(noise) && noise >= 0);
      check("probe step", Double.isFinite(step) && step > 0);
    }

    /** One that stays clean. */
    public Probe(double offset, double lagSeconds, double noise, double step) {
      this(offset, lagSeconds, noise, step, Fouling.NONE);
    }
  }

  /**
   * A film that grows on a sensor, and makes it slower.
   *
   * @param secondsPerDay by how much it lengthens its lag in a day, s, not negative
   * @param cleanedEveryDays how often it is wiped off, d, positive; infinite for never
   */
  public record Fouling(double secondsPerDay, double cleanedEveryDays) {

    /** A sensor that stays clean. */
    public static final Fouling NONE = new Fouling(0, Double.POSITIVE_INFINITY);

    /**
     * Checks the bounds.
     *
     * @throws IllegalArgumentException when a figure is out of its bounds
     */
    public Fouling {
      check("fouling", Double.isFinite(secondsPerDay) && secondsPerDay >= 0);
      check("cleaning", cleanedEveryDays > 0);
    }

    /** The lag that it adds after so many days, s. */
    double lagSeconds(double days) {
      return secondsPerDay * (Double.isInfinite(cleanedEveryDays) ? days : days % cleanedEveryDays);
    }
  }

  /**
   * What of a tank's equipment is otherwise than typical.
   *
   * @param sensors those other than its redox probes, by name
   * @param faults of devices, all the time, by name
   * @param newWaterOffPsu by how much what is mixed is saltier than the keeper believes; may be
   *     negative
   * @param wasteLitres what the waste takes before it runs over, L, positive; infinite for a drain
   */
  public record Fittings(
      Map<String, Probe> sensors,
      Map<String, SimulatedDevice.Fault> faults,
      double newWaterOffPsu,
      double wasteLitres) {

    /** All of it typical. */
    public static final Fittings TYPICAL =
        new Fittings(Map.of(), Map.of(), 0, Double.POSITIVE_INFINITY);

    /**
     * Copies the maps and checks the bounds.
     *
     * @throws IllegalArgumentException when a figure is out of its bounds
     */
    public Fittings {
      sensors = Map.copyOf(sensors);
      faults = Map.copyOf(faults);
      check("salinity of new water", Double.isFinite(newWaterOffPsu));
      check("waste", wasteLitres > 0);
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
   * The water, and what happens to it without the daemon. Volumes are in litres, and a day is one
   * of the clock's.
   *
   * @param evaporationLitresPerDay L/d, not negative
   * @param topOffLitresPerMinute what the float valve lets in, L/min; 0 for none
   * @param skimmateLitresPerDay L/d, not negative
   * @param backLitres what comes down from the display when the return stops, L, not negative
   * @param drainFactor what the drain pump truly moves, as a share of its configured rate
   * @param fillFactor the same of the fill pump
   * @param nutrientMilligramsPerLitre of one dissolved nutrient at the start, such as nitrate, mg/L
   * @param nutrientMilligramsPerLitreDay what feeding makes of it, mg/L a day
   */
  public record Water(
      double evaporationLitresPerDay,
      double topOffLitresPerMinute,
      double skimmateLitresPerDay,
      double backLitres,
      double drainFactor,
      double fillFactor,
      double nutrientMilligramsPerLitre,
      double nutrientMilligramsPerLitreDay) {

    /** Water that only the pumps move. */
    public static final Water STILL = new Water(0, 0, 0, 0, 1, 1, 0, 0);

    /**
     * Checks the bounds.
     *
     * @throws IllegalArgumentException when a figure is not finite or negative
     */
    public Water {
      for (double figure :
          new double[] {
            evaporationLitresPerDay,
            topOffLitresPerMinute,
            skimmateLitresPerDay,
            backLitres,
            drainFactor,
            fillFactor,
            nutrientMilligramsPerLitre,
            nutrientMilligramsPerLitreDay
          }) {
        check("water", Double.isFinite(figure) && figure >= 0);
      }
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

  static void check(String figure, boolean sound) {
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
        Water.STILL,
        1,
        Fittings.TYPICAL);
  }

  /**
   * A tank as its configuration describes it, with typical figures for the rest and its redox moved
   * by nothing but ozone: the level in the middle of where it is to be kept, a full bin, 1 % of the
   * water evaporating in a day (common practice, no published source), made good by a float valve
   * where something can hold it, and 5 % of the water over the weir when the return stops. The
   * other figures are invented.
   */
  public static TankModel typical(TankSpec tank) {
    OzoneSpec ozone = tank.ozone();
    TankModel model = typical(ozone == null ? 1 : ozone.ratedMilligramsPerHour());
    ExchangeSpec exchange = tank.exchange();
    ExchangeSpec.Level level = exchange == null ? null : exchange.level();
    if (exchange != null) {
      model =
          model
              .withSteady(Measure.VOLUME, exchange.bin().holdsLitres(), 0.02)
              .withSteady(Measure.SALINITY, exchange.bin().salinityPsu(), 0.02);
    }
    if (level != null) {
      model =
          model.withSteady(
              Measure.LEVEL, (level.lowMillimetres() + level.highMillimetres()) / 2, 0.3);
    }
    boolean held =
        tank.actuators().stream().anyMatch(actuator -> actuator.function() == TankFunction.TOP_OFF);
    double litres = tank.waterLitres();
    return model.withWater(
        new Water(litres / 100, held ? litres / 1000 : 0, 0, litres / 20, 1, 1, 5, 0.5));
  }

  /** A sensor of anything but redox that is fast and true but for its noise. */
  Probe typical(Measure measure) {
    Steady stands = steady.get(measure);
    double noise = stands == null ? 0 : stands.noise();
    return new Probe(
        0,
        0,
        measure == Measure.OZONE_IN_AIR ? ROOM_OZONE_NOISE_PPB : noise,
        Math.pow(10, -measure.decimals()));
  }

  /** The same tank with another answer to ozone. */
  public TankModel withRedox(Redox other) {
    return new TankModel(other, probes, steady, leakFraction, roomAir, water, speed, fittings);
  }

  /** The same tank with other probes. */
  public TankModel withProbes(List<Probe> others) {
    return new TankModel(redox, others, steady, leakFraction, roomAir, water, speed, fittings);
  }

  /** The same tank with another value of one quantity that stands still. */
  public TankModel withSteady(Measure measure, double value, double noise) {
    Map<Measure, Steady> changed = new EnumMap<>(Measure.class);
    changed.putAll(steady);
    changed.put(measure, new Steady(value, noise));
    return new TankModel(redox, probes, changed, leakFraction, roomAir, water, speed, fittings);
  }

  /** The same tank in another room. */
  public TankModel withRoom(RoomAir air, double leaking) {
    return new TankModel(redox, probes, steady, leaking, air, water, speed, fittings);
  }

  /** The same tank with its physics that much faster than the clock. */
  public TankModel atSpeed(double factor) {
    return new TankModel(redox, probes, steady, leakFraction, roomAir, water, factor, fittings);
  }

  /** The same tank with other water. */
  public TankModel withWater(Water other) {
    return new TankModel(redox, probes, steady, leakFraction, roomAir, other, speed, fittings);
  }

  /** The same tank with other equipment. */
  public TankModel withFittings(Fittings others) {
    return new TankModel(redox, probes, steady, leakFraction, roomAir, water, speed, others);
  }
}

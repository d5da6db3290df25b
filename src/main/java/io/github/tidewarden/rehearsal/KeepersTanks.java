package io.github.tidewarden.rehearsal;

import io.github.tidewarden.config.Drill;
import io.github.tidewarden.config.SensorFigure;
import io.github.tidewarden.config.TankFigure;
import io.github.tidewarden.config.TankFigures;
import io.github.tidewarden.config.TankModelFile;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.science.Nernst;
import io.github.tidewarden.science.RoomAir;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.SensorSpec;
import java.time.LocalTime;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/**
 * Tanks as a keeper's tank model has them, and typical in what it does not say. Typical is a tank
 * that lives: its redox swings with the day and wanders, organics use up ozone, probes foul, pumps
 * move a little less or more than configured. Of these figures only that of the swing has a source;
 * {@link TankModel#typical(TankSpec)} is the same tank without all that.
 */
public final class KeepersTanks implements TankModels {
  private static final double DAY_SECONDS = TimeUnit.DAYS.toSeconds(1);
  private static final double MINUTE_SECONDS = TimeUnit.MINUTES.toSeconds(1);
  private static final double LITRES_A_CUBIC_METRE = 1000;

  /** When redox is at its highest unless it is said: before the lights, pH being lowest. */
  private static final LocalTime HIGHEST_AT = LocalTime.of(7, 0);

  /** A rehearsal begins with a night, at noon. */
  private static final LocalTime START = LocalTime.NOON;

  /** Half of what an ideal electrode does at 25 degC in a day between pH 8.0 and 8.2. */
  private static final double SWING_MILLIVOLTS = Nernst.slopeMillivoltsPerPh(25) * 0.2 / 2;

  private static final double DRIFT_MILLIVOLTS_PER_DAY = 0.2;

  /** What organics use up, of what the generator can make. */
  private static final double LOAD_SHARE = 0.05;

  /** A probe's lag grows by 2 s a day, and it is wiped every two weeks. */
  private static final TankModel.Fouling FOULING = new TankModel.Fouling(2, 14);

  /** Of the water, in a day. */
  private static final double SKIMMATE_SHARE = 0.001;

  private static final double DRAIN_FACTOR = 0.97;
  private static final double FILL_FACTOR = 1.02;

  private final @Nullable TankModelFile file;
  private final Map<String, TankModel> known = new HashMap<>();

  /** Typical tanks. */
  public KeepersTanks() {
    file = null;
  }

  /** The tanks of a file. */
  public KeepersTanks(TankModelFile file) {
    this.file = file;
  }

  @Override
  public @Nullable TankModelFile file() {
    return file;
  }

  @Override
  public TankModel apply(TankSpec tank) {
    TankFigures said = file == null ? TankFigures.TYPICAL : file.of(tank.name());
    return known.computeIfAbsent(tank.name(), name -> model(tank, said));
  }

  /** A tank of which nobody has said anything. */
  private static TankModel living(TankSpec tank) {
    TankModel still = TankModel.typical(tank);
    TankModel.Redox redox = still.redox();
    TankModel.Water water = still.water();
    double highest = HIGHEST_AT.toSecondOfDay() - START.toSecondOfDay();
    return still
        .withRedox(
            new TankModel.Redox(
                redox.startMillivolts(),
                redox.baselineMillivolts(),
                redox.gainMillivoltsPerMilligramHour(),
                redox.timeConstantSeconds(),
                redox.deadTimeSeconds(),
                new DailyCourse(SWING_MILLIVOLTS, highest, DRIFT_MILLIVOLTS_PER_DAY),
                LOAD_SHARE * ratedMilligramsPerHour(tank)))
        .withProbes(
            still.probes().stream()
                .map(
                    probe ->
                        new TankModel.Probe(
                            probe.offset(),
                            probe.lagSeconds(),
                            probe.noise(),
                            probe.step(),
                            FOULING))
                .toList())
        .withWater(
            new TankModel.Water(
                water.evaporationLitresPerDay(),
                water.topOffLitresPerMinute(),
                SKIMMATE_SHARE * tank.waterLitres(),
                water.backLitres(),
                DRAIN_FACTOR,
                FILL_FACTOR,
                water.nutrientMilligramsPerLitre(),
                water.nutrientMilligramsPerLitreDay()));
  }

  private static double ratedMilligramsPerHour(TankSpec tank) {
    return tank.ozone() == null ? 1 : tank.ozone().ratedMilligramsPerHour();
  }

  private static TankModel model(TankSpec tank, TankFigures said) {
    TankModel typical = living(tank);
    TankModel model =
        typical
            .withRedox(redox(tank, said, typical.redox()))
            .withProbes(probes(tank, said, typical))
            .withRoom(
                room(said, typical.roomAir()),
                share(said, TankFigure.ESCAPES, typical.leakFraction()))
            .withWater(water(said, typical.water()))
            .withFittings(fittings(tank, said, typical));
    model = stands(model, said, Measure.LEVEL, TankFigure.LEVEL_AT_START);
    model = stands(model, said, Measure.SALINITY, TankFigure.SALINITY_AT_START);
    model = stands(model, said, Measure.TEMPERATURE, TankFigure.TEMPERATURE);
    model = stands(model, said, Measure.VOLUME, TankFigure.BIN_AT_START);
    return stands(model, said, Measure.AIR_FLOW, TankFigure.AIR_FLOW);
  }

  private static TankModel stands(
      TankModel model, TankFigures said, Measure measure, TankFigure figure) {
    TankModel.Steady typical = model.steady().getOrDefault(measure, new TankModel.Steady(0, 0));
    return model.withSteady(measure, said.value(figure, typical.value()), typical.noise());
  }

  private static TankModel.Redox redox(TankSpec tank, TankFigures said, TankModel.Redox typical) {
    TankFigures.Figure gain = said.figures().get(TankFigure.GAIN);
    DailyCourse course = typical.course();
    double highest = said.value(TankFigure.HIGHEST_AT, HIGHEST_AT.toSecondOfDay() / MINUTE_SECONDS);
    return new TankModel.Redox(
        said.value(TankFigure.REDOX_AT_START, typical.startMillivolts()),
        said.value(TankFigure.WITHOUT_OZONE, typical.baselineMillivolts()),
        gain == null
            ? typical.gainMillivoltsPerMilligramHour()
            : gain.value() / ratedMilligramsPerHour(tank),
        said.value(TankFigure.TIME_CONSTANT, typical.timeConstantSeconds()),
        said.value(TankFigure.DEAD_TIME, typical.deadTimeSeconds()),
        new DailyCourse(
            said.value(TankFigure.DAILY_SWING, course.swingMillivolts()),
            highest * MINUTE_SECONDS - START.toSecondOfDay(),
            said.value(TankFigure.DRIFT_PER_DAY, course.driftMillivoltsPerDay())),
        said.value(TankFigure.ORGANIC_LOAD, typical.loadMilligramsPerHour()));
  }

  private static List<TankModel.Probe> probes(TankSpec tank, TankFigures said, TankModel typical) {
    List<TankModel.Probe> probes = new ArrayList<>();
    for (SensorSpec sensor : tank.sensors()) {
      if (sensor.measure() == Measure.REDOX) {
        int like = probes.size() % typical.probes().size();
        probes.add(probe(said, sensor, typical.probes().get(like)));
      }
    }
    return probes.isEmpty() ? typical.probes() : probes;
  }

  private static TankModel.Probe probe(
      TankFigures said, SensorSpec sensor, TankModel.Probe typical) {
    Map<SensorFigure, TankFigures.Figure> own =
        said.sensors().getOrDefault(sensor.name(), Map.of());
    return new TankModel.Probe(
        value(own, SensorFigure.OFFSET, typical.offset()),
        value(own, SensorFigure.LAG, typical.lagSeconds()),
        value(own, SensorFigure.NOISE, typical.noise()),
        value(own, SensorFigure.STEP, typical.step()),
        new TankModel.Fouling(
            value(own, SensorFigure.FOULING_PER_DAY, typical.fouling().secondsPerDay()),
            value(
                    own,
                    SensorFigure.CLEANED_EVERY,
                    typical.fouling().cleanedEveryDays() * DAY_SECONDS)
                / DAY_SECONDS));
  }

  private static double value(
      Map<SensorFigure, TankFigures.Figure> own, SensorFigure figure, double typical) {
    TankFigures.Figure given = own.get(figure);
    return given == null ? typical : given.value();
  }

  private static double share(TankFigures said, TankFigure figure, double typical) {
    TankFigures.Figure given = said.figures().get(figure);
    return given == null ? typical : given.value() / 100;
  }

  private static RoomAir room(TankFigures said, RoomAir typical) {
    return new RoomAir(
        said.value(TankFigure.ROOM_VOLUME, typical.volumeCubicMetres() * LITRES_A_CUBIC_METRE)
            / LITRES_A_CUBIC_METRE,
        share(said, TankFigure.AIR_CHANGES, typical.airChangesPerHour()),
        share(said, TankFigure.DECAY, typical.decayPerHour()));
  }

  private static TankModel.Water water(TankFigures said, TankModel.Water typical) {
    return new TankModel.Water(
        said.value(TankFigure.EVAPORATION, typical.evaporationLitresPerDay()),
        said.value(TankFigure.TOP_OFF, typical.topOffLitresPerMinute()),
        said.value(TankFigure.SKIMMATE, typical.skimmateLitresPerDay()),
        said.value(TankFigure.COMES_DOWN, typical.backLitres()),
        share(said, TankFigure.DRAIN, typical.drainFactor()),
        share(said, TankFigure.FILL, typical.fillFactor()),
        said.value(TankFigure.NUTRIENT_AT_START, typical.nutrientMilligramsPerLitre()),
        said.value(TankFigure.NUTRIENT_PER_DAY, typical.nutrientMilligramsPerLitreDay()));
  }

  private static TankModel.Fittings fittings(TankSpec tank, TankFigures said, TankModel typical) {
    Map<String, TankModel.Probe> sensors = new HashMap<>();
    for (SensorSpec sensor : tank.sensors()) {
      if (sensor.measure() != Measure.REDOX && said.sensors().containsKey(sensor.name())) {
        sensors.put(sensor.name(), probe(said, sensor, typical.typical(sensor.measure())));
      }
    }
    Map<String, SimulatedDevice.Fault> faults = new HashMap<>();
    said.devices()
        .forEach(
            (device, state) -> {
              if (state != Drill.DeviceState.SOUND) {
                faults.put(device, fault(state));
              }
            });
    ExchangeSpec exchange = tank.exchange();
    double meant = exchange == null ? 0 : exchange.bin().salinityPsu();
    return new TankModel.Fittings(
        sensors,
        faults,
        said.value(TankFigure.NEW_SALINITY, meant) - meant,
        said.value(TankFigure.WASTE_HOLDS, Double.POSITIVE_INFINITY));
  }

  private static SimulatedDevice.Fault fault(Drill.DeviceState state) {
    return switch (state) {
      case WELDED -> SimulatedDevice.Fault.WELDED;
      case DEAF -> SimulatedDevice.Fault.DEAF;
      case MUTE -> SimulatedDevice.Fault.MUTE;
      case WAKES_ON -> SimulatedDevice.Fault.WAKES_ON;
      case UNPOWERED -> SimulatedDevice.Fault.DEAD;
      case SOUND -> throw new IllegalArgumentException("nothing is wrong with a sound device");
    };
  }
}

package io.github.tidewarden.config;

import static io.github.tidewarden.quantity.UnitCode.LITRES;
import static io.github.tidewarden.quantity.UnitCode.PERCENTS;
import static io.github.tidewarden.quantity.UnitCode.PSU;
import static io.github.tidewarden.quantity.UnitCode.SECONDS;

import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.science.SeaWater;
import io.github.tidewarden.sensing.Measure;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/** Reads {@code new-water}, a bin of new water. */
final class BinReader {
  /** What a file is asked to say of a bin. */
  static final String EXAMPLE = "{ holds: 120 L, salinity: 35 PSU }";

  private static final Limits SALT_FACTOR = Limits.between(PERCENTS, 100, 200);

  /** How long new water mixes before it is used: common practice, no published source. */
  private static final long MIXED_FOR = TimeUnit.HOURS.toNanos(4);

  private static final Limits MIXING = Limits.between(SECONDS, 0, 7 * 86_400.0);

  /**
   * What was read.
   *
   * @param inDoubt whether it could not be told which sensor is the bin's
   */
  record NewWater(ExchangeSpec.Bin bin, boolean inDoubt) {

    /** Whether a sensor stands in the bin and not in the tank. */
    boolean has(Sensor sensor) {
      return sensor.name().equals(bin.salinitySensor())
          || sensor.name().equals(bin.temperatureSensor());
    }

    /** Whether a sensor can guard: volumes only of this bin, all else only of the tank. */
    boolean guardedBy(Sensor sensor) {
      return sensor.measure() == Measure.VOLUME
          ? inDoubt || sensor.name().equals(bin.volumeSensor())
          : !has(sensor);
    }
  }

  private final Section section;
  private final List<Sensor> sensors;
  private boolean inDoubt;

  private BinReader(Section section, List<Sensor> sensors) {
    this.section = section;
    this.sensors = sensors;
  }

  /** In place of a bin that is missing. */
  static NewWater missing(String name) {
    return new NewWater(
        new ExchangeSpec.Bin(name, Double.NaN, Double.NaN, Double.NaN, 0, null, null, null), true);
  }

  /**
   * Reads a bin.
   *
   * @param name the tank's, or that of the shared equipment
   * @param sensors those among which the bin's are
   */
  static NewWater read(String name, Section section, List<Sensor> sensors) {
    BinReader reader = new BinReader(section, sensors);
    ExchangeSpec.Bin bin =
        new ExchangeSpec.Bin(
            name,
            section.number("holds", Limits.positive(LITRES), "120 L"),
            section.number("salinity", Limits.positive(PSU, SeaWater.MAX_PSU), "35 PSU"),
            section.number("salt-factor", SALT_FACTOR, 100) / 100,
            section.nanos("mixed-for", MIXING, MIXED_FOR),
            reader.volumeSensor(),
            reader.named("salinity-sensor", Measure.SALINITY),
            reader.named("temperature-sensor", Measure.TEMPERATURE));
    return new NewWater(bin, reader.inDoubt);
  }

  private @Nullable String volumeSensor() {
    return sensors.stream()
        .filter(sensor -> sensor.measure() == Measure.VOLUME)
        .map(Sensor::name)
        .findFirst()
        .orElse(null);
  }

  /** The sensor that a key names; null for none, and after a complaint. */
  private @Nullable String named(String key, Measure measure) {
    Optional<Value> value = section.optional(key);
    String name = value.map(given -> named(given, measure)).orElse(null);
    inDoubt |= value.isPresent() && name == null;
    return name;
  }

  private @Nullable String named(Value value, Measure measure) {
    String name = value.text();
    if (name == null) {
      return null;
    }
    for (Sensor sensor : sensors) {
      if (sensor.name().equals(name) && sensor.measure() != measure) {
        value.complain(
            "`" + name + "` measures " + sensor.measure().word(),
            "a sensor that measures `" + measure.word() + "`");
        return null;
      }
    }
    return value.oneOf(
        sensors.stream().filter(s -> s.measure() == measure).map(Sensor::name).toList());
  }
}

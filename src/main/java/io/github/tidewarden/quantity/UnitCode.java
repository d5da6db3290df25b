package io.github.tidewarden.quantity;

import static javax.measure.MetricPrefix.CENTI;
import static javax.measure.MetricPrefix.MILLI;
import static tech.units.indriya.unit.Units.CELSIUS;
import static tech.units.indriya.unit.Units.DAY;
import static tech.units.indriya.unit.Units.GRAM;
import static tech.units.indriya.unit.Units.HOUR;
import static tech.units.indriya.unit.Units.LITRE;
import static tech.units.indriya.unit.Units.METRE;
import static tech.units.indriya.unit.Units.MINUTE;
import static tech.units.indriya.unit.Units.PERCENT;
import static tech.units.indriya.unit.Units.SECOND;
import static tech.units.indriya.unit.Units.VOLT;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.HashMap;
import java.util.Map;
import java.util.Optional;
import javax.measure.IncommensurableException;
import javax.measure.Unit;
import tech.units.indriya.AbstractUnit;

/**
 * The units that are accepted: a closed list of case-sensitive UCUM codes, and beside them the
 * trade's own {@code ppb}, {@code ppm} and {@code PSU}.
 */
@SuppressWarnings("ImmutableEnumChecker") // a unit of the library never changes
public enum UnitCode {
  /** Millivolt. */
  MILLIVOLT("mV", Dimension.POTENTIAL, MILLI(VOLT), 1),
  /** Volt. */
  VOLTS("V", Dimension.POTENTIAL, VOLT, 4),
  /** Millisecond. */
  MILLISECOND("ms", Dimension.TIME, MILLI(SECOND), 0),
  /** Second. */
  SECONDS("s", Dimension.TIME, SECOND, 3),
  /** Minute. */
  MINUTES("min", Dimension.TIME, MINUTE, 1),
  /** Hour. */
  HOURS("h", Dimension.TIME, HOUR, 2),
  /** Day of 24 h. */
  DAYS("d", Dimension.TIME, DAY, 2),
  /** Millilitre. */
  MILLILITRE("mL", Dimension.VOLUME, MILLI(LITRE), 1),
  /** Litre. */
  LITRES("L", Dimension.VOLUME, LITRE, 3),
  /** Millilitre per second. */
  MILLILITRE_PER_SECOND("mL/s", Dimension.FLOW, MILLI(LITRE).divide(SECOND), 3),
  /** Millilitre per minute. */
  MILLILITRE_PER_MINUTE("mL/min", Dimension.FLOW, MILLI(LITRE).divide(MINUTE), 1),
  /** Litre per minute. */
  LITRE_PER_MINUTE("L/min", Dimension.FLOW, LITRE.divide(MINUTE), 2),
  /** Litre per hour. */
  LITRE_PER_HOUR("L/h", Dimension.FLOW, LITRE.divide(HOUR), 2),
  /** Milligram per hour. */
  MILLIGRAM_PER_HOUR("mg/h", Dimension.MASS_RATE, MILLI(GRAM).divide(HOUR), 1),
  /** Gram per hour. */
  GRAM_PER_HOUR("g/h", Dimension.MASS_RATE, GRAM.divide(HOUR), 4),
  /** Milligram. */
  MILLIGRAM("mg", Dimension.MASS, MILLI(GRAM), 1),
  /** Gram. */
  GRAMS("g", Dimension.MASS, GRAM, 4),
  /** Milligram per litre. */
  MILLIGRAM_PER_LITRE("mg/L", Dimension.CONCENTRATION, MILLI(GRAM).divide(LITRE), 2),
  /** Percent. */
  PERCENTS("%", Dimension.FRACTION, PERCENT, 2),
  /** Parts per billion (1e9); UCUM {@code [ppb]}. */
  PPB("ppb", Dimension.GAS_IN_AIR, AbstractUnit.ONE.divide(1_000_000_000L), 1),
  /** Parts per million; UCUM {@code [ppm]}. */
  PPM("ppm", Dimension.GAS_IN_AIR, AbstractUnit.ONE.divide(1_000_000L), 4),
  /** The practical salinity scale of 1978, which has no dimension and no UCUM code. */
  PSU("PSU", Dimension.SALINITY, AbstractUnit.ONE, 2),
  /** Millimetre. */
  MILLIMETRE("mm", Dimension.LENGTH, MILLI(METRE), 1),
  /** Centimetre. */
  CENTIMETRE("cm", Dimension.LENGTH, CENTI(METRE), 2),
  /** Metre. */
  METRES("m", Dimension.LENGTH, METRE, 4),
  /** Degree Celsius. */
  DEGREE_CELSIUS("Cel", Dimension.TEMPERATURE, CELSIUS, 2),
  /** Millilitre per millimetre. */
  MILLILITRE_PER_MILLIMETRE(
      "mL/mm", Dimension.VOLUME_PER_LENGTH, MILLI(LITRE).divide(MILLI(METRE)), 1),
  /** Litre per centimetre. */
  LITRE_PER_CENTIMETRE("L/cm", Dimension.VOLUME_PER_LENGTH, LITRE.divide(CENTI(METRE)), 4);

  private static final Map<String, UnitCode> BY_CODE = new HashMap<>();

  static {
    for (UnitCode unit : values()) {
      BY_CODE.put(unit.code, unit);
    }
    BY_CODE.put("[ppb]", PPB);
    BY_CODE.put("[ppm]", PPM);
  }

  private final String code;
  private final Dimension dimension;
  private final Unit<?> unit;
  private final int decimals;

  UnitCode(String code, Dimension dimension, Unit<?> unit, int decimals) {
    this.code = code;
    this.dimension = dimension;
    this.unit = unit;
    this.decimals = decimals;
  }

  /** The unit with this code. */
  public static Optional<UnitCode> of(String code) {
    return Optional.ofNullable(BY_CODE.get(code));
  }

  /** The code as it is written. */
  public String code() {
    return code;
  }

  /** What it measures. */
  public Dimension dimension() {
    return dimension;
  }

  /** Decimals with which a value in this unit is written. */
  public int decimals() {
    return decimals;
  }

  /**
   * The value of {@code number} of this unit in another, exact to 34 digits.
   *
   * @throws IllegalArgumentException when the two are of different dimensions
   */
  public BigDecimal convert(BigDecimal number, UnitCode to) {
    if (dimension != to.dimension) {
      throw new IllegalArgumentException(code + " cannot be turned into " + to.code);
    }
    if (this == to) {
      return number;
    }
    try {
      Number converted = unit.getConverterToAny(to.unit).convert(number);
      return new BigDecimal(converted.toString()).round(MathContext.DECIMAL128);
    } catch (IncommensurableException e) {
      throw new IllegalStateException("two units of " + dimension + " do not convert", e);
    }
  }

  /** The factor from this unit to another of its dimension. */
  public double factorTo(UnitCode to) {
    return convert(BigDecimal.ONE, to).doubleValue();
  }
}

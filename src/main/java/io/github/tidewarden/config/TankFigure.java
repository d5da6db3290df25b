package io.github.tidewarden.config;

import static io.github.tidewarden.quantity.UnitCode.DEGREE_CELSIUS;
import static io.github.tidewarden.quantity.UnitCode.LITRES;
import static io.github.tidewarden.quantity.UnitCode.LITRE_PER_MINUTE;
import static io.github.tidewarden.quantity.UnitCode.MILLIGRAM_PER_HOUR;
import static io.github.tidewarden.quantity.UnitCode.MILLIGRAM_PER_LITRE;
import static io.github.tidewarden.quantity.UnitCode.MILLIMETRE;
import static io.github.tidewarden.quantity.UnitCode.MILLIVOLT;
import static io.github.tidewarden.quantity.UnitCode.MINUTES;
import static io.github.tidewarden.quantity.UnitCode.PERCENTS;
import static io.github.tidewarden.quantity.UnitCode.PSU;
import static io.github.tidewarden.quantity.UnitCode.SECONDS;

import io.github.tidewarden.science.SeaWater;

/**
 * A figure of a simulated tank: the section and the key under which a tank model gives it, and the
 * unit in which it is handed on. What each means stands in the site page "Rehearsal".
 */
@SuppressWarnings("ImmutableEnumChecker") // limits are a record of numbers
public enum TankFigure {
  /** Redox of the water at the start, mV. */
  REDOX_AT_START(Part.REDOX, "at-start", Limits.between(MILLIVOLT, 0, 700)),
  /** What the water comes to without ozone, mV. */
  WITHOUT_OZONE(Part.REDOX, "without-ozone", Limits.between(MILLIVOLT, 0, 700)),
  /** By how much the whole rated output lifts it in the long run, mV. */
  GAIN(Part.REDOX, "gain", Limits.between(MILLIVOLT, 0, 1000)),
  /** Until 63 % of a change is done, s. */
  TIME_CONSTANT(Part.REDOX, "time-constant", Limits.between(SECONDS, 1, 86_400)),
  /** Until the water begins to answer, s. */
  DEAD_TIME(Part.REDOX, "dead-time", Limits.between(SECONDS, 0, 7200)),
  /** How far the day lifts and lowers it about its mean, mV. */
  DAILY_SWING(Part.REDOX, "daily-swing", Limits.between(MILLIVOLT, 0, 100)),
  /** When the swing is at its highest, minutes of the local clock. */
  HIGHEST_AT(Part.REDOX, "highest-at", Limits.between(MINUTES, 0, 1440)),
  /** How far it wanders in a day, mV. */
  DRIFT_PER_DAY(Part.REDOX, "drift-per-day", Limits.between(MILLIVOLT, -20, 20)),
  /** Ozone that is used up before any of it lifts redox, mg/h. */
  ORGANIC_LOAD(Part.REDOX, "organic-load", Limits.between(MILLIGRAM_PER_HOUR, 0, 100_000)),
  /** What evaporates in a day, L. */
  EVAPORATION(Part.WATER, "evaporation-per-day", Limits.between(LITRES, 0, 100_000)),
  /** What the skimmer takes out in a day, L. */
  SKIMMATE(Part.WATER, "skimmate-per-day", Limits.between(LITRES, 0, 100_000)),
  /** What an open float valve lets in, L/min; 0 where a keeper pours. */
  TOP_OFF(Part.WATER, "top-off", Limits.between(LITRE_PER_MINUTE, 0, 1000)),
  /** What comes down from the display when the return stops, L. */
  COMES_DOWN(Part.WATER, "comes-down", Limits.between(LITRES, 0, 100_000)),
  /** Level of the sump at the start, mm. */
  LEVEL_AT_START(Part.WATER, "level-at-start", Limits.between(MILLIMETRE, 0, 5000)),
  /** Practical salinity at the start. */
  SALINITY_AT_START(Part.WATER, "salinity-at-start", Limits.between(PSU, 1, SeaWater.MAX_PSU)),
  /** Temperature of the water, Cel. */
  TEMPERATURE(Part.WATER, "temperature", Limits.between(DEGREE_CELSIUS, 0, 45)),
  /** What the bin holds at the start, L. */
  BIN_AT_START(Part.NEW_WATER, "at-start", Limits.between(LITRES, 0, 100_000)),
  /** The true practical salinity of what is mixed. */
  NEW_SALINITY(Part.NEW_WATER, "salinity", Limits.between(PSU, 1, SeaWater.MAX_PSU)),
  /** What the waste takes before it runs over, L. */
  WASTE_HOLDS(Part.WASTE, "holds", Limits.positive(LITRES, 100_000)),
  /** What the drain pump truly moves, % of its configured rate. */
  DRAIN(Part.PUMPS, "drain", Limits.between(PERCENTS, 10, 200)),
  /** The same of the fill pump. */
  FILL(Part.PUMPS, "fill", Limits.between(PERCENTS, 10, 200)),
  /** One dissolved nutrient at the start, mg/L. */
  NUTRIENT_AT_START(Part.NUTRIENT, "at-start", Limits.between(MILLIGRAM_PER_LITRE, 0, 10_000)),
  /** What feeding adds to it in a day, mg/L. */
  NUTRIENT_PER_DAY(Part.NUTRIENT, "per-day", Limits.between(MILLIGRAM_PER_LITRE, 0, 1000)),
  /** Air through the skimmer, L/min. */
  AIR_FLOW(Part.SKIMMER, "air-flow", Limits.positive(LITRE_PER_MINUTE, 1000)),
  /** Air in the room, L. */
  ROOM_VOLUME(Part.ROOM, "volume", Limits.between(LITRES, 1000, 100_000_000)),
  /** How much of its air comes in new in an hour, %. */
  AIR_CHANGES(Part.ROOM, "air-changes-per-hour", Limits.between(PERCENTS, 1, 10_000)),
  /** How much of its ozone is lost on surfaces in an hour, % of what is there, as a rate. */
  DECAY(Part.ROOM, "decay-per-hour", Limits.between(PERCENTS, 0, 10_000)),
  /** How much of the generator's output escapes into the room, %. */
  ESCAPES(Part.ROOM, "escapes", Limits.between(PERCENTS, 0, 100));

  /** A section of a tank model. */
  enum Part {
    REDOX("redox", true),
    WATER("water", false),
    NEW_WATER("new-water", false),
    WASTE("waste", false),
    PUMPS("pumps", false),
    NUTRIENT("nutrient", false),
    SKIMMER("skimmer", true),
    ROOM("room", true);

    private final String word;
    private final boolean ofOzone;

    Part(String word, boolean ofOzone) {
      this.word = word;
      this.ofOzone = ofOzone;
    }

    String word() {
      return word;
    }

    /** Whether nothing shows it but ozone; else nothing but an exchange. */
    boolean ofOzone() {
      return ofOzone;
    }
  }

  private final Part part;
  private final String key;
  private final Limits limits;

  TankFigure(Part part, String key, Limits limits) {
    this.part = part;
    this.key = key;
    this.limits = limits;
  }

  Part part() {
    return part;
  }

  String key() {
    return key;
  }

  Limits limits() {
    return limits;
  }

  /** Whether it can also be given as a part of the tank's water. */
  boolean canBeShareOfWater() {
    return this == EVAPORATION || this == SKIMMATE || this == COMES_DOWN;
  }

  /** Section and key, such as {@code redox.gain}. */
  public String path() {
    return part.word() + "." + key;
  }
}

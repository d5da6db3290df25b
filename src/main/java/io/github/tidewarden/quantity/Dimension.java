package io.github.tidewarden.quantity;

import java.util.Arrays;
import java.util.List;
import java.util.stream.Collectors;

/** What kind of quantity a value is. Values of two dimensions are never compared or converted. */
public enum Dimension {
  /** Electric potential; redox. */
  POTENTIAL("a potential"),
  /** A span of time. */
  TIME("a time"),
  /** A volume of water. */
  VOLUME("a volume"),
  /** A volume of air or water in a time. */
  FLOW("a flow"),
  /** A mass in a time; what a generator makes. */
  MASS_RATE("a mass in a time"),
  /** A mass. */
  MASS("a mass"),
  /** A mass of something dissolved in a volume of water. */
  CONCENTRATION("a mass in a volume"),
  /** A part of a whole. */
  FRACTION("a percentage"),
  /** A gas in air, by volume. */
  GAS_IN_AIR("a share of the air by volume"),
  /** Practical salinity. */
  SALINITY("a practical salinity"),
  /** A length; a water level. */
  LENGTH("a length"),
  /** A temperature. */
  TEMPERATURE("a temperature"),
  /** A volume for a difference in level. */
  VOLUME_PER_LENGTH("a volume for a length");

  private final String words;

  Dimension(String words) {
    this.words = words;
  }

  /** The dimension with its article, such as "a volume". */
  public String words() {
    return words;
  }

  /** Every unit of this dimension that is accepted. */
  public List<UnitCode> units() {
    return Arrays.stream(UnitCode.values()).filter(unit -> unit.dimension() == this).toList();
  }

  /** The codes of {@link #units()} in one line, such as "mL or L". */
  public String codes() {
    return units().stream().map(UnitCode::code).collect(Collectors.joining(" or "));
  }
}

package io.github.tidewarden.config;

import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.Map;

/**
 * A tank model as it was read.
 *
 * @param name of the file, without its directories
 * @param digest SHA-256 of the file's bytes, in hexadecimal
 * @param tanks what it says of each tank of the configuration, by the tank's name
 */
public record TankModelFile(String name, String digest, Map<String, TankFigures> tanks) {

  /** Copies the map, in its order. */
  public TankModelFile {
    tanks = Collections.unmodifiableMap(new LinkedHashMap<>(tanks));
  }

  /** What it says of a tank; nothing but what is typical of one that the configuration lacks. */
  public TankFigures of(String tank) {
    return tanks.getOrDefault(tank, TankFigures.TYPICAL);
  }
}

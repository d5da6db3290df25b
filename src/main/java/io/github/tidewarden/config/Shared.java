package io.github.tidewarden.config;

import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * Equipment that several tanks use for their exchange, one of them at a time.
 *
 * @param name its own, unlike that of any tank
 * @param sensors those that each tank has which shares it
 * @param newWater the bin of new water that belongs to it; null for none
 */
record Shared(String name, List<Sensor> sensors, BinReader.@Nullable NewWater newWater) {}

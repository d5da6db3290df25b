package io.github.tidewarden.rehearsal;

import java.time.LocalDate;
import java.util.Collections;
import java.util.Map;
import java.util.TreeMap;

/**
 * What one night came to for one tank, by its water and not by its sensors.
 *
 * @param night its name
 * @param ozoneNanos how long the generator was truly on, ns
 * @param redoxMillivolts of the water
 * @param probeMillivolts of whichever probe read highest, as it was before noise
 * @param outLitres what the drain pump took out
 * @param inLitres what the fill pump brought in
 * @param levelMillimetres of the sump
 * @param psu practical salinity of the water
 * @param nutrient of one dissolved nutrient, mg/L
 * @param roomPpb ozone in the air of its room
 * @param incidents how often what tripped, fell silent, was latched or told, by name
 */
public record RehearsedNight(
    LocalDate night,
    long ozoneNanos,
    Range redoxMillivolts,
    Range probeMillivolts,
    double outLitres,
    double inLitres,
    Range levelMillimetres,
    Range psu,
    Range nutrient,
    Range roomPpb,
    Map<String, Integer> incidents) {

  /** Copies the map, sorted. */
  public RehearsedNight {
    incidents = Collections.unmodifiableSortedMap(new TreeMap<>(incidents));
  }
}

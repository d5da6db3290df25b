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
 * @param psuAtEnd practical salinity of the water at its end
 * @param nutrientAtEnd of the nutrient at its end, mg/L
 * @param causes how often what tripped, fell silent, was latched or told, by the kind of record and
 *     then by name
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
    double psuAtEnd,
    double nutrientAtEnd,
    Map<String, Map<String, Integer>> causes) {

  /** Copies the maps, sorted. */
  public RehearsedNight {
    Map<String, Map<String, Integer>> sorted = new TreeMap<>();
    causes.forEach(
        (kind, names) -> sorted.put(kind, Collections.unmodifiableMap(new TreeMap<>(names))));
    causes = Collections.unmodifiableMap(sorted);
  }

  /** How often what tripped, fell silent, was latched or told, by name. */
  public Map<String, Integer> incidents() {
    Map<String, Integer> all = new TreeMap<>();
    causes.values().forEach(names -> names.forEach((name, n) -> all.merge(name, n, Integer::sum)));
    return all;
  }
}

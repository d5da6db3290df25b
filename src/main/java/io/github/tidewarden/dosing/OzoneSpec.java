package io.github.tidewarden.dosing;

import io.github.tidewarden.schedule.WindowSpec;
import java.util.List;

/**
 * What ozone a tank may be given.
 *
 * @param generator name of the generator's actuator
 * @param ratedMilligramsPerHour rated output of the generator, mg/h, positive
 * @param windows when it may run; never empty
 * @param mostPerNightNanos most running time in one night (a limit in mg is turned into time by the
 *     rated output)
 * @param probes names of the redox sensors, one or more
 * @param reference the electrode that every redox figure of the tank is against
 * @param startBelowMillivolts a dose starts only while every probe is below this
 * @param stopAboveMillivolts a dose ends when any probe is at or over this
 * @param ceilingMillivolts at or over this on any probe ozone is at rest at once
 * @param shortestOnNanos with {@code shortestOffNanos} the shortest time from start to start; never
 *     keeps a dose running
 * @param shortestOffNanos shortest rest between two doses; begins again at boot
 * @param quantumNanos what one reservation takes from the allowance, at most 5 min
 * @param probeAge how old the calibration of a probe may be
 * @param firstDoseNanos how long the first dose is of a tank of which nothing is learned yet; 0
 *     where nothing is learned, and doses end by the band alone
 */
public record OzoneSpec(
    String generator,
    double ratedMilligramsPerHour,
    List<WindowSpec> windows,
    long mostPerNightNanos,
    List<String> probes,
    String reference,
    double startBelowMillivolts,
    double stopAboveMillivolts,
    double ceilingMillivolts,
    long shortestOnNanos,
    long shortestOffNanos,
    long quantumNanos,
    ProbeAge probeAge,
    long firstDoseNanos) {

  /** Copies the lists. */
  public OzoneSpec {
    windows = List.copyOf(windows);
    probes = List.copyOf(probes);
  }

  /** The same with other ages of calibrations. */
  public OzoneSpec with(ProbeAge age) {
    return with(age, firstDoseNanos);
  }

  /** The same, learning from doses of which the first is so long. */
  public OzoneSpec learning(long firstNanos) {
    return with(probeAge, firstNanos);
  }

  private OzoneSpec with(ProbeAge age, long firstNanos) {
    return new OzoneSpec(
        generator,
        ratedMilligramsPerHour,
        windows,
        mostPerNightNanos,
        probes,
        reference,
        startBelowMillivolts,
        stopAboveMillivolts,
        ceilingMillivolts,
        shortestOnNanos,
        shortestOffNanos,
        quantumNanos,
        age,
        firstNanos);
  }
}

package io.github.tidewarden.control;

import io.github.tidewarden.gate.HardLimits;
import java.time.ZoneId;
import java.util.List;

/**
 * One site as the core needs it.
 *
 * @param name the site's name, part of the daemon's own topics
 * @param zone in which windows and nights are reckoned
 * @param hardLimits bounds that nothing can pass
 * @param tanks in the order of the configuration
 */
public record SiteSpec(String name, ZoneId zone, HardLimits hardLimits, List<TankSpec> tanks) {

  /** Copies the list. */
  public SiteSpec {
    tanks = List.copyOf(tanks);
  }

  /**
   * The same as a simulated site has it: no probe needs a calibration, for all of them are right,
   * and nothing wears out.
   */
  public SiteSpec asSimulated() {
    return new SiteSpec(name, zone, hardLimits, tanks.stream().map(TankSpec::asSimulated).toList());
  }
}

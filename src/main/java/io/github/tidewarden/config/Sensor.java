package io.github.tidewarden.config;

import io.github.tidewarden.quantity.UnitCode;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.SensorSpec;

/**
 * A sensor as declared, with the limits that its standard interlocks take.
 *
 * @param spec how its messages become a signal
 * @param low the lower limit in the core's unit; NaN for none
 * @param high the upper limit in the core's unit; NaN for none
 * @param litresPerMillimetre for a level, water in one millimetre of it, L/mm; NaN when not given
 * @param declared where it is declared, for what only its use asks for
 */
record Sensor(
    SensorSpec spec, double low, double high, double litresPerMillimetre, Section declared) {

  String name() {
    return spec.name();
  }

  Measure measure() {
    return spec.measure();
  }

  /** The unit that the core has the measure in. */
  static UnitCode unit(Measure measure) {
    return UnitCode.of(measure.unit())
        .orElseThrow(() -> new IllegalArgumentException(measure + " is a contact"));
  }
}

package io.github.tidewarden.control;

import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.dosing.ProbeAge;
import io.github.tidewarden.interlock.Stop;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.sensing.ByName;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Settling;
import io.github.tidewarden.sensing.Signal;
import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/**
 * What is known of the redox probes' calibrations in one turn. A correction only ever takes away:
 * everything goes by what a probe says and by what it would say corrected, whichever is worse, and
 * the gate sees nothing but the first.
 */
final class ProbeKeeper {

  /** The name of the stop and of the notice. */
  static final String NAME = "probe-calibration";

  /** So near to what it said in the solution a probe may still stand in it, mV. */
  private static final double SAME_MILLIVOLTS = 10;

  private static final String CORRECTED = " corrected";

  private final Turn turn;
  private final OzoneSpec ozone;

  ProbeKeeper(Turn turn, OzoneSpec ozone) {
    this.turn = turn;
    this.ozone = ozone;
  }

  OzoneSpec ozone() {
    return ozone;
  }

  /** The last minutes of each probe with what it says now, in the order of the probes. */
  List<Settling> settling(List<Settling> before) {
    List<Settling> after = null;
    for (int i = 0; i < before.size(); i++) {
      Settling is = before.get(i).with(turn.probes.get(i), turn.now);
      if (is != before.get(i)) {
        after = after == null ? new ArrayList<>(before) : after;
        after.set(i, is);
      }
    }
    return after == null ? before : List.copyOf(after);
  }

  /** Every signal, those of calibrated probes corrected; the very same where none is. */
  static ByName<Signal> corrected(
      ByName<Signal> signals, @Nullable OzoneSpec ozone, TankMemory memory) {
    ByName<Signal> corrected = signals;
    if (ozone == null || memory.probes().isEmpty()) {
      return corrected;
    }
    for (String name : ozone.probes()) {
      ProbeMemory known = of(name, ozone, memory);
      Signal raw = Objects.requireNonNull(signals.get(name));
      if (known != null && Double.isFinite(raw.value())) {
        corrected =
            corrected.with(
                name,
                new Signal(
                    name + CORRECTED,
                    raw.measure(),
                    known.corrected(raw.value()),
                    raw.quality(),
                    raw.reason(),
                    raw.ageNanos(),
                    raw.heard(),
                    raw.arrivalNumber()));
      }
    }
    return corrected;
  }

  /** A calibration against another electrode than the tank's is none. */
  private static @Nullable ProbeMemory of(String probe, OzoneSpec ozone, TankMemory memory) {
    ProbeMemory known = memory.probes().get(probe);
    return known != null && known.reference().equals(ozone.reference()) ? known : null;
  }

  /** Of each probe what it says or what it says corrected, whichever is higher. */
  List<Signal> higher() {
    if (!turn.corrects()) {
      return turn.probes;
    }
    List<Signal> higher = new ArrayList<>();
    for (Signal raw : turn.probes) {
      Signal corrected = Objects.requireNonNull(turn.corrected.get(raw.name()));
      higher.add(corrected.value() > raw.value() ? corrected : raw);
    }
    return higher;
  }

  /** Why no run may begin; one that runs already goes on. Null when one may. */
  @Nullable Stop stop() {
    if (turn.lease != null) {
      return null;
    }
    for (String probe : ozone.probes()) {
      String flaw = flaw(probe);
      if (flaw != null) {
        return new Stop(TankFunction.OZONE, NAME, flaw, false);
      }
    }
    return null;
  }

  private @Nullable String flaw(String probe) {
    ProbeMemory known = of(probe, ozone, turn.memory);
    ProbeAge age = ozone.probeAge();
    if (known == null) {
      return age.required()
          ? probe
              + (turn.memory.probes().containsKey(probe)
                  ? " was calibrated against another reference electrode"
                  : " was never calibrated")
              + "; `calibrate probe "
              + probe
              + "`, or say under `without` why not"
          : null;
    }
    if (known.unfit()) {
      return probe
          + " was found unfit in "
          + known.solution()
          + "; clean or replace it, and calibrate it anew";
    }
    if (known.aheadOf(turn.before.boot(), turn.now)) {
      return probe + " was calibrated at a time that is yet to come; calibrate it anew";
    }
    if (standsInIt(probe, known)) {
      return probe + " says what it said in " + known.solution() + ": is it in there still?";
    }
    return nanos(known) >= age.forbidNanos()
        ? probe + " was calibrated " + told(known) + " ago; calibrate it anew"
        : null;
  }

  /** Whether a probe may have been left in the solution: it says the same as it did there. */
  private boolean standsInIt(String probe, ProbeMemory known) {
    double says = Objects.requireNonNull(turn.signals.get(probe)).value();
    return Math.abs(says - known.measured() / 1000.0) < SAME_MILLIVOLTS;
  }

  /** Tells of what will soon forbid, once in each window. */
  void windowOpens() {
    for (String probe : ozone.probes()) {
      ProbeMemory known = of(probe, ozone, turn.memory);
      ProbeAge age = ozone.probeAge();
      if (known != null && nanos(known) >= age.warnNanos() && nanos(known) < age.forbidNanos()) {
        turn.write(
            Kind.NOTICE,
            probe
                + " was calibrated "
                + told(known)
                + " ago; from "
                + TimeUnit.NANOSECONDS.toDays(age.forbidNanos())
                + " d on no ozone starts",
            Map.of(Fields.NAME, NAME));
      }
    }
  }

  private long nanos(ProbeMemory known) {
    return TimeUnit.MILLISECONDS.toNanos(known.ageMillis(turn.before.boot(), turn.now));
  }

  private String told(ProbeMemory known) {
    return days(known) + " d";
  }

  private long days(ProbeMemory known) {
    return TimeUnit.MILLISECONDS.toDays(known.ageMillis(turn.before.boot(), turn.now));
  }

  /** The calibration of each probe that has one, for the state topic. */
  Map<String, Object> told() {
    Map<String, Object> all = new LinkedHashMap<>();
    for (String probe : ozone.probes()) {
      ProbeMemory known = of(probe, ozone, turn.memory);
      if (known != null) {
        Map<String, Object> one = new LinkedHashMap<>();
        one.put("at", Figures.recordTime(known.at()));
        one.put("age-d", days(known));
        one.put(Fields.SOLUTION, known.solution());
        one.put("slope", Figures.decimal(known.correction().slope(), 3));
        one.put("offset-mv", Measure.REDOX.figure(known.correction().offsetMillivolts()));
        one.put(Fields.UNFIT, known.unfit());
        all.put(probe, one);
      }
    }
    return all;
  }

  /** What a probe says corrected, with the decimals of redox; null where nothing is known of it. */
  static @Nullable BigDecimal figure(Signal raw, ByName<Signal> corrected) {
    Signal other = corrected.get(raw.name());
    return other == null || other.name().equals(raw.name()) || !Double.isFinite(other.value())
        ? null
        : raw.measure().figure(other.value());
  }
}

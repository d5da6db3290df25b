package io.github.tidewarden.interlock;

import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.TreeMap;

/**
 * Confirmation: whether each actuator that reports its state does what it was told. An actuator
 * without a report is not watched here.
 *
 * <p>Told to run and not confirmed in time counts as a lost signal (see {@link Silence}). On
 * without a lease, it is told to rest at once, and again each time that the time for a report has
 * passed, and its function is stopped; still on after the last lease and the time for a report,
 * that latches.
 */
public final class Devices {

  /** What a latch for a run that was not confirmed is named: the actuator's name and this. */
  static final String UNCONFIRMED = "-unconfirmed";

  /** What a latch for a device that stays on is named: the actuator's name and this. */
  static final String ON_UNASKED = "-on-unasked";

  private final Map<String, ConfirmSpec> specs;
  private final Map<String, TankFunction> functions;
  private final Map<String, TankFunction> latches = new TreeMap<>();

  /**
   * Actuators of one tank.
   *
   * @param specs how each actuator reports, by its name
   * @param functions what each actuator serves, by its name
   */
  public Devices(Map<String, ConfirmSpec> specs, Map<String, TankFunction> functions) {
    this.specs = new TreeMap<>(specs);
    this.functions = new TreeMap<>(functions);
    if (!this.functions.keySet().containsAll(this.specs.keySet())) {
      throw new IllegalArgumentException("a confirmation for an actuator that is not there");
    }
    for (String name : this.specs.keySet()) {
      latches.put(name + UNCONFIRMED, function(name));
      latches.put(name + ON_UNASKED, function(name));
    }
  }

  /**
   * What one cycle gave.
   *
   * @param devices to be handed in again
   * @param events what happened
   * @param stops why what may not run
   * @param toRest actuators to be told to rest now
   */
  public record Outcome(
      Map<String, Device> devices, List<Event> events, List<Stop> stops, List<String> toRest) {}

  /** What a cycle finds, while it goes on. */
  private record Findings(List<Event> events, List<Stop> stops, List<String> toRest) {}

  /** One cycle. */
  public Outcome evaluate(Map<String, Device> before, Situation situation) {
    Map<String, Device> devices = before;
    Findings found = new Findings(new ArrayList<>(), new ArrayList<>(), new ArrayList<>());
    for (Map.Entry<String, ConfirmSpec> entry : specs.entrySet()) {
      String name = entry.getKey();
      Device was = before.getOrDefault(name, Device.UNKNOWN);
      Device is = was.next(entry.getValue(), situation.now());
      if (!is.equals(was)) {
        devices = new TreeMap<>(devices);
        devices.put(name, is);
      }
      judgeRun(name, was, is, situation, found);
      judgeRest(name, entry.getValue(), was, is, situation, found);
    }
    return new Outcome(devices, found.events(), found.stops(), found.toRest());
  }

  /** What each latch that a device can leave stops, by the latch's name. */
  public Map<String, TankFunction> latches() {
    return Collections.unmodifiableMap(latches);
  }

  /** Whether a latch belongs to a device that is still on unasked, so that it may not be reset. */
  public boolean standing(String latch, Map<String, Device> devices) {
    return devices.entrySet().stream()
        .anyMatch(
            entry ->
                latch.equals(entry.getKey() + ON_UNASKED)
                    && entry.getValue().unaskedNanos() != null);
  }

  private void judgeRun(String name, Device was, Device is, Situation situation, Findings found) {
    String latch = name + UNCONFIRMED;
    String why =
        Boolean.FALSE.equals(is.reportedOn())
            ? name + " was told to run and says that it rests"
            : name + " did not confirm that it runs";
    if (is.silence().beganAfter(was.silence()) && !situation.latched(latch)) {
      boolean third = situation.count(latch) + 1 >= Silence.LATCH_AT_COUNT;
      found.events().add(new Event(Event.Type.SILENT, latch, why, third, ""));
    }
    if (is.silence().lostNanos() != null) {
      stop(name, latch, why, found);
    } else if (is.silence().resting(situation.now())) {
      stop(name, latch, "resting after " + name + " did not confirm", found);
    }
  }

  private void judgeRest(
      String name, ConfirmSpec spec, Device was, Device is, Situation situation, Findings found) {
    if (is.unaskedNanos() == null) {
      return;
    }
    String why = name + " is on without having been told to run";
    stop(name, name + ON_UNASKED, why, found);
    boolean begins = was.unaskedNanos() == null;
    Long restNanos = is.restNanos();
    if (begins || restNanos == null || situation.now().since(restNanos) >= spec.withinNanos()) {
      found.toRest().add(name);
    }
    if (begins) {
      found.events().add(new Event(Event.Type.DEVICE, name + ON_UNASKED, why, false, ""));
    }
    if (is.stuck(spec, situation.now()) && !situation.latched(name + ON_UNASKED)) {
      found.events().add(new Event(Event.Type.LATCHED, name + ON_UNASKED, why, true, ""));
    }
  }

  private void stop(String name, String latch, String why, Findings found) {
    found.stops().add(new Stop(function(name), latch, why, false));
  }

  private TankFunction function(String name) {
    return Objects.requireNonNull(functions.get(name));
  }
}

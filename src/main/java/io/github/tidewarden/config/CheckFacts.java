package io.github.tidewarden.config;

import io.github.tidewarden.control.Carbon;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.interlock.ConfirmSpec;
import io.github.tidewarden.interlock.InterlockSpec;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.schedule.NightPlan;
import io.github.tidewarden.schedule.Nights;
import io.github.tidewarden.schedule.OpenWindow;
import io.github.tidewarden.schedule.WindowSpec;
import io.github.tidewarden.sensing.SensorSpec;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.ZoneId;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.stream.Stream;
import org.jspecify.annotations.Nullable;

/**
 * What {@code check} tells of a tank, as facts; {@link CheckText} and {@link CheckJson} write them.
 */
record CheckFacts(
    TankSpec tank,
    @Nullable Ozone ozone,
    @Nullable Exchange exchange,
    List<Guarding> guards,
    List<Device> devices,
    Map<String, String> without) {

  private static final double NANOS_PER_HOUR = 3.6e12;

  /**
   * What a tank may be given.
   *
   * @param mostMilligrams most in a night
   * @param nights this night and the next
   */
  record Ozone(OzoneSpec spec, double mostMilligrams, List<Night> nights) {}

  /**
   * What water of a tank is exchanged.
   *
   * @param plan what it comes to
   * @param portionLitres one of the equal portions of a day
   * @param portionMinutes how long it takes when nothing holds it up
   * @param topOffHeld whether top-off is held meanwhile
   */
  record Exchange(
      ExchangeSpec spec,
      PlanFacts.Exchange plan,
      double portionLitres,
      double portionMinutes,
      boolean topOffHeld) {}

  /**
   * One night.
   *
   * @param mostNanos most running time, by the allowance and by how long the windows are open
   */
  record Night(LocalDate date, List<Opening> openings, long mostNanos, double mostMilligrams) {}

  /**
   * One opening of a window.
   *
   * @param asUsual whether local times and length are those of the window; false where the clocks
   *     change
   */
  record Opening(Instant start, Instant end, boolean asUsual) {
    long minutes() {
      return Duration.between(start, end).toMinutes();
    }
  }

  /** An interlock with its conditions in words. */
  record Guarding(
      InterlockSpec spec, String cause, @Nullable String clear, @Nullable String latch) {}

  /**
   * An actuator.
   *
   * @param confirm null for one that gives no confirmation
   */
  record Device(ActuatorSpec spec, @Nullable ConfirmSpec confirm) {}

  /** The facts of one tank, with its nights reckoned from {@code now}. */
  static CheckFacts of(TankSpec tank, ZoneId zone, Instant now) {
    OzoneSpec ozone = tank.ozone();
    ConditionText words = new ConditionText(tank.sensors());
    return new CheckFacts(
        tank,
        ozone == null ? null : ozone(ozone, zone, now),
        exchange(tank),
        tank.interlocks().stream().map(spec -> guarding(spec, words)).toList(),
        tank.actuators().stream()
            .map(spec -> new Device(spec, tank.confirms().get(spec.name())))
            .toList(),
        new TreeMap<>(tank.without()));
  }

  /** Sensors whose silence puts a function to rest, in the order of the configuration. */
  List<SensorSpec> needed(TankFunction function) {
    List<String> watched =
        tank.interlocks().stream()
            .filter(spec -> spec.stops().contains(function))
            .flatMap(spec -> spec.cause().watched().stream())
            .toList();
    return tank.sensors().stream().filter(sensor -> watched.contains(sensor.name())).toList();
  }

  /** Carbon that a tank with ozone does not have, and of which nothing is said. */
  List<Carbon> unsaidCarbon() {
    return Stream.of(Carbon.values())
        .filter(carbon -> !tank.care().carbon().containsKey(carbon))
        .filter(carbon -> !without.containsKey(carbon.guard()))
        .toList();
  }

  private static Guarding guarding(InterlockSpec spec, ConditionText words) {
    return new Guarding(
        spec,
        words.of(spec.cause()),
        spec.clear() == null ? null : words.of(spec.clear()),
        spec.latchWhen() == null ? null : words.of(spec.latchWhen()));
  }

  private static @Nullable Exchange exchange(TankSpec tank) {
    ExchangeSpec spec = tank.exchange();
    if (spec == null) {
      return null;
    }
    PlanFacts.Exchange plan = PlanFacts.exchange(spec, tank);
    return new Exchange(
        spec,
        plan,
        spec.litresPerDay() / plan.portionsPerDay(),
        ExchangeTime.portionMinutes(spec),
        tank.actuators().stream().anyMatch(a -> a.function() == TankFunction.TOP_OFF));
  }

  private static Ozone ozone(OzoneSpec spec, ZoneId zone, Instant now) {
    LocalDate tonight = Nights.nightOf(now, zone);
    return new Ozone(
        spec,
        milligrams(spec, spec.mostPerNightNanos()),
        Stream.of(tonight, tonight.plusDays(1)).map(night -> night(spec, zone, night)).toList());
  }

  private static Night night(OzoneSpec spec, ZoneId zone, LocalDate date) {
    List<OpenWindow> windows = NightPlan.of(date, zone, spec.windows()).windows();
    long open = windows.stream().mapToLong(window -> window.interval().length().toNanos()).sum();
    long most = Math.min(open, spec.mostPerNightNanos());
    List<Opening> openings =
        windows.stream().map(window -> opening(window, spec.windows(), zone)).toList();
    return new Night(date, openings, most, milligrams(spec, most));
  }

  private static Opening opening(OpenWindow open, List<WindowSpec> windows, ZoneId zone) {
    WindowSpec window = windows.get(open.index());
    Instant start = open.interval().start();
    Instant end = open.interval().end();
    LocalTime from = start.atZone(zone).toLocalTime();
    LocalTime to = end.atZone(zone).toLocalTime();
    long nominal =
        Math.floorMod(
            Duration.between(window.from(), window.to()).toMinutes(),
            Duration.ofDays(1).toMinutes());
    boolean usual =
        from.equals(window.from())
            && to.equals(window.to())
            && open.interval().length().toMinutes() == nominal;
    return new Opening(start, end, usual);
  }

  /** What the generator makes in this time. */
  static double milligrams(OzoneSpec spec, long nanos) {
    return nanos / NANOS_PER_HOUR * spec.ratedMilligramsPerHour();
  }
}

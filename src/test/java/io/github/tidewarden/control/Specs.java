package io.github.tidewarden.control;

import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.dosing.ProbeAge;
import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.gate.HardLimits;
import io.github.tidewarden.interlock.Arming;
import io.github.tidewarden.interlock.Condition;
import io.github.tidewarden.interlock.Condition.Above;
import io.github.tidewarden.interlock.Condition.AnyOf;
import io.github.tidewarden.interlock.Condition.Apart;
import io.github.tidewarden.interlock.Condition.Below;
import io.github.tidewarden.interlock.Condition.Not;
import io.github.tidewarden.interlock.ConfirmSpec;
import io.github.tidewarden.interlock.InterlockSpec;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.schedule.WindowSpec;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.SensorSpec;
import java.time.DayOfWeek;
import java.time.Duration;
import java.time.LocalTime;
import java.time.ZoneId;
import java.util.Arrays;
import java.util.EnumSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.function.UnaryOperator;
import org.jspecify.annotations.Nullable;

/** The invented station, as the core takes it, with the defaults that SAFETY.md prints. */
final class Specs {
  static final Set<TankFunction> OZONE = Set.of(TankFunction.OZONE);

  private Specs() {}

  static SiteSpec site(TankSpec... tanks) {
    return site(Duration.ofMinutes(120), tanks);
  }

  static SiteSpec site(Duration ozonePer24h, TankSpec... tanks) {
    return new SiteSpec(
        "harbour-lab",
        ZoneId.of("Europe/Lisbon"),
        new HardLimits(430, ozonePer24h.toNanos(), 60, 10, 0.5),
        Arrays.asList(tanks));
  }

  static TankSpec lagoon() {
    return lagoon("lagoon", "lab/lagoon");
  }

  static TankSpec lagoon(String name, String root) {
    return new TankSpec(
        name,
        340,
        "gallery",
        List.of(
            sensor("redox-a", root + "/redox/a", "", Measure.REDOX),
            sensor("redox-b", root + "/redox/b", "/mv", Measure.REDOX),
            sensor("skimmer-air", root + "/air", "", Measure.AIR_FLOW),
            sensor("room-ozone", "lab/gallery/ozone", "", Measure.OZONE_IN_AIR)),
        List.of(
            new ActuatorSpec(
                "generator",
                TankFunction.OZONE,
                root + "/ozone/set",
                "{\"on\":true,\"for\":{seconds}}",
                "{\"on\":false}",
                30)),
        Map.of("generator", new ConfirmSpec(root + "/ozone/state", "/on", "true", "false", s(5))),
        List.of(ceiling(), airLost(), roomOzone()),
        ozone(Duration.ofMinutes(60), window("01:30", "03:00")),
        null,
        Map.of(),
        CareSpec.NONE);
  }

  static WindowSpec window(String from, String to) {
    return new WindowSpec(
        LocalTime.parse(from), LocalTime.parse(to), EnumSet.allOf(DayOfWeek.class));
  }

  static OzoneSpec ozone(Duration perNight, WindowSpec... windows) {
    return ozone(perNight, Duration.ofMinutes(10), windows);
  }

  static OzoneSpec ozone(Duration perNight, Duration shortestOff, WindowSpec... windows) {
    return new OzoneSpec(
        "generator",
        50,
        Arrays.asList(windows),
        perNight.toNanos(),
        List.of("redox-a", "redox-b"),
        "Ag/AgCl 3 M KCl",
        340,
        365,
        400,
        s(shortestOff.toSeconds() / 2),
        shortestOff.toNanos(),
        s(300),
        ProbeAge.NOT_REQUIRED,
        0);
  }

  static TankSpec with(TankSpec tank, OzoneSpec ozone) {
    return with(tank, tank.sensors(), tank.confirms(), tank.interlocks(), ozone);
  }

  /** With more interlocks, evaluated after the others. */
  static TankSpec with(TankSpec tank, InterlockSpec... more) {
    List<InterlockSpec> all = new java.util.ArrayList<>(tank.interlocks());
    all.addAll(Arrays.asList(more));
    return with(tank, tank.sensors(), tank.confirms(), all, tank.ozone());
  }

  static TankSpec with(TankSpec tank, CareSpec care) {
    return new TankSpec(
        tank.name(),
        tank.waterLitres(),
        tank.room(),
        tank.sensors(),
        tank.actuators(),
        tank.confirms(),
        tank.interlocks(),
        tank.ozone(),
        tank.exchange(),
        tank.without(),
        care);
  }

  static TankSpec withSensors(TankSpec tank, UnaryOperator<SensorSpec> change) {
    return with(
        tank,
        tank.sensors().stream().map(change).toList(),
        tank.confirms(),
        tank.interlocks(),
        tank.ozone());
  }

  static TankSpec withoutConfirmation(TankSpec tank) {
    return with(tank, tank.sensors(), Map.of(), tank.interlocks(), tank.ozone());
  }

  private static TankSpec with(
      TankSpec tank,
      List<SensorSpec> sensors,
      Map<String, ConfirmSpec> confirms,
      List<InterlockSpec> interlocks,
      @Nullable OzoneSpec ozone) {
    return new TankSpec(
        tank.name(),
        tank.waterLitres(),
        tank.room(),
        sensors,
        tank.actuators(),
        confirms,
        interlocks,
        ozone,
        tank.exchange(),
        tank.without(),
        tank.care());
  }

  /** As a sensor whose messages carry a number that must rise. */
  static SensorSpec sequenced(SensorSpec sensor, String pointer) {
    return change(sensor, pointer, sensor.latchWhenSilentNanos(), "/seq");
  }

  static SensorSpec latchedWhenSilent(SensorSpec sensor, Duration limit) {
    return change(sensor, sensor.pointer(), limit.toNanos(), "");
  }

  /** With another pointer, be it one that cannot be read. */
  static SensorSpec pointed(SensorSpec sensor, String pointer) {
    return change(sensor, pointer, sensor.latchWhenSilentNanos(), "");
  }

  private static SensorSpec change(
      SensorSpec sensor, String pointer, long latchWhenSilentNanos, String sequencePointer) {
    return new SensorSpec(
        sensor.name(),
        sensor.topic(),
        pointer,
        sensor.measure(),
        sensor.scale(),
        sensor.plausibleLow(),
        sensor.plausibleHigh(),
        sensor.staleNanos(),
        latchWhenSilentNanos,
        sensor.states(),
        sequencePointer,
        sensor.timePointer());
  }

  static InterlockSpec ceiling() {
    return new InterlockSpec(
        "redox-ceiling",
        any(400),
        Arming.ALWAYS,
        false,
        0,
        new Not(any(340)),
        s(600),
        any(420),
        s(30),
        3,
        OZONE);
  }

  static InterlockSpec airLost() {
    Condition air = new Below("skimmer-air", 3);
    return new InterlockSpec(
        "air-lost", air, Arming.RUNNING, false, s(5), null, s(600), air, s(30), 0, OZONE);
  }

  static InterlockSpec roomOzone() {
    Condition over = new Above("room-ozone", 100);
    return new InterlockSpec(
        "room-ozone", over, Arming.ALWAYS, false, s(30), null, 0, over, s(30), 0, OZONE);
  }

  static InterlockSpec redoxLow() {
    Condition low = new AnyOf(List.of(new Below("redox-a", 200), new Below("redox-b", 200)));
    return new InterlockSpec("redox-low", low, Arming.WANTED, true, 0, null, 0, null, 0, 0, OZONE);
  }

  static InterlockSpec probesApart() {
    Condition apart = new Apart(List.of("redox-a", "redox-b"), 60);
    return new InterlockSpec(
        "probes-apart", apart, Arming.WANTED, false, 0, null, s(600), apart, s(600), 0, OZONE);
  }

  static InterlockSpec probesApartNotice() {
    Condition apart = new Apart(List.of("redox-a", "redox-b"), 30);
    return new InterlockSpec(
        "probes-apart-notice", apart, Arming.WANTED, true, s(60), null, 0, null, 0, 0, Set.of());
  }

  private static Condition any(double limit) {
    return new AnyOf(List.of(new Above("redox-a", limit), new Above("redox-b", limit)));
  }

  static SensorSpec sensor(String name, String topic, String pointer, Measure measure) {
    return new SensorSpec(
        name,
        topic,
        pointer,
        measure,
        1,
        measure.plausibleLow(),
        measure.plausibleHigh(),
        measure.staleNanos(),
        0,
        Map.of(),
        "",
        "");
  }

  private static long s(long seconds) {
    return Duration.ofSeconds(seconds).toNanos();
  }
}

package io.github.tidewarden.rehearsal;

import io.github.tidewarden.control.CareSpec;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.dosing.ProbeAge;
import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.interlock.ConfirmSpec;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.schedule.WindowSpec;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.SensorSpec;
import java.time.DayOfWeek;
import java.time.LocalTime;
import java.util.EnumSet;
import java.util.List;
import java.util.Map;
import java.util.concurrent.TimeUnit;

/** The invented station of the example configuration, as far as a simulator needs it. */
final class HarbourLab {
  private HarbourLab() {}

  static final SensorSpec ROOM_OZONE =
      sensor("room-ozone", "lab/gallery/ozone", "", Measure.OZONE_IN_AIR, 1, Map.of());

  static SensorSpec sensor(
      String name,
      String topic,
      String pointer,
      Measure measure,
      double scale,
      Map<String, Boolean> states) {
    return new SensorSpec(
        name,
        topic,
        pointer,
        measure,
        scale,
        measure.plausibleLow(),
        measure.plausibleHigh(),
        measure.staleNanos(),
        0,
        states,
        "",
        "");
  }

  static TankSpec lagoon() {
    return tank(
        "lagoon",
        "gallery",
        List.of(
            sensor("redox-a", "lab/lagoon/redox/a", "", Measure.REDOX, 1, Map.of()),
            sensor("redox-b", "lab/lagoon/redox/b", "/mv", Measure.REDOX, 1, Map.of()),
            sensor("skimmer-air", "lab/lagoon/skimmer/air", "", Measure.AIR_FLOW, 1, Map.of()),
            sensor(
                "circulation",
                "lab/lagoon/return",
                "",
                Measure.RUNNING,
                1,
                Map.of("1", true, "0", false)),
            sensor("sump", "lab/lagoon/sump", "/depth", Measure.LEVEL, 1, Map.of()),
            sensor("salinity", "lab/lagoon/salinity", "", Measure.SALINITY, 1, Map.of()),
            sensor("new-water", "lab/lagoon/new-water", "", Measure.VOLUME, 1, Map.of()),
            sensor(
                "floor",
                "lab/lagoon/floor",
                "",
                Measure.LEAK,
                1,
                Map.of("wet", true, "dry", false)),
            ROOM_OZONE));
  }

  /** A tank with a generator of 50 mg/h and a drain, its topics below {@code lab/NAME/}. */
  static TankSpec tank(String name, String room, List<SensorSpec> sensors) {
    String at = "lab/" + name + "/";
    ActuatorSpec generator =
        new ActuatorSpec(
            "generator",
            TankFunction.OZONE,
            at + "ozone/set",
            "{\"on\":true,\"for\":{seconds}}",
            "{\"on\":false}",
            30);
    ActuatorSpec drain =
        new ActuatorSpec(
            "drain", TankFunction.EXCHANGE, at + "drain/set", "on {seconds}", "off", 12);
    return new TankSpec(
        name,
        340,
        room,
        sensors,
        List.of(generator, drain),
        Map.of(
            "generator", new ConfirmSpec(at + "ozone/state", "/on", "true", "false", seconds(5))),
        List.of(),
        ozone(),
        null,
        Map.of(),
        CareSpec.NONE);
  }

  private static OzoneSpec ozone() {
    return new OzoneSpec(
        "generator",
        50,
        List.of(
            new WindowSpec(
                LocalTime.of(1, 30), LocalTime.of(3, 0), EnumSet.allOf(DayOfWeek.class))),
        seconds(3600),
        List.of("redox-a", "redox-b"),
        "Ag/AgCl 3 M KCl",
        340,
        365,
        400,
        seconds(300),
        seconds(600),
        seconds(300),
        ProbeAge.NOT_REQUIRED,
        0);
  }

  private static long seconds(long seconds) {
    return TimeUnit.SECONDS.toNanos(seconds);
  }
}

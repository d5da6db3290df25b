package io.github.tidewarden.config;

import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.science.AirLimits;
import io.github.tidewarden.science.RoomLeak;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.stream.Stream;
import org.jspecify.annotations.Nullable;

/**
 * How soon a room fills should all of its generators together leak, by the well-mixed box with no
 * credit for what decays.
 *
 * @param room its name
 * @param milligramsPerHour what all generators in it make together
 * @param air of the room; null where nothing is said of it
 * @param limits how soon it comes to each; empty where nothing is said of its air
 */
public record RoomFill(
    String room, double milligramsPerHour, @Nullable RoomLeak air, List<Limit> limits) {

  private static final double MINUTES_PER_HOUR = 60;

  /** Copies the list. */
  public RoomFill {
    limits = List.copyOf(limits);
  }

  /**
   * A limit of ozone in air; figures are cut to a tenth, on the safe side.
   *
   * @param ppb the limit
   * @param whose whose limit it is
   * @param minutes until the room is there; infinite for never
   * @param harmlessMilligramsPerHour what all of the room together may make so that it never is
   */
  public record Limit(double ppb, String whose, double minutes, double harmlessMilligramsPerHour) {}

  /**
   * Each room with a generator, in the order of the tanks.
   *
   * @param air of each room of which it is said, by its name
   */
  public static List<RoomFill> of(List<TankSpec> tanks, Map<String, RoomLeak> air) {
    Map<String, Double> made = new LinkedHashMap<>();
    for (TankSpec tank : tanks) {
      OzoneSpec ozone = tank.ozone();
      if (ozone != null && !tank.room().isEmpty()) {
        made.merge(tank.room(), ozone.ratedMilligramsPerHour(), Double::sum);
      }
    }
    return made.entrySet().stream()
        .map(room -> fill(room.getKey(), room.getValue(), air.get(room.getKey())))
        .toList();
  }

  private static RoomFill fill(String room, double milligramsPerHour, @Nullable RoomLeak air) {
    return new RoomFill(
        room,
        milligramsPerHour,
        air,
        air == null
            ? List.of()
            : Stream.of(
                    limit(air, AirLimits.FDA_DEVICE_PPB, "21 CFR 801.415", milligramsPerHour),
                    limit(
                        air,
                        AirLimits.NIOSH_CEILING_PPB,
                        "OSHA PEL, NIOSH ceiling",
                        milligramsPerHour))
                .toList());
  }

  private static Limit limit(RoomLeak air, double ppb, String whose, double milligramsPerHour) {
    return new Limit(
        ppb,
        whose,
        down(MINUTES_PER_HOUR * air.hoursUntil(ppb, milligramsPerHour)),
        down(air.largestMilligramsPerHour(ppb)));
  }

  private static double down(double figure) {
    return Math.floor(10 * figure) / 10;
  }
}

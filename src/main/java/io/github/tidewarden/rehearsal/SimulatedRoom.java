package io.github.tidewarden.rehearsal;

import io.github.tidewarden.science.OzoneUnits;
import io.github.tidewarden.science.RoomAir;
import java.util.Map;
import java.util.TreeMap;
import java.util.concurrent.TimeUnit;

/**
 * The air of a room that tanks share, as a well-mixed box ({@link RoomAir}) with clean air
 * outdoors. Pure: time is handed in.
 */
public final class SimulatedRoom {

  private static final double CELSIUS = 25;
  private static final double PASCALS = 101_325;

  private final RoomAir air;
  private final double speed;
  private final Map<String, Double> leaksMilligramsPerHour = new TreeMap<>();
  private long nowNanos;
  private double milligramsPerCubicMetre;

  /**
   * A room without ozone in its air.
   *
   * @param air size and losses of the room
   * @param speed how many seconds pass in the room in one second of the clock, positive
   * @param startNanos monotonic time now
   */
  public SimulatedRoom(RoomAir air, double speed, long startNanos) {
    this.air = air;
    this.speed = speed;
    this.nowNanos = startNanos;
  }

  /** Goes on to this monotonic time; a time before the last one does nothing. */
  public void advanceTo(long monoNanos) {
    long elapsedNanos = monoNanos - nowNanos;
    if (elapsedNanos <= 0) {
      return;
    }
    nowNanos = monoNanos;
    milligramsPerCubicMetre =
        air.afterHoursMilligramsPerCubicMetre(
            milligramsPerCubicMetre,
            speed * elapsedNanos / TimeUnit.HOURS.toNanos(1),
            leaksMilligramsPerHour.values().stream().mapToDouble(Double::doubleValue).sum(),
            0);
  }

  /**
   * From the time last advanced to, this much ozone escapes into the room.
   *
   * @param source who lets it escape, such as a tank's name; its former figure is replaced
   * @param milligramsPerHour not negative
   */
  public void leak(String source, double milligramsPerHour) {
    leaksMilligramsPerHour.put(source, milligramsPerHour);
  }

  /** Ozone in the air, ppb by volume at 25 degC and 1 atm. */
  public double ozonePpb() {
    return OzoneUnits.ppb(milligramsPerCubicMetre, CELSIUS, PASCALS);
  }
}

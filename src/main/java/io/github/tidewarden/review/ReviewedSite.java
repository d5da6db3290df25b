package io.github.tidewarden.review;

import io.github.tidewarden.config.RoomFill;
import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.science.RoomLeak;
import java.time.ZoneId;
import java.util.List;
import java.util.Map;
import org.jspecify.annotations.Nullable;

/**
 * What a review must know beside the records: names, the zone, and what stands in no record.
 *
 * @param name the site
 * @param zone in which nights are reckoned and times are told
 * @param configFile the configuration as a keeper would name it on a command line
 * @param rooms how soon each room with a generator fills should all of it leak
 * @param tanks in the order in which they are told; tanks that only the records know come after
 */
public record ReviewedSite(
    String name, ZoneId zone, String configFile, List<RoomFill> rooms, List<ReviewedTank> tanks) {

  /** Copies the lists. */
  public ReviewedSite {
    rooms = List.copyOf(rooms);
    tanks = List.copyOf(tanks);
  }

  /**
   * One tank.
   *
   * @param name the tank
   * @param litres of water in it, L; null when not known
   * @param reference the electrode that its redox figures are against; null when it has no ozone
   * @param exchange its exchange of water; null for a tank without
   */
  public record ReviewedTank(
      String name,
      @Nullable Double litres,
      @Nullable String reference,
      @Nullable ExchangeSpec exchange) {}

  /**
   * The site of a configuration.
   *
   * @param air of each room of which it is said, by its name
   */
  public static ReviewedSite of(SiteSpec site, Map<String, RoomLeak> air, String configFile) {
    return new ReviewedSite(
        site.name(),
        site.zone(),
        configFile,
        RoomFill.of(site.tanks(), air),
        site.tanks().stream().map(ReviewedSite::tank).toList());
  }

  private static ReviewedTank tank(TankSpec tank) {
    OzoneSpec ozone = tank.ozone();
    return new ReviewedTank(
        tank.name(), tank.waterLitres(), ozone == null ? null : ozone.reference(), tank.exchange());
  }

  /** A tank as configured; one that only the records know has neither ozone nor exchange. */
  ReviewedTank tank(String name) {
    return tanks.stream()
        .filter(known -> known.name().equals(name))
        .findFirst()
        .orElseGet(() -> new ReviewedTank(name, null, null, null));
  }
}

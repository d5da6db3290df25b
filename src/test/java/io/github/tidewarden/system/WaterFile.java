package io.github.tidewarden.system;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.net.URI;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.atomic.AtomicInteger;

/**
 * The configuration of a test's own site of tanks whose water is exchanged, in small portions: 100
 * L each, of which 20 mL lie in a millimetre of the sump, with pumps of 0.8 L/min. The window has
 * been open for most of its time, so a whole night's share is due at once.
 */
final class WaterFile {
  static final double WATER_LITRES = 100;
  static final double LITRES_PER_MILLIMETRE = 0.02;
  static final double LOW_MILLIMETRES = 150;
  static final double HIGH_MILLIMETRES = 250;
  static final double LITRES_PER_MINUTE = 0.8;

  /** Longest that a pump runs without being told again, s: the shortest that is allowed. */
  static final int LEASE_SECONDS = 6;

  /** How late a run may still be delivered, s: a third of the lease. */
  static final int EXPIRY_SECONDS = 2;

  /** Longest that top-off stays held without being told again, s: a start fits into it. */
  static final int HOLD_SECONDS = 120;

  /** Age at which a level no longer counts, s. */
  static final int LEVEL_STALE_SECONDS = 6;

  /** 1 % of the water, L. */
  static final double IMBALANCE_LITRES = 1;

  private static final AtomicInteger SITES = new AtomicInteger();

  private static final String SITE =
      """
      site: ${site}
      zone: ${zone}
      state-dir: ${state-dir}
      clock: { trusted-when: battery-backed }
      broker: { url: "${broker}" }
      hard-limits: { redox-ceiling: 430 mV, ozone-per-24h: 120 min, longest-drop-out: 120 s, \
      exchange-per-24h: 10 %, imbalance: 1 % }
      device-kinds:
        pump: { send-on: "on {seconds}", send-off: "off", drop-out: 6 s }
        relay: { send-on: "on {seconds}", send-off: "off", drop-out: 120 s, \
      confirm: { on: "on", off: "off", within: 5 s } }
      tanks:
      """;

  private static final String TANK =
      """
        ${tank}:
          water: 100 L
          sensors:
            sump: { topic: ${site}/${tank}/level, measures: level, unit: mm, volume-per-mm: 20 mL, \
      keep-between: [150 mm, 250 mm], stale-after: 6 s }
            circulation: { topic: ${site}/${tank}/return, measures: running, \
      states: { running: "1", stopped: "0" } }
            floor: { topic: ${site}/${tank}/floor, measures: leak, states: { wet: "wet", dry: "dry" } }
            salinity: { topic: ${site}/${tank}/salinity, measures: salinity, unit: PSU, \
      keep-between: [33 PSU, 37 PSU] }
            new-water: { topic: ${site}/${tank}/bin, measures: volume, unit: L, low: 5 L }
          exchange:
            kind: ${kind}
            per-day: ${per-day} %
            windows: [ { from: "12:00", to: "05:00" } ]
            portion: ${portion} L
            drain: { kind: pump, topic: ${site}/${tank}/drain/set, rate: 800 mL/min }
            fill: { kind: pump, topic: ${site}/${tank}/fill/set, rate: 800 mL/min }
            new-water: { holds: 60 L, salinity: 35 PSU }
          top-off: { hold: { kind: relay, topic: ${site}/${tank}/top-off/set, \
      state: ${site}/${tank}/top-off/state } }
      """;

  /**
   * A tank of the site.
   *
   * @param paired whether water goes out and comes in at once
   * @param portionLitres one portion, L
   * @param portions how many of them are the share of a night, 1 or 2: so many are due at once
   */
  record Tank(String name, boolean paired, double portionLitres, int portions) {}

  private final String site =
      "water-" + ProcessHandle.current().pid() + "-" + SITES.incrementAndGet();
  private final Map<String, String> figures = new LinkedHashMap<>();
  private final List<Tank> tanks = new ArrayList<>();

  WaterFile() {
    figures.put("site", site);
    figures.put("zone", SiteFile.zoneNearMidnight());
  }

  WaterFile tank(String name, double portionLitres, int portions) {
    tanks.add(new Tank(name, false, portionLitres, portions));
    return this;
  }

  WaterFile pairedTank(String name, double portionLitres, int portions) {
    tanks.add(new Tank(name, true, portionLitres, portions));
    return this;
  }

  WaterFile broker(URI uri) {
    figures.put("broker", "mqtt://127.0.0.1:" + uri.getPort());
    return this;
  }

  WaterFile stateDir(Path directory) {
    figures.put("state-dir", directory.toString());
    return this;
  }

  String site() {
    return site;
  }

  String zone() {
    return figures.get("zone");
  }

  Tank tank(String name) {
    return tanks.stream().filter(tank -> tank.name().equals(name)).findFirst().orElseThrow();
  }

  List<Tank> tanks() {
    return tanks;
  }

  /** Writes it. */
  Path write(Path file) {
    StringBuilder text = new StringBuilder(SITE);
    for (Tank tank : tanks) {
      double percent = tank.portions() * tank.portionLitres() / WATER_LITRES * 100;
      text.append(
          TANK.replace("${tank}", tank.name())
              .replace("${kind}", tank.paired() ? "paired" : "portions")
              .replace("${portion}", Double.toString(tank.portionLitres()))
              .replace("${per-day}", Double.toString(percent)));
    }
    String filled = text.toString();
    for (Map.Entry<String, String> figure : figures.entrySet()) {
      filled = filled.replace("${" + figure.getKey() + "}", figure.getValue());
    }
    try {
      return Files.writeString(file, filled);
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }
}

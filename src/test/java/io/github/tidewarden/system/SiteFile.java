package io.github.tidewarden.system;

import io.github.tidewarden.config.ConfigException;
import io.github.tidewarden.config.ConfigReader;
import io.github.tidewarden.config.Configuration;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.net.URI;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.time.ZoneOffset;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.atomic.AtomicInteger;

/**
 * The configuration of a test's own site: a name that no other test has, tanks that are all alike,
 * a window that is open now, and rests of one second where a keeper would have minutes.
 */
final class SiteFile {
  /** Longest that a generator runs without being told again, s: the shortest that is allowed. */
  static final int LEASE_SECONDS = 6;

  /** How late a run may still be delivered, s: a third of the lease. */
  static final int EXPIRY_SECONDS = 2;

  private static final AtomicInteger SITES = new AtomicInteger();

  private static final String SITE =
      """
      site: ${site}
      zone: ${zone}
      state-dir: ${state-dir}
      clock: { trusted-when: battery-backed }
      broker: { url: "${broker}" }
      hard-limits: { redox-ceiling: 430 mV, ozone-per-24h: 120 min, longest-drop-out: 60 s, \
      exchange-per-24h: 10 %, imbalance: 0.5 % }
      device-kinds: { relay: { send-on: "on {seconds}", send-off: "off", drop-out: 6 s, \
      confirm: { on: "on", off: "off", within: 5 s } } }
      tanks:
      """;

  private static final String TANK =
      """
        ${tank}:
          water: 340 L
          sensors:
            redox-a: { topic: ${site}/${tank}/redox/a, measures: redox, ${redox-keys} }
            redox-b: { topic: ${site}/${tank}/redox/b, measures: redox, ${redox-keys} }
            skimmer-air: { topic: ${site}/${tank}/air, measures: air-flow, unit: L/min, low: 3 L/min }
            circulation: { topic: ${site}/${tank}/return, measures: running, \
      states: { running: "1", stopped: "0" } }
          ozone:
            generator: { kind: relay, topic: ${site}/${tank}/ozone/set, \
      state: ${site}/${tank}/ozone/state, rated-output: 50 mg/h }
            windows: [ { from: "21:00", to: "03:00" } ]
            most-per-night: ${most-per-night}
            reference: Ag/AgCl 3 M KCl
            band: { start-below: 340 mV, stop-above: 365 mV }
            ceiling: 400 mV
            shortest-on: 1 s
            shortest-off: 1 s
          interlocks: { air-lost: { for: 2 s } }
          without: { room-ozone: a test has no room, probe-calibration: its probes are right }
      """;

  private final String site =
      "site-" + ProcessHandle.current().pid() + "-" + SITES.incrementAndGet();
  private final Map<String, String> figures = new LinkedHashMap<>();
  private List<String> tanks = List.of("lagoon");

  SiteFile() {
    figures.put("site", site);
    figures.put("zone", zoneNearMidnight());
    figures.put("broker", "mqtt://127.0.0.1:1883");
    figures.put("redox-keys", "stale-after: 60 s");
    figures.put("most-per-night", "60 min");
  }

  /** Zones differ by whole hours; in this one it is between 23:00 and midnight now. */
  static String zoneNearMidnight() {
    int hour = Instant.now().atOffset(ZoneOffset.UTC).getHour();
    int ahead = Math.floorMod(23 - hour + 12, 24) - 12;
    // The names of these zones count westward.
    return ahead == 0 ? "Etc/UTC" : "Etc/GMT" + (ahead > 0 ? "-" : "+") + Math.abs(ahead);
  }

  SiteFile tanks(String... names) {
    tanks = List.of(names);
    return this;
  }

  SiteFile mostPerNight(String time) {
    figures.put("most-per-night", time);
    return this;
  }

  SiteFile redox(String keys) {
    figures.put("redox-keys", keys);
    return this;
  }

  SiteFile broker(URI uri) {
    figures.put("broker", "mqtt://127.0.0.1:" + uri.getPort());
    return this;
  }

  /** The same site with another state directory. */
  SiteFile stateDir(Path directory) {
    figures.put("state-dir", directory.toString());
    return this;
  }

  String site() {
    return site;
  }

  List<String> tanks() {
    return tanks;
  }

  /** Writes it. */
  Path write(Path file) {
    StringBuilder text = new StringBuilder(SITE);
    tanks.forEach(tank -> text.append(TANK.replace("${tank}", tank)));
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

  static Configuration read(Path file) {
    try {
      return ConfigReader.read(file);
    } catch (ConfigException e) {
      throw new IllegalStateException(e.getMessage(), e);
    }
  }
}

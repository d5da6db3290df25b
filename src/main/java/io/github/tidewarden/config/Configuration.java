package io.github.tidewarden.config;

import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.science.RoomLeak;
import java.nio.file.Path;
import java.time.LocalTime;
import java.util.List;
import java.util.Map;

/**
 * A whole configuration, checked. There is none that is checked only in part.
 *
 * @param file the file that it was read from
 * @param digest SHA-256 of the file's bytes, 64 lower-case hex
 * @param site what the core needs
 * @param air of each room of which it is said, by the room's name: what a leak would be thinned by
 * @param broker where the broker is
 * @param stateDir absolute path of the directory that keeps state and audit
 * @param clock when the wall clock may be believed
 * @param reviewAt local time at which the review is written
 * @param notices what the keeper should know though it is allowed, in the order of the file
 * @param watchOnly whether it is decided and recorded, and nothing is commanded
 */
public record Configuration(
    Path file,
    String digest,
    SiteSpec site,
    Map<String, RoomLeak> air,
    BrokerSpec broker,
    Path stateDir,
    ClockSpec clock,
    LocalTime reviewAt,
    List<String> notices,
    boolean watchOnly) {

  /**
   * What a site's name ends in when it is only watched; no site of its own may be named so. It
   * makes topics and client id others than those of the daemon that commands.
   */
  public static final String WATCH_ONLY = "-watch-only";

  /** Copies the collections. */
  public Configuration {
    air = Map.copyOf(air);
    notices = List.copyOf(notices);
  }

  /** The same to watch only: under another name, and with a state directory of its own. */
  public Configuration toWatchOnly() {
    SiteSpec watched =
        new SiteSpec(site.name() + WATCH_ONLY, site.zone(), site.hardLimits(), site.tanks());
    return new Configuration(
        file,
        digest,
        watched,
        air,
        broker,
        stateDir.resolve("watch-only"),
        clock,
        reviewAt,
        notices,
        true);
  }
}

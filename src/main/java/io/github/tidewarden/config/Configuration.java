package io.github.tidewarden.config;

import io.github.tidewarden.control.SiteSpec;
import java.nio.file.Path;
import java.time.LocalTime;
import java.util.List;

/**
 * A whole configuration, checked. There is none that is checked only in part.
 *
 * @param file the file that it was read from
 * @param digest SHA-256 of the file's bytes, 64 lower-case hex
 * @param site what the core needs
 * @param broker where the broker is
 * @param stateDir absolute path of the directory that keeps state and audit
 * @param clock when the wall clock may be believed
 * @param reviewAt local time at which the review is written
 * @param notices what the keeper should know though it is allowed, in the order of the file
 */
public record Configuration(
    Path file,
    String digest,
    SiteSpec site,
    BrokerSpec broker,
    Path stateDir,
    ClockSpec clock,
    LocalTime reviewAt,
    List<String> notices) {

  /** Copies the list. */
  public Configuration {
    notices = List.copyOf(notices);
  }
}

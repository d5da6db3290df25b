package io.github.tidewarden.config;

import java.nio.file.Path;

/**
 * When the wall clock may be believed.
 *
 * @param trustedWhen what vouches for it
 * @param marker the file that the time service touches at each synchronisation; not looked at when
 *     the clock is battery-backed
 */
public record ClockSpec(TrustedWhen trustedWhen, Path marker) {

  /** The marker of systemd's own time service. */
  public static final Path DEFAULT_MARKER = Path.of("/run/systemd/timesync/synchronized");

  /** What vouches for the clock. */
  public enum TrustedWhen {
    /** The time service has said in this boot that the clock is synchronised. */
    SYNCHRONISED("synchronised"),
    /** The keeper has declared that a battery keeps the clock. */
    BATTERY_BACKED("battery-backed");

    private final String word;

    TrustedWhen(String word) {
      this.word = word;
    }

    /** The word used in configurations. */
    public String word() {
      return word;
    }
  }
}

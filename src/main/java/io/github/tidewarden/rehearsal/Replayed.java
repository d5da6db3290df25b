package io.github.tidewarden.rehearsal;

import java.util.Set;

/** What a replay came to, to be shown. */
public final class Replayed {
  private final Replay.Outcome outcome;

  Replayed(Replay.Outcome outcome) {
    this.outcome = outcome;
  }

  /** Whether there is a trace of that night from which it could be replayed. */
  public boolean traced() {
    return !outcome.stretches().isEmpty();
  }

  /** Whether the replay under the configuration of the night decided what was decided then. */
  public boolean same() {
    return traced() && outcome.differences().isEmpty();
  }

  /** Fingerprints of the configurations under which the night was lived. */
  public Set<String> digests() {
    return outcome.digests();
  }

  /** In the keeper's words, ending in a newline. */
  public String text() {
    return ReplayText.of(outcome);
  }

  /** A picture: an HTML file that needs no other. */
  public String page() {
    return ReplayPage.of(outcome);
  }
}

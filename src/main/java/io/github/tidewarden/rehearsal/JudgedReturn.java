package io.github.tidewarden.rehearsal;

import io.github.tidewarden.quantity.Moment;
import java.time.Duration;

/** Whether a function works again in time once nothing is in its way. */
final class JudgedReturn {
  /** For a reservation, for readings, and from one look to the next. */
  private static final long GRACE = Duration.ofMinutes(1).toNanos();

  private final String what;
  private final long mostNanos;
  private final TankJudge.Finding finding;
  private boolean ready;
  private long readySince;
  private long notBefore;
  private boolean hindered;
  private int returns;

  /**
   * Not seen yet.
   *
   * @param what it gives, in a word
   * @param mostNanos so long after nothing is in its way it works
   */
  JudgedReturn(String what, long mostNanos, TankJudge.Finding finding) {
    this.what = what;
    this.mostNanos = mostNanos;
    this.finding = finding;
  }

  /** Until then it rests, whatever else there is. */
  void restsUntil(long nanos) {
    notBefore = Math.max(notBefore, nanos);
    ready = false;
  }

  /** It works. */
  void works() {
    returns += hindered ? 1 : 0;
    hindered = false;
    ready = false;
  }

  /**
   * Looks at it while it does not work.
   *
   * @param wanted whether it is to work and nothing is in its way
   */
  void looks(boolean wanted, Moment now) {
    if (!wanted) {
      hindered |= ready;
      ready = false;
      return;
    }
    if (!ready) {
      ready = true;
      readySince = now.monoNanos();
    }
    if (now.monoNanos() - Math.max(readySince + mostNanos, notBefore + GRACE) > 0) {
      Duration since = Duration.ofNanos(now.monoNanos() - readySince);
      finding.found(
          Judge.LIVENESS,
          now.wall(),
          "nothing has been in the way of " + what + " for " + since.toSeconds() + " s, in vain");
      ready = false;
    }
  }

  /** How often it worked again after something had been in its way. */
  int returns() {
    return returns;
  }
}

package io.github.tidewarden.rehearsal;

import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Moment;
import java.time.Duration;

/**
 * Whether ozone is given again in time once nothing is in its way: after the rest of whatever
 * tripped, after its own shortest rest, and after that of a signal that was lost.
 */
final class JudgedReturn {
  /** What a lost signal keeps at rest, see DEVELOPERS.md. */
  private static final long SILENCE_RESTS = Duration.ofMinutes(5).toNanos();

  /** For a reservation, for readings, and from one look to the next. */
  private static final long GRACE = Duration.ofMinutes(1).toNanos();

  private final OzoneSpec rule;
  private final JudgedSignals signals;
  private final JudgedCauses causes;
  private final JudgedWindows windows;
  private final TankJudge.Finding finding;
  private boolean ready;
  private long readySince;
  private long notBefore;

  /** How often it came to run after something had been in its way. */
  private int returns;

  private boolean hindered;

  JudgedReturn(
      OzoneSpec rule,
      JudgedSignals signals,
      JudgedCauses causes,
      JudgedWindows windows,
      TankJudge.Finding finding) {
    this.rule = rule;
    this.signals = signals;
    this.causes = causes;
    this.windows = windows;
    this.finding = finding;
  }

  /** The daemon starts again: the shortest rest begins. */
  void restarted(Moment now) {
    notBefore = Math.max(notBefore, now.monoNanos() + rule.shortestOffNanos());
    ready = false;
  }

  /**
   * The generator runs.
   *
   * @param firstNanos since when
   * @param untilNanos until when at the latest
   */
  void runs(long firstNanos, long untilNanos) {
    notBefore =
        Math.max(
            untilNanos + rule.shortestOffNanos(),
            firstNanos + rule.shortestOnNanos() + rule.shortestOffNanos());
    returns += hindered ? 1 : 0;
    hindered = false;
    ready = false;
  }

  /**
   * Looks.
   *
   * @param well whether nothing of what is not known here is in its way
   */
  void looks(boolean well, Moment now) {
    boolean was = ready;
    ready = well && isWanted(now);
    if (!ready) {
      hindered |= was || !well;
      return;
    }
    if (!was) {
      readySince = now.monoNanos();
    }
    long due = Math.max(readySince + SILENCE_RESTS, notBefore) + GRACE;
    if (now.monoNanos() - due > 0) {
      finding.found(
          Judge.LIVENESS,
          now.wall(),
          "nothing has been in the way of ozone for "
              + Duration.ofNanos(now.monoNanos() - readySince).toSeconds()
              + " s, and it is not given");
      ready = false;
    }
  }

  private boolean isWanted(Moment now) {
    JudgedWindows.Open open = windows.open(rule.windows(), now.wall());
    return now.trusted()
        && open != null
        && Duration.between(now.wall(), open.to()).compareTo(Duration.ofMinutes(1)) > 0
        && causes.quiet(TankFunction.OZONE, now)
        && rule.probes().stream()
            .allMatch(
                probe ->
                    signals.isGood(probe, now.monoNanos(), 0)
                        && signals.value(probe) < rule.startBelowMillivolts());
  }

  /** How often it came to run after something had been in its way. */
  int returns() {
    return returns;
  }
}

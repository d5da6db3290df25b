package io.github.tidewarden.rehearsal;

import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.gate.HardLimits;
import io.github.tidewarden.quantity.Moment;
import java.time.Duration;
import java.time.LocalDate;
import java.util.ArrayDeque;
import org.jspecify.annotations.Nullable;

/** How much ozone was commanded in a night and in 24 h, at the most that could have run. */
final class JudgedOzone {
  private static final long DAY = Duration.ofHours(24).toNanos();

  /** A run that is over, on the monotonic clock, and the night in which it was commanded. */
  private record Span(long from, long to, LocalDate night) {}

  private final OzoneSpec rule;
  private final JudgedWindows windows;
  private final HardLimits hard;
  private final TankJudge.Finding finding;
  private final ArrayDeque<Span> spans = new ArrayDeque<>();
  private @Nullable Span live;

  /** How often the daemon has started again in this night: each may have cost a quantum. */
  private int restarts;

  JudgedOzone(OzoneSpec rule, JudgedWindows windows, HardLimits hard, TankJudge.Finding finding) {
    this.rule = rule;
    this.windows = windows;
    this.hard = hard;
    this.finding = finding;
  }

  /**
   * A run is commanded.
   *
   * @param bound when it is over whatever happens
   * @return since when it has run
   */
  long runs(long bound, Moment now) {
    Span before = live;
    if (before != null && now.monoNanos() - before.to() >= 0) {
      closes(before.to(), now);
      before = null;
    }
    JudgedWindows.Open open = windows.open(rule.windows(), now.wall());
    LocalDate night = open == null ? windows.nightOf(now.wall()) : open.night();
    Span run = new Span(before == null ? now.monoNanos() : before.from(), bound, night);
    live = run;
    if (open != null) {
      totals(run, now);
    }
    return run.from();
  }

  /** It is told to rest. */
  void rests(Moment now) {
    if (live != null) {
      closes(Math.min(now.monoNanos(), live.to()), now);
    }
  }

  /** The daemon starts again: what ran may have run to its bound. */
  void restarted(Moment now) {
    if (live != null) {
      closes(live.to(), now);
    }
    restarts++;
  }

  /** A night is over. */
  void ends() {
    restarts = 0;
  }

  private void closes(long to, Moment now) {
    Span run = live;
    if (run != null) {
      spans.add(new Span(run.from(), to, run.night()));
      live = null;
    }
    while (!spans.isEmpty() && now.monoNanos() - spans.getFirst().to() > 2 * DAY) {
      spans.removeFirst();
    }
  }

  private void totals(Span run, Moment now) {
    long now24h = now.monoNanos() - DAY;
    long inNight = now.monoNanos() - run.from();
    long in24h = inNight;
    for (Span span : spans) {
      inNight += span.night().equals(run.night()) ? span.to() - span.from() : 0;
      in24h += Math.max(0, span.to() - Math.max(span.from(), now24h));
    }
    if (inNight > rule.mostPerNightNanos()) {
      finding.found(3, now.wall(), "the night's allowance is passed");
    }
    if (in24h > hard.ozonePer24hNanos()) {
      finding.found(3, now.wall(), "the hard limit of 24 h is passed");
    }
  }

  /** Whether there is surely enough left of the night's allowance for another run. */
  boolean hasLeft(LocalDate night) {
    long spent = (restarts + 2) * rule.quantumNanos();
    for (Span span : spans) {
      spent += span.night().equals(night) ? span.to() - span.from() : 0;
    }
    return spent < rule.mostPerNightNanos();
  }
}

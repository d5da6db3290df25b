package io.github.tidewarden.rehearsal;

import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.ClockEvent;
import io.github.tidewarden.schedule.ClockSample;
import io.github.tidewarden.schedule.ClockSource;
import io.github.tidewarden.schedule.ClockWatch;
import java.time.Instant;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/** The clocks of a drill's machine, and the daemon's own watch over them. */
final class DrillClocks {

  /** The monotonic clock at the start: it never begins at 0 in a machine that has just booted. */
  static final long MONO_AT_START = TimeUnit.MINUTES.toNanos(5);

  private final Instant start;
  private long steppedNanos;
  private @Nullable Instant marker;
  private ClockWatch watch;
  private Moment now;

  /**
   * At the start.
   *
   * @param trusted whether the time service has shown by then that the wall clock is right
   */
  DrillClocks(ClockSource source, Instant start, boolean trusted) {
    this.start = start;
    marker = trusted ? start.minusSeconds(60) : null;
    ClockWatch.Observation first = ClockWatch.start(source, sample(0));
    watch = first.watch();
    now = first.now();
  }

  private ClockSample sample(long nanos) {
    return new ClockSample(wall(nanos), MONO_AT_START + nanos, marker, MONO_AT_START + nanos);
  }

  /** What the wall clock shows. */
  Instant wall(long nanos) {
    return start.plusNanos(nanos + steppedNanos);
  }

  /** The time as it was observed last. */
  Moment now() {
    return now;
  }

  /** The wall clock jumps. */
  void stepBy(long nanos) {
    steppedNanos += nanos;
  }

  /** The time service touches its marker. */
  void shown(long nanos) {
    marker = wall(nanos);
  }

  /** Looks at the clocks; what is to be told, empty for nothing. */
  String observe(long nanos) {
    ClockWatch.Observation observed = watch.observe(sample(nanos));
    watch = observed.watch();
    now = observed.now();
    ClockEvent event = observed.event();
    if (event == null) {
      return "";
    }
    return switch (event.kind()) {
      case GAINED -> "the wall clock is trusted";
      case STEPPED ->
          "the wall clock was stepped by " + event.stepMillis() + " ms and is not trusted";
    };
  }
}

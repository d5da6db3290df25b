package io.github.tidewarden.interlock;

import java.util.EnumSet;
import java.util.Set;
import java.util.concurrent.TimeUnit;

/**
 * The trip that came first. Those that come while it stands, or within {@link #TOGETHER_NANOS} of
 * it, are its consequences.
 *
 * @param name the interlock
 * @param nanos when it tripped, monotonic
 * @param stopped functions that ran when its cause came, and that it stopped
 */
public record FirstOut(String name, long nanos, Set<TankFunction> stopped) {

  /** Trips this close to the first one count as its consequences even if it is over already. */
  static final long TOGETHER_NANOS = TimeUnit.SECONDS.toNanos(60);

  /** A trip that is nobody's consequence, of a cause that has stood since {@code sinceNanos}. */
  static FirstOut of(InterlockSpec spec, Interlocks.State state, long sinceNanos, long nowNanos) {
    Set<TankFunction> stopped = EnumSet.noneOf(TankFunction.class);
    for (TankFunction function : spec.stops()) {
      Long ran = state.ranNanos().get(function);
      if (ran != null && ran - sinceNanos >= 0) {
        stopped.add(function);
      }
    }
    return new FirstOut(spec.name(), nowNanos, stopped);
  }

  /** Whether a trip that comes in the cycle after {@code before} is a consequence of this one. */
  boolean draws(Interlocks.State before, long nowNanos) {
    return before.watch(name).phase() == Watch.Phase.TRIPPED || nowNanos - nanos < TOGETHER_NANOS;
  }
}

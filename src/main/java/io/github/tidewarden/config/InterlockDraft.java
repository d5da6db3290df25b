package io.github.tidewarden.config;

import io.github.tidewarden.interlock.Arming;
import io.github.tidewarden.interlock.Condition;
import io.github.tidewarden.interlock.InterlockSpec;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.UnitCode;
import java.util.EnumSet;
import java.util.Set;
import java.util.function.DoubleFunction;
import org.jspecify.annotations.Nullable;

/** An interlock while it is put together: the standard one first, then what the keeper changes. */
final class InterlockDraft {

  /** The one limit of a standard interlock that may be changed where the interlock is named. */
  record Limit(
      String key,
      UnitCode unit,
      double value,
      boolean lowerIsTighter,
      DoubleFunction<Condition> cause) {

    boolean loosenedBy(double changed) {
      return lowerIsTighter ? changed > value : changed < value;
    }
  }

  final String name;
  Condition cause;
  Arming arming = Arming.ALWAYS;
  boolean notice;
  long forNanos;
  @Nullable Condition clear;
  long restNanos;
  boolean latches;
  @Nullable Condition latchWhen;
  long latchForNanos;
  int latchAtCount;
  final Set<TankFunction> stops = EnumSet.noneOf(TankFunction.class);
  @Nullable Limit limit;

  InterlockDraft(String name, Condition cause) {
    this.name = name;
    this.cause = cause;
  }

  /** A draft whose cause follows from a limit that the keeper may change. */
  InterlockDraft(String name, Limit limit) {
    this(name, limit.cause().apply(limit.value()));
    this.limit = limit;
  }

  /** It tells only; what it stops is forbidden while the cause stands. */
  InterlockDraft notice() {
    notice = true;
    return this;
  }

  InterlockDraft armed(Arming when) {
    arming = when;
    return this;
  }

  InterlockDraft after(long nanos) {
    forNanos = nanos;
    return this;
  }

  InterlockDraft clearsWhen(Condition condition) {
    clear = condition;
    return this;
  }

  InterlockDraft rests(long nanos) {
    restNanos = nanos;
    return this;
  }

  /** Latches when the cause itself has stood for so long. */
  InterlockDraft latches(long afterNanos) {
    latches = true;
    latchForNanos = afterNanos;
    return this;
  }

  /** Latches when something worse than the cause has stood for so long. */
  InterlockDraft latchesWhen(Condition worse, long afterNanos) {
    latchWhen = worse;
    return latches(afterNanos);
  }

  InterlockDraft latchesAtCount(int count) {
    latchAtCount = count;
    return this;
  }

  InterlockDraft stops(TankFunction... functions) {
    stops.addAll(Set.of(functions));
    return this;
  }

  InterlockSpec spec() {
    Condition latch = latchWhen == null ? cause : latchWhen;
    return new InterlockSpec(
        name,
        cause,
        arming,
        notice,
        forNanos,
        clear,
        restNanos,
        latches ? latch : null,
        latchForNanos,
        latchAtCount,
        stops);
  }
}

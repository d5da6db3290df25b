package io.github.tidewarden.interlock;

import io.github.tidewarden.sensing.Signal;
import java.util.Map;

/**
 * Every signal, as it came and with what calibrations make of it. An interlock goes by whichever is
 * worse, so a correction can make it act earlier and never later.
 *
 * @param raw as they came, by name
 * @param corrected the same, calibrated ones corrected; the very same map where none is
 */
public record Seen(Map<String, Signal> raw, Map<String, Signal> corrected) {

  /** Signals of which none is corrected. */
  public static Seen raw(Map<String, Signal> signals) {
    return new Seen(signals, signals);
  }

  /** What a cause says: true where it is true of either. */
  Verdict either(Condition cause) {
    Verdict one = cause.verdict(raw);
    return one == Verdict.TRUE ? one : worse(one, cause, Verdict.TRUE);
  }

  /** What says that a cause is over: true only where it is true of both. */
  Verdict both(Condition clear) {
    Verdict one = clear.verdict(raw);
    return one == Verdict.FALSE ? one : worse(one, clear, Verdict.FALSE);
  }

  private Verdict worse(Verdict one, Condition condition, Verdict worst) {
    if (corrected == raw) {
      return one;
    }
    Verdict other = condition.verdict(corrected);
    return other == worst || one != Verdict.UNKNOWN ? other : one;
  }

  /** A cause in the keeper's words, by those signals of which it is true. */
  String told(Condition cause) {
    return Telling.of(
        cause,
        cause.verdict(raw) != Verdict.TRUE && cause.verdict(corrected) == Verdict.TRUE
            ? corrected
            : raw);
  }
}

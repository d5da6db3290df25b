package io.github.tidewarden.interlock;

/** What a condition says of the signals at one moment. */
public enum Verdict {
  /** The condition holds. */
  TRUE,
  /** The condition does not hold, and every signal that it needed to say so is good. */
  FALSE,
  /** A signal that it needs is not good, so it cannot be told. */
  UNKNOWN;

  static Verdict of(boolean holds) {
    return holds ? TRUE : FALSE;
  }
}

package io.github.tidewarden.sensing;

/** How far a signal may be believed. Only {@link #GOOD} permits anything. */
public enum Quality {
  /** Fresh, plausible and well formed. */
  GOOD,
  /** A value exists, but something about it is in doubt. */
  UNCERTAIN,
  /** No value may be used. */
  BAD
}

package io.github.tidewarden.daemon;

/** How a verb ends, after sysexits.h; {@link #FAILED} is ours. */
public enum Exit {
  /** All went well. */
  OK(0),
  /** What was tried did not go as it must. */
  FAILED(1),
  /** The command line is wrong. */
  USAGE(64),
  /** What was given, or what was found, is not good. */
  DATA(65),
  /** Something that is needed did not answer. */
  UNAVAILABLE(69),
  /** A fault of the program. */
  SOFTWARE(70),
  /** A file could not be read or written. */
  IO(74),
  /** Another daemon holds the state directory, or has taken over the client id. */
  ANOTHER(75),
  /** A password could not be had. */
  CREDENTIAL(77),
  /** The configuration is wrong. */
  CONFIG(78);

  private final int code;

  Exit(int code) {
    this.code = code;
  }

  /** The process's exit code. */
  public int code() {
    return code;
  }
}

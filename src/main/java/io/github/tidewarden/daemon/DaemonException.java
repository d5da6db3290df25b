package io.github.tidewarden.daemon;

/** Why the daemon cannot start, with the exit code and the remedy. */
public final class DaemonException extends Exception {
  private static final long serialVersionUID = 1L;

  private final Exit exit;

  /**
   * A failed start.
   *
   * @param exit how to end
   * @param message what is wrong and what would be right
   */
  public DaemonException(Exit exit, String message) {
    super(message);
    this.exit = exit;
  }

  /** How to end. */
  public Exit exit() {
    return exit;
  }
}

package io.github.tidewarden.gate;

/** Commands for tests of what carries them; only this package can make one. */
public final class TestCommands {
  private TestCommands() {}

  /** A run with a lease and a message expiry. */
  public static Command run(String topic, String payload, int leaseSeconds, int expirySeconds) {
    return new Command("lagoon", "generator", topic, payload, leaseSeconds, expirySeconds);
  }

  /** A rest. */
  public static Command rest(String topic, String payload) {
    return new Command("lagoon", "generator", topic, payload, 0, 0);
  }
}

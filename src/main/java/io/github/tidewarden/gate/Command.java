package io.github.tidewarden.gate;

/**
 * What an actuator is told. Only the gate can make one: the constructor is package-private, and the
 * MQTT adapter publishes to an actuator nothing else.
 */
public final class Command {
  private final String tank;
  private final String actuator;
  private final String topic;
  private final String payload;
  private final int leaseSeconds;
  private final int expirySeconds;

  Command(
      String tank,
      String actuator,
      String topic,
      String payload,
      int leaseSeconds,
      int expirySeconds) {
    this.tank = tank;
    this.actuator = actuator;
    this.topic = topic;
    this.payload = payload;
    this.leaseSeconds = leaseSeconds;
    this.expirySeconds = expirySeconds;
  }

  /** The tank that owns the actuator. */
  public String tank() {
    return tank;
  }

  /** The actuator's name within its tank. */
  public String actuator() {
    return actuator;
  }

  /** The actuator's set-topic. */
  public String topic() {
    return topic;
  }

  /** The payload, as the kind of device wants it. */
  public String payload() {
    return payload;
  }

  /** Whether it makes the actuator run. */
  public boolean runs() {
    return leaseSeconds > 0;
  }

  /** For how many seconds the device may run before it must hear again; 0 for rest. */
  public int leaseSeconds() {
    return leaseSeconds;
  }

  /** MQTT 5 message expiry in seconds; 0 for a rest, which never expires. */
  public int expirySeconds() {
    return expirySeconds;
  }

  @Override
  public String toString() {
    return tank + "/" + actuator + (runs() ? " run " + leaseSeconds + " s" : " rest");
  }
}

package io.github.tidewarden.gate;

import io.github.tidewarden.interlock.TankFunction;

/**
 * How one actuator is told to run and to rest.
 *
 * @param name unique in its tank, such as {@code generator}
 * @param function what it serves
 * @param topic the set-topic; belongs to this actuator alone
 * @param runTemplate the payload that makes it run, with {@code {seconds}} where the lease goes
 * @param restPayload the payload that puts it to rest
 * @param dropOutSeconds after how many seconds without a message it goes to rest by itself, 6 to
 *     120
 */
public record ActuatorSpec(
    String name,
    TankFunction function,
    String topic,
    String runTemplate,
    String restPayload,
    int dropOutSeconds) {

  /** Where the lease goes in {@link #runTemplate()}. */
  public static final String SECONDS = "{seconds}";

  /** Whether the message carries the lease; else the device always runs its whole drop-out time. */
  public boolean carriesLease() {
    return runTemplate.contains(SECONDS);
  }
}

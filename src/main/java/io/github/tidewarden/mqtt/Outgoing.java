package io.github.tidewarden.mqtt;

import io.github.tidewarden.gate.Command;
import java.nio.charset.StandardCharsets;
import org.jspecify.annotations.Nullable;

/**
 * One message on its way out. Equal to itself only.
 *
 * <p>Never reused: the same command sent twice is two of them.
 */
final class Outgoing {
  private static final long NANOS_PER_SECOND = 1_000_000_000L;
  private static final long NO_WAIT_NANOS = 50_000_000L;

  /** What it is for. */
  enum Kind {
    /** To an actuator. */
    COMMAND,
    /** To ourselves, through the broker. */
    ECHO,
    /** What the daemon says of itself, answers included. */
    NOTE
  }

  private final Kind kind;
  private final @Nullable Command command;
  private final String topic;
  private final byte[] payload;
  private final boolean retained;
  private final byte @Nullable [] correlation;
  private final long takenMonoNanos;

  private Outgoing(
      Kind kind,
      @Nullable Command command,
      String topic,
      byte[] payload,
      boolean retained,
      byte @Nullable [] correlation,
      long takenMonoNanos) {
    this.kind = kind;
    this.command = command;
    this.topic = topic;
    this.payload = payload;
    this.retained = retained;
    this.correlation = correlation;
    this.takenMonoNanos = takenMonoNanos;
  }

  static Outgoing command(Command command, long monoNanos) {
    byte[] payload = command.payload().getBytes(StandardCharsets.UTF_8);
    return new Outgoing(Kind.COMMAND, command, command.topic(), payload, false, null, monoNanos);
  }

  static Outgoing echo(Note echo, long monoNanos) {
    return new Outgoing(
        Kind.ECHO, null, echo.topic(), echo.payload(), echo.retained(), null, monoNanos);
  }

  static Outgoing note(Note note, long monoNanos) {
    return new Outgoing(
        Kind.NOTE, null, note.topic(), note.payload(), note.retained(), null, monoNanos);
  }

  static Outgoing answer(
      String topic, byte @Nullable [] correlation, byte[] payload, long monoNanos) {
    return new Outgoing(Kind.NOTE, null, topic, payload, false, correlation, monoNanos);
  }

  Kind kind() {
    return kind;
  }

  @Nullable Command command() {
    return command;
  }

  String topic() {
    return topic;
  }

  byte[] payload() {
    return payload;
  }

  boolean retained() {
    return retained;
  }

  byte @Nullable [] correlation() {
    return correlation;
  }

  long takenMonoNanos() {
    return takenMonoNanos;
  }

  /**
   * Whole seconds that are left of the message expiry, rounded down so that waiting here does not
   * lengthen a command's life (a wait under {@value #NO_WAIT_NANOS} ns counts as none): 0 or less
   * means that it must not go out any more, {@code Long.MAX_VALUE} that it never expires.
   */
  long expirySecondsLeft(long monoNanos) {
    if (command == null || command.expirySeconds() == 0) {
      return Long.MAX_VALUE;
    }
    long waitedNanos = monoNanos - takenMonoNanos;
    long expiryNanos = command.expirySeconds() * NANOS_PER_SECOND;
    return Math.floorDiv(expiryNanos - waitedNanos + NO_WAIT_NANOS, NANOS_PER_SECOND);
  }
}

package io.github.tidewarden.mqtt;

import java.time.Duration;
import org.eclipse.paho.mqttv5.common.MqttException;

/** How the adapter words what went wrong. */
final class Reason {
  private static final int DEEPEST = 8;

  private Reason() {}

  /** The innermost cause, in the words of whoever threw it. */
  static String of(Throwable thrown) {
    Throwable innermost = thrown;
    for (int depth = 0; innermost.getCause() != null && depth < DEEPEST; depth++) {
      innermost = innermost.getCause();
    }
    String message = innermost.getMessage();
    if (innermost instanceof MqttException mqtt) {
      return message + " (" + mqtt.getReasonCode() + ")";
    }
    String kind = innermost.getClass().getSimpleName();
    return message == null ? kind : kind + ": " + message;
  }

  /** An MQTT 5 reason code as the standard writes it. */
  static String code(int reasonCode) {
    return String.format("0x%02X", reasonCode);
  }

  /** A limit, in seconds. */
  static String seconds(Duration limit) {
    return limit.toMillis() / 1000.0 + " s";
  }
}

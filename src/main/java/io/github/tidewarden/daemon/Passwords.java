package io.github.tidewarden.daemon;

import io.github.tidewarden.config.BrokerSpec;
import io.github.tidewarden.mqtt.Credentials;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;

/** Reads the broker's password from its file; it is never written anywhere. */
public final class Passwords {
  private Passwords() {}

  /**
   * How to log in to the broker.
   *
   * @throws DaemonException when the file cannot be read or is empty
   */
  public static Credentials credentials(BrokerSpec broker) throws DaemonException {
    Path file = broker.passwordFile();
    if (broker.user().isEmpty() || file == null) {
      return broker.user().isEmpty() ? Credentials.NONE : Credentials.of(broker.user(), "");
    }
    try {
      String password = Files.readString(file).strip();
      if (password.isEmpty()) {
        throw new DaemonException(
            Exit.CREDENTIAL, file + " is empty; put the broker's password into it");
      }
      return Credentials.of(broker.user(), password);
    } catch (IOException e) {
      throw new DaemonException(
          Exit.CREDENTIAL,
          file + " cannot be read; make it readable for this user, and for no other");
    }
  }
}

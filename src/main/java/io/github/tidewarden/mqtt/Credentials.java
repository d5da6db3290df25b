package io.github.tidewarden.mqtt;

import java.nio.charset.StandardCharsets;
import org.jspecify.annotations.Nullable;

/** Who connects to the broker. Never printed. */
public final class Credentials {
  /** For a broker that asks no name. */
  public static final Credentials NONE = new Credentials(null, null);

  private final @Nullable String user;
  private final @Nullable String password;

  private Credentials(@Nullable String user, @Nullable String password) {
    this.user = user;
    this.password = password;
  }

  /** A user with a password. */
  public static Credentials of(String user, String password) {
    return new Credentials(user, password);
  }

  @Nullable String user() {
    return user;
  }

  byte @Nullable [] password() {
    return password == null ? null : password.getBytes(StandardCharsets.UTF_8);
  }

  @Override
  public String toString() {
    return user == null ? "no user" : "user " + user;
  }
}

package io.github.tidewarden.config;

import java.nio.file.Path;
import org.jspecify.annotations.Nullable;

/**
 * Where the broker is and how to log in.
 *
 * @param host host name or address
 * @param port TCP port, 1 to 65535
 * @param tls whether the connection is encrypted ({@code mqtts://})
 * @param user user name, or empty for none
 * @param passwordFile file that holds the password, or null for none; not read here
 */
public record BrokerSpec(
    String host, int port, boolean tls, String user, @Nullable Path passwordFile) {

  /** As it is written: {@code mqtt://host:port} or {@code mqtts://host:port}. */
  public String url() {
    return (tls ? "mqtts://" : "mqtt://") + host + ":" + port;
  }
}

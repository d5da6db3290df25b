package io.github.tidewarden.mqtt;

import java.net.URI;

/**
 * What a link needs to know.
 *
 * @param broker {@code mqtt://host[:port]}, or {@code mqtts://host[:port]} for TLS with the Java
 *     run-time's own trust store and host name check; ports 1883 and 8883 if not given
 * @param site the site's name; the client id is {@code tidewarden-{site}}
 * @param credentials who connects
 * @param lastWill what the broker publishes, retained, on the status topic when the daemon is gone;
 *     information only, since it comes up to one and a half keep-alives late
 */
@SuppressWarnings("ArrayRecordComponent") // never compared; the bytes are never written
public record LinkSettings(URI broker, String site, Credentials credentials, byte[] lastWill) {

  /**
   * Checks the address.
   *
   * @throws IllegalArgumentException if the address or the site's name is not usable
   */
  public LinkSettings {
    Line.check(broker);
    new SiteTopics(site);
  }

  SiteTopics topics() {
    return new SiteTopics(site);
  }

  String clientId() {
    return "tidewarden-" + site;
  }
}

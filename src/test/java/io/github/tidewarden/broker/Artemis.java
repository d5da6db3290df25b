package io.github.tidewarden.broker;

import io.github.tidewarden.rehearsal.DemoBroker;
import java.net.URI;
import java.nio.file.Path;
import org.apache.activemq.artemis.core.config.Configuration;
import org.apache.activemq.artemis.core.config.impl.ConfigurationImpl;
import org.apache.activemq.artemis.core.server.embedded.EmbeddedActiveMQ;
import org.jspecify.annotations.Nullable;

/**
 * An embedded Artemis that speaks MQTT on the loopback interface, in memory only and without
 * security: for tests, and for the demo, which finds it as a service.
 */
public final class Artemis implements TestBroker, DemoBroker {
  private final int port = LoopbackPort.free();
  private final String acceptorOptions;
  private @Nullable EmbeddedActiveMQ server;

  /** A broker that lets everybody in. */
  public Artemis() {
    this("");
  }

  private Artemis(String acceptorOptions) {
    this.acceptorOptions = acceptorOptions;
  }

  /** A broker that speaks TLS only, with the key in a PKCS #12 store. */
  public static Artemis withTls(Path keyStore, String password) {
    return new Artemis(
        ";sslEnabled=true;keyStoreType=PKCS12;keyStorePath="
            + keyStore
            + ";keyStorePassword="
            + password);
  }

  @Override
  public URI start() {
    try {
      EmbeddedActiveMQ starting = new EmbeddedActiveMQ();
      starting.setConfiguration(configuration());
      server = starting;
      starting.start();
    } catch (Exception e) {
      throw new IllegalStateException("the embedded broker does not start", e);
    }
    return URI.create((acceptorOptions.isEmpty() ? "mqtt" : "mqtts") + "://localhost:" + port);
  }

  private Configuration configuration() throws Exception {
    Configuration configuration = new ConfigurationImpl();
    configuration.setPersistenceEnabled(false);
    configuration.setSecurityEnabled(false);
    configuration.setJMXManagementEnabled(false);
    configuration.setMessageCounterEnabled(false);
    configuration.setScheduledThreadPoolMaxSize(2);
    configuration.setThreadPoolMaxSize(8);
    // Messages whose time is up are to go at once, not at the next half-minute's scan.
    configuration.setMessageExpiryScanPeriod(500);
    configuration.addAcceptorConfiguration(
        "mqtt", "tcp://localhost:" + port + "?protocols=MQTT" + acceptorOptions);
    return configuration;
  }

  @Override
  public void kill() {
    close();
  }

  @Override
  public void close() {
    EmbeddedActiveMQ running = server;
    server = null;
    if (running != null) {
      try {
        running.stop();
      } catch (Exception e) {
        throw new IllegalStateException("the embedded broker does not stop", e);
      }
    }
  }
}

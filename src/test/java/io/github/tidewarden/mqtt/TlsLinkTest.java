package io.github.tidewarden.mqtt;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.broker.Artemis;
import io.github.tidewarden.gate.TestCommands;
import java.io.InputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.KeyStore;
import java.util.Arrays;
import java.util.List;
import java.util.concurrent.TimeUnit;
import javax.net.ssl.SSLContext;
import javax.net.ssl.SSLSocketFactory;
import javax.net.ssl.TrustManagerFactory;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;

/** TLS: whom the link trusts, and that it is as quick as without. */
@Timeout(value = 60, threadMode = Timeout.ThreadMode.SEPARATE_THREAD)
class TlsLinkTest {
  private static final String PASSWORD = "for-tests-only";

  @TempDir private Path directory;

  /** A new key for a host, in a store that is its own trust store too. */
  private Path keyFor(String host) throws Exception {
    Path store = directory.resolve(host + ".p12");
    Process keytool =
        new ProcessBuilder(
                Path.of(System.getProperty("java.home"), "bin", "keytool").toString(),
                "-genkeypair",
                "-alias",
                "broker",
                "-keyalg",
                "EC",
                "-validity",
                "2",
                "-dname",
                "CN=" + host,
                "-ext",
                "san=dns:" + host,
                "-storetype",
                "PKCS12",
                "-keystore",
                store.toString(),
                "-storepass",
                PASSWORD)
            .redirectErrorStream(true)
            .redirectOutput(directory.resolve("keytool.log").toFile())
            .start();
    assertThat(keytool.waitFor(30, TimeUnit.SECONDS)).isTrue();
    assertThat(keytool.exitValue()).as(Files.readString(directory.resolve("keytool.log"))).isZero();
    return store;
  }

  private static SSLSocketFactory trusting(Path store) throws Exception {
    KeyStore keys = KeyStore.getInstance("PKCS12");
    try (InputStream in = Files.newInputStream(store)) {
      keys.load(in, PASSWORD.toCharArray());
    }
    KeyStore trusted = KeyStore.getInstance("PKCS12");
    trusted.load(null, null);
    trusted.setCertificateEntry("broker", keys.getCertificate("broker"));
    TrustManagerFactory trust =
        TrustManagerFactory.getInstance(TrustManagerFactory.getDefaultAlgorithm());
    trust.init(trusted);
    SSLContext context = SSLContext.getInstance("TLS");
    context.init(null, trust.getTrustManagers(), null);
    return context.getSocketFactory();
  }

  @Test
  void connectsToABrokerThatItTrustsWithoutDelayedAcknowledgements() throws Exception {
    Path store = keyFor("localhost");
    try (Artemis broker = Artemis.withTls(store, PASSWORD);
        Station station = Station.at(broker.start(), trusting(store)).awaitSubscribed()) {
      int rounds = 50;
      long[] nanos = new long[rounds];
      for (int i = 0; i < rounds; i++) {
        long sent = System.nanoTime();
        station.link.command(TestCommands.rest(Station.READING, "320"));
        List<Delivery> received = station.awaitReceivedBusily(i + 1);
        nanos[i] = received.get(i).monoNanos() - sent;
      }
      Arrays.sort(nanos);
      // Held back, nearly every round takes 40 ms; see the contract.
      assertThat(nanos[rounds / 4]).isLessThan(10_000_000L);
    }
  }

  @Test
  void refusesABrokerOfAnotherName() throws Exception {
    Path store = keyFor("elsewhere.example");
    try (Artemis broker = Artemis.withTls(store, PASSWORD);
        Station station = Station.at(broker.start(), trusting(store))) {
      station.awaitEvents("down not connected: ", 2);
      assertThat(station.events().get(0)).contains("localhost");
      assertThat(station.count("up")).isZero();
    }
  }

  @Test
  void refusesABrokerThatTheDefaultTrustStoreDoesNotKnow() throws Exception {
    try (Artemis broker = Artemis.withTls(keyFor("localhost"), PASSWORD);
        Station station =
            Station.at(broker.start(), (SSLSocketFactory) SSLSocketFactory.getDefault())) {
      station.awaitEvents("down not connected: ", 2);
      assertThat(station.events().get(0)).contains("certification path");
      assertThat(station.count("up")).isZero();
    }
  }
}

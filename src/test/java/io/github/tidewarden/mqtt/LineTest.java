package io.github.tidewarden.mqtt;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.IOException;
import java.io.InputStream;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.net.SocketException;
import java.net.SocketTimeoutException;
import java.net.URI;
import java.time.Duration;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import javax.net.ssl.SSLSocketFactory;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;

@Timeout(value = 30, threadMode = Timeout.ThreadMode.SEPARATE_THREAD)
class LineTest {
  private ServerSocket server;

  @BeforeEach
  void listen() throws IOException {
    server = new ServerSocket(0, 5, InetAddress.getLoopbackAddress());
  }

  @AfterEach
  void close() throws IOException {
    server.close();
  }

  private Line line() {
    return new Line(
        URI.create("mqtt://127.0.0.1:" + server.getLocalPort()),
        (SSLSocketFactory) SSLSocketFactory.getDefault(),
        Duration.ofSeconds(5));
  }

  @Test
  void oneThatWasGivenUpNeverConnectsLater() throws IOException {
    Line line = line();
    line.abandon();
    assertThatThrownBy(line::start).isInstanceOf(SocketException.class);
    server.setSoTimeout(200);
    assertThatThrownBy(server::accept).isInstanceOf(IOException.class);
  }

  @Test
  void givingUpResetsTheConnectionSoThatNothingIsDeliveredLater() throws IOException {
    Line line = line();
    line.start();
    try (Socket peer = server.accept()) {
      line.getOutputStream().write(new byte[] {1});
      assertThat(peer.getInputStream().read()).isEqualTo(1);
      line.abandon();
      // An end in good order would read -1.
      assertThatThrownBy(() -> peer.getInputStream().read())
          .isInstanceOf(SocketException.class)
          .hasMessageContaining("reset");
    }
  }

  @Test
  void readsNothingBeforeTheFirstWriteEvenIfThePeerHasGone() throws Exception {
    Line line = line();
    line.start();
    server.accept().close();
    CompletableFuture<Integer> read =
        CompletableFuture.supplyAsync(
            () -> {
              try {
                return line.getInputStream().read();
              } catch (IOException reset) {
                return -2;
              }
            });
    Station.letPass(Duration.ofMillis(300));
    assertThat(read).isNotDone();
    assertThat(line.getInputStream().available()).isZero();
    line.getOutputStream().write(1);
    assertThat(read.get(10, TimeUnit.SECONDS)).isNegative();
    line.abandon();
  }

  @Test
  void partingInPeaceLetsThePeerCloseFirst() throws Exception {
    Line line = line();
    line.start();
    try (Socket peer = server.accept()) {
      InputStream fromPeer = line.getInputStream();
      line.getOutputStream().write(new byte[] {1, 2});
      line.partInPeace();
      CompletableFuture<Void> stopped = CompletableFuture.runAsync(line::stop);
      assertThat(peer.getInputStream().readNBytes(2)).containsExactly(1, 2);
      peer.setSoTimeout(50);
      assertThatThrownBy(() -> peer.getInputStream().read())
          .isInstanceOf(SocketTimeoutException.class);
      peer.shutdownOutput();
      assertThat(fromPeer.read()).isEqualTo(-1);
      peer.setSoTimeout(10_000);
      assertThat(peer.getInputStream().read()).isEqualTo(-1);
      stopped.get(10, TimeUnit.SECONDS);
    }
  }

  @Test
  void partingInPeaceIsBoundedIfThePeerNeverCloses() throws Exception {
    Line line = line();
    line.start();
    try (Socket peer = server.accept()) {
      line.partInPeace();
      CompletableFuture.runAsync(line::stop).get(10, TimeUnit.SECONDS);
      assertThat(peer.getInputStream().read()).isEqualTo(-1);
    }
  }
}

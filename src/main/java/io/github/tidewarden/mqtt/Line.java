package io.github.tidewarden.mqtt;

import java.io.FilterInputStream;
import java.io.FilterOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.InterruptedIOException;
import java.io.OutputStream;
import java.net.InetSocketAddress;
import java.net.Socket;
import java.net.SocketException;
import java.net.URI;
import java.time.Duration;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import javax.net.ssl.SSLParameters;
import javax.net.ssl.SSLSocket;
import javax.net.ssl.SSLSocketFactory;
import jdk.net.ExtendedSocketOptions;
import org.eclipse.paho.mqttv5.client.internal.NetworkModule;
import org.jspecify.annotations.Nullable;

/**
 * The one socket of one attempt to connect; it stands in for the library's own network module,
 * which offers no way to give up.
 *
 * <ul>
 *   <li>TCP_NODELAY, for TLS too: without it a QoS 1 round trip takes 40 ms and more.
 *   <li>TCP_QUICKACK, which the system forgets and which is therefore set after each packet: a
 *       Mosquitto that is not told {@code set_tcp_nodelay true} holds a reading back for 40 ms
 *       while something else that it has sent is not acknowledged.
 *   <li>{@link #abandon} works at any time and without waiting, also while a name is looked up: an
 *       attempt that was given up never connects later and evicts its successor. It resets the
 *       connection, so that an old command left in the send buffer is not delivered later.
 *   <li>No read time-out: the library loses its place in the stream when one falls into a header.
 *   <li>Nothing is read before the first write: the library's starting thread spins for ever if the
 *       peer closes while it is still starting its other threads.
 * </ul>
 */
final class Line implements NetworkModule {
  private static final int PLAIN_PORT = 1883;
  private static final int TLS_PORT = 8883;
  private static final int PARTING_MILLIS = 500;

  private final String host;
  private final int port;
  private final @Nullable SSLSocketFactory tls;
  private final int connectMillis;
  private final CountDownLatch firstWrite = new CountDownLatch(1);
  private final CountDownLatch inputEnded = new CountDownLatch(1);

  private volatile boolean partingInPeace;
  private volatile boolean quickAcknowledgements;
  private boolean abandoned;
  private volatile @Nullable Socket raw;
  private volatile @Nullable Socket socket;

  Line(URI broker, SSLSocketFactory tlsSockets, Duration connect) {
    check(broker);
    boolean secure = isTls(broker);
    this.host = broker.getHost();
    this.port = broker.getPort() >= 0 ? broker.getPort() : secure ? TLS_PORT : PLAIN_PORT;
    this.tls = secure ? tlsSockets : null;
    this.connectMillis = Math.toIntExact(connect.toMillis());
  }

  /** Refuses an address that is not {@code mqtt://host[:port]} or {@code mqtts://host[:port]}. */
  static void check(URI broker) {
    boolean plain =
        broker.getHost() != null
            && broker.getUserInfo() == null
            && broker.getQuery() == null
            && broker.getFragment() == null
            && (broker.getPath() == null || broker.getPath().isEmpty());
    if (!plain || !(isTls(broker) || "mqtt".equalsIgnoreCase(broker.getScheme()))) {
      throw new IllegalArgumentException(
          "the broker must be mqtt://host[:port] or mqtts://host[:port], not " + broker);
    }
  }

  private static boolean isTls(URI broker) {
    return "mqtts".equalsIgnoreCase(broker.getScheme());
  }

  @Override
  public void start() throws IOException {
    InetSocketAddress address = new InetSocketAddress(host, port);
    Socket plain = new Socket();
    adopt(plain);
    plain.setTcpNoDelay(true);
    quickAcknowledgements = plain.supportedOptions().contains(ExtendedSocketOptions.TCP_QUICKACK);
    plain.connect(address, connectMillis);
    socket = tls == null ? plain : secure(plain, tls);
  }

  private synchronized void adopt(Socket plain) throws IOException {
    if (abandoned) {
      plain.close();
      throw new SocketException("given up");
    }
    raw = plain;
  }

  private Socket secure(Socket plain, SSLSocketFactory factory) throws IOException {
    SSLSocket secured = (SSLSocket) factory.createSocket(plain, host, port, true);
    SSLParameters parameters = secured.getSSLParameters();
    parameters.setEndpointIdentificationAlgorithm("HTTPS");
    secured.setSSLParameters(parameters);
    secured.startHandshake();
    return secured;
  }

  /** Ends the attempt or connection at once, in whatever state it is; may be called repeatedly. */
  void abandon() {
    Socket toReset;
    synchronized (this) {
      abandoned = true;
      toReset = raw;
    }
    if (toReset != null) {
      try {
        toReset.setSoLinger(true, 0);
      } catch (IOException alreadyClosed) {
        return;
      }
      closeQuietly(toReset);
    }
  }

  @Override
  public InputStream getInputStream() throws IOException {
    return new HeldInput(open().getInputStream());
  }

  @Override
  public OutputStream getOutputStream() throws IOException {
    return new ReleasingOutput(open().getOutputStream());
  }

  private Socket open() throws IOException {
    Socket present = socket;
    if (present == null) {
      throw new SocketException("not connected");
    }
    return present;
  }

  /**
   * From now on {@link #stop} leaves the broker {@value #PARTING_MILLIS} ms to close first, as it
   * does on a good-bye. A broker that sees the end of the connection before it has taken in the
   * good-bye publishes the last will: one that hands messages to another thread, and any if closing
   * over bytes that were not read has reset the connection.
   */
  void partInPeace() {
    partingInPeace = true;
  }

  @Override
  public void stop() {
    firstWrite.countDown();
    Socket present = socket;
    if (present != null) {
      if (partingInPeace) {
        awaitBrokersClose();
      }
      closeQuietly(present);
    }
    present = raw;
    if (present != null) {
      closeQuietly(present);
    }
  }

  private void awaitBrokersClose() {
    try {
      inputEnded.await(PARTING_MILLIS, TimeUnit.MILLISECONDS);
    } catch (InterruptedException interrupted) {
      Thread.currentThread().interrupt();
    }
  }

  private static void closeQuietly(Socket toClose) {
    try {
      toClose.close();
    } catch (IOException alreadyBroken) {
      // There is nothing left to be told to a peer that is gone.
    }
  }

  @Override
  public String getServerURI() {
    return (tls == null ? "mqtt://" : "mqtts://") + host + ":" + port;
  }

  private void acknowledgeAtOnce() throws IOException {
    Socket present = raw;
    if (quickAcknowledgements && present != null) {
      present.setOption(ExtendedSocketOptions.TCP_QUICKACK, true);
    }
  }

  /** One read of either sort. */
  private interface Read {
    int run() throws IOException;
  }

  private final class HeldInput extends FilterInputStream {
    HeldInput(InputStream in) {
      super(in);
    }

    @Override
    public int available() throws IOException {
      return firstWrite.getCount() > 0 ? 0 : super.available();
    }

    @Override
    public int read() throws IOException {
      awaitFirstWrite();
      return watched(super::read);
    }

    @Override
    public int read(byte[] bytes, int offset, int length) throws IOException {
      awaitFirstWrite();
      int count = watched(() -> super.read(bytes, offset, length));
      acknowledgeAtOnce();
      return count;
    }

    private int watched(Read read) throws IOException {
      int result = -1;
      try {
        result = read.run();
        return result;
      } finally {
        if (result < 0) {
          inputEnded.countDown();
        }
      }
    }

    private void awaitFirstWrite() throws IOException {
      try {
        firstWrite.await();
      } catch (InterruptedException interrupted) {
        Thread.currentThread().interrupt();
        throw new InterruptedIOException();
      }
    }
  }

  private final class ReleasingOutput extends FilterOutputStream {
    ReleasingOutput(OutputStream out) {
      super(out);
    }

    @Override
    public void write(int value) throws IOException {
      firstWrite.countDown();
      out.write(value);
    }

    @Override
    public void write(byte[] bytes, int offset, int length) throws IOException {
      firstWrite.countDown();
      out.write(bytes, offset, length);
    }
  }
}

package io.github.tidewarden.broker;

import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.io.UncheckedIOException;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.net.URI;
import java.time.Duration;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicInteger;

/** A TCP proxy on the loopback interface that spoils what passes. */
public final class FaultProxy implements AutoCloseable {

  /** What becomes of the bytes. */
  public enum Mode {
    /** They pass. */
    PASS,
    /** They vanish, both ways, and the connections stay open. */
    BLACK_HOLE,
    /** They go to the broker; nothing comes back. */
    MUTE,
    /** New connections are cut as soon as they are taken, as if there were no broker. */
    REFUSE
  }

  private final ServerSocket server;
  private final int brokerPort;
  private final Set<Socket> open = ConcurrentHashMap.newKeySet();
  private volatile Mode mode = Mode.PASS;
  private volatile Duration delay = Duration.ZERO;
  private final AtomicInteger accepted = new AtomicInteger();

  /** Stands before the broker at an address. */
  public FaultProxy(URI broker) {
    try {
      brokerPort = broker.getPort();
      server = new ServerSocket(0, 50, InetAddress.getLoopbackAddress());
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
    spawn(this::acceptAll);
  }

  /** Where to connect instead. */
  public URI uri() {
    return URI.create("mqtt://127.0.0.1:" + server.getLocalPort());
  }

  /** From now on, for connections old and new. */
  public void set(Mode newMode) {
    mode = newMode;
  }

  /** Holds every chunk back for as long. */
  public void delay(Duration newDelay) {
    delay = newDelay;
  }

  /** How many connections it has taken. */
  public int accepted() {
    return accepted.get();
  }

  /** Cuts every connection; new ones are taken. */
  public void cut() {
    open.forEach(FaultProxy::closeQuietly);
    open.clear();
  }

  private static void spawn(Runnable work) {
    Thread thread = new Thread(work, "fault-proxy");
    thread.setDaemon(true);
    thread.start();
  }

  private void acceptAll() {
    while (!server.isClosed()) {
      try {
        Socket near = server.accept();
        accepted.incrementAndGet();
        if (mode == Mode.REFUSE) {
          near.close();
          continue;
        }
        open.add(near);
        near.setTcpNoDelay(true);
        Socket far = new Socket(InetAddress.getLoopbackAddress(), brokerPort);
        far.setTcpNoDelay(true);
        open.add(far);
        AtomicInteger ways = new AtomicInteger(2);
        spawn(() -> pump(near, far, false, ways));
        spawn(() -> pump(far, near, true, ways));
      } catch (IOException gone) {
        // The broker is down or the proxy closed; whoever connected sees its end.
        cut();
      }
    }
  }

  /** Passes one way on until its end, and the end too; the last of both ways closes. */
  private void pump(Socket from, Socket to, boolean fromBroker, AtomicInteger ways) {
    byte[] buffer = new byte[64 * 1024];
    try {
      InputStream in = from.getInputStream();
      OutputStream out = to.getOutputStream();
      for (int count = in.read(buffer); count >= 0; count = in.read(buffer)) {
        if (!delay.isZero()) {
          TimeUnit.NANOSECONDS.sleep(delay.toNanos());
        }
        boolean passes = mode == Mode.PASS || (mode == Mode.MUTE && !fromBroker);
        if (passes) {
          out.write(buffer, 0, count);
        }
      }
      to.shutdownOutput();
    } catch (IOException cut) {
      ways.set(1);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
    if (ways.decrementAndGet() <= 0) {
      closeQuietly(from);
      closeQuietly(to);
      open.remove(from);
      open.remove(to);
    }
  }

  private static void closeQuietly(Socket socket) {
    try {
      socket.close();
    } catch (IOException alreadyClosed) {
      // It is closed, then.
    }
  }

  @Override
  public void close() {
    try {
      server.close();
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
    cut();
  }
}

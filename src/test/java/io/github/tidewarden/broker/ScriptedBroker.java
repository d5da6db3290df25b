package io.github.tidewarden.broker;

import java.io.ByteArrayOutputStream;
import java.io.DataInputStream;
import java.io.IOException;
import java.io.OutputStream;
import java.io.UncheckedIOException;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.net.URI;
import java.nio.charset.StandardCharsets;
import java.util.Arrays;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.function.ToIntFunction;

/**
 * A peer that speaks just enough MQTT 5 to be as unkind as a test wants. It sends every publication
 * back to where it came from, and acknowledges it.
 */
public final class ScriptedBroker implements AutoCloseable {
  private final ServerSocket server;
  private final AtomicInteger connections = new AtomicInteger();
  private volatile ToIntFunction<String> grant = filter -> 1;
  private volatile ToIntFunction<String> acknowledge = topic -> 0;
  private volatile int receiveMaximum = 20;
  private volatile boolean closesAtOnce;

  /** Listens on a free port. */
  public ScriptedBroker() {
    try {
      server = new ServerSocket(0, 50, InetAddress.getLoopbackAddress());
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
    spawn(this::acceptAll);
  }

  /** Its address. */
  public URI uri() {
    return URI.create("mqtt://127.0.0.1:" + server.getLocalPort());
  }

  /** What code it answers to a subscription. */
  public void granting(ToIntFunction<String> code) {
    grant = code;
  }

  /** What code it answers to a publication; below 0 for no answer. */
  public void acknowledging(ToIntFunction<String> code) {
    acknowledge = code;
  }

  /** How many publications it allows to be under way. */
  public void receiveMaximum(int most) {
    receiveMaximum = most;
  }

  /** It closes every connection as soon as it has taken it. */
  public void closingAtOnce() {
    closesAtOnce = true;
  }

  /** How many connections it has taken. */
  public int connections() {
    return connections.get();
  }

  private void acceptAll() {
    while (!server.isClosed()) {
      try {
        Socket socket = server.accept();
        connections.incrementAndGet();
        if (closesAtOnce) {
          socket.close();
        } else {
          spawn(() -> serve(socket));
        }
      } catch (IOException closed) {
        return;
      }
    }
  }

  private static void spawn(Runnable work) {
    Thread thread = new Thread(work, "scripted-broker");
    thread.setDaemon(true);
    thread.start();
  }

  private void serve(Socket socket) {
    try (socket) {
      socket.setTcpNoDelay(true);
      DataInputStream in = new DataInputStream(socket.getInputStream());
      OutputStream out = socket.getOutputStream();
      while (true) {
        int first = in.readUnsignedByte();
        byte[] body = in.readNBytes(readLength(in));
        switch (first >> 4) {
          case 1 -> send(out, 0x20, new byte[] {0, 0, 3, 0x21, 0, (byte) receiveMaximum});
          case 3 -> published(out, body);
          case 8 -> subscribed(out, body);
          case 14 -> {
            return;
          }
          default -> {}
        }
      }
    } catch (IOException gone) {
      // The client has left.
    }
  }

  private static int readLength(DataInputStream in) throws IOException {
    int length = 0;
    int shift = 0;
    int next;
    do {
      next = in.readUnsignedByte();
      length |= (next & 0x7F) << shift;
      shift += 7;
    } while ((next & 0x80) != 0);
    return length;
  }

  private static void send(OutputStream out, int first, byte[] body) throws IOException {
    ByteArrayOutputStream packet = new ByteArrayOutputStream();
    packet.write(first);
    int left = body.length;
    do {
      packet.write(left > 0x7F ? (left & 0x7F) | 0x80 : left);
      left >>= 7;
    } while (left > 0);
    packet.writeBytes(body);
    out.write(packet.toByteArray());
    out.flush();
  }

  private void published(OutputStream out, byte[] body) throws IOException {
    int topicLength = twoBytes(body, 0);
    String topic = new String(body, 2, topicLength, StandardCharsets.UTF_8);
    int code = acknowledge.applyAsInt(topic);
    if (code < 0) {
      return;
    }
    byte[] id = Arrays.copyOfRange(body, 2 + topicLength, 4 + topicLength);
    send(out, 0x40, new byte[] {id[0], id[1], (byte) code});
    // Back at QoS 0: the packet id goes, all else stays.
    ByteArrayOutputStream back = new ByteArrayOutputStream();
    back.write(body, 0, 2 + topicLength);
    back.write(body, 4 + topicLength, body.length - 4 - topicLength);
    send(out, 0x30, back.toByteArray());
  }

  private void subscribed(OutputStream out, byte[] body) throws IOException {
    ByteArrayOutputStream answer = new ByteArrayOutputStream();
    answer.write(body, 0, 2);
    answer.write(0);
    // Packet id, property length of 0, then filters with one byte of options each.
    int at = 3;
    while (at < body.length) {
      int length = twoBytes(body, at);
      String filter = new String(body, at + 2, length, StandardCharsets.UTF_8);
      answer.write(grant.applyAsInt(filter));
      at += length + 3;
    }
    send(out, 0x90, answer.toByteArray());
  }

  private static int twoBytes(byte[] body, int at) {
    return (body[at] & 0xFF) << 8 | (body[at + 1] & 0xFF);
  }

  @Override
  public void close() {
    try {
      server.close();
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }
}

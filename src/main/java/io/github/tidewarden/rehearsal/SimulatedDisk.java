package io.github.tidewarden.rehearsal;

import io.github.tidewarden.audit.AuditFiles;
import java.io.ByteArrayInputStream;
import java.io.FileNotFoundException;
import java.io.IOException;
import java.io.InputStream;
import java.nio.file.FileAlreadyExistsException;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.random.RandomGenerator;

/**
 * A disk in memory that knows what is only in the cache and what would survive a power cut, and
 * that fails when told to. Calls that change something are counted, so that each in turn can fail
 * or be the one in which the power goes. Not thread-safe.
 */
public final class SimulatedDisk implements AuditFiles {

  /** What a failing write leaves behind. */
  public enum FailedWrite {
    /** Not a byte. */
    NOTHING,
    /** The first half. */
    A_PART,
    /** All of it, though the call failed. */
    ALL
  }

  /** The power went during a call; nothing that follows in the program happens. */
  public static final class PowerLost extends Error {
    private static final long serialVersionUID = 1L;

    PowerLost(String call) {
      super("the power went: " + call);
    }
  }

  private static final class Node {
    byte[] room = new byte[0];
    int length;
    int durable;
    boolean syncFailed;

    void add(byte[] bytes, int count) {
      if (room.length < length + count) {
        room = Arrays.copyOf(room, Math.max(2 * room.length, length + count));
      }
      System.arraycopy(bytes, 0, room, length, count);
      length += count;
    }

    byte[] bytes(int count) {
      return Arrays.copyOf(room, count);
    }

    Node copy() {
      Node copy = new Node();
      copy.add(room, length);
      copy.durable = durable;
      copy.syncFailed = syncFailed;
      return copy;
    }
  }

  /** Later than any call. */
  private static final int NEVER = Integer.MAX_VALUE;

  private final Map<String, byte[]> aside = new TreeMap<>();
  private final Set<String> unreadable = new HashSet<>();
  private final Map<String, Node> cached = new LinkedHashMap<>();
  private final Map<String, Node> durable = new LinkedHashMap<>();
  private FailedWrite failedWrite = FailedWrite.A_PART;
  private boolean listFails;
  private boolean begun;
  private int calls;
  private int failFrom = NEVER;
  private int failUntil = NEVER;
  private int powerGoesAt = NEVER;

  // What can be wrong with it.

  /**
   * Every changing call from the {@code first} (0 is the next one) fails, {@code count} of them.
   */
  public void failNext(int first, int count) {
    failFrom = calls + first;
    failUntil = failFrom + count;
  }

  /** Every changing call fails until {@link #heal}. */
  public void failFromNowOn() {
    failFrom = calls;
    failUntil = NEVER;
  }

  /** No call fails any more. */
  public void heal() {
    failFrom = NEVER;
  }

  /** The power goes during the changing call that comes after so many others. */
  public void losePowerAfter(int more) {
    powerGoesAt = calls + more;
  }

  /** What a failing write leaves behind from now on; at first {@link FailedWrite#A_PART}. */
  public void failedWriteLeaves(FailedWrite what) {
    failedWrite = what;
  }

  /** A file cannot be read, or can again. */
  public void unreadable(String name, boolean cannot) {
    if (cannot) {
      unreadable.add(name);
    } else {
      unreadable.remove(name);
    }
  }

  /** The directory cannot be listed, or can again. */
  public void unlistable(boolean cannot) {
    listFails = cannot;
  }

  /** Forgets that a log was ever begun. */
  public void forgetBegun() {
    begun = false;
  }

  /** Turns one bit of a file round, where it is durable and in the cache. */
  public void flip(String name, long bit) {
    Node node = node(name);
    node.room[(int) (bit / Byte.SIZE)] ^= (byte) (1 << (bit % Byte.SIZE));
  }

  // What is on it.

  /** How many changing calls there were. */
  public int calls() {
    return calls;
  }

  /** A file as it would be read. */
  public byte[] bytes(String name) {
    Node node = node(name);
    return node.bytes(node.length);
  }

  /** What was set aside, by its new name. */
  public Map<String, byte[]> aside() {
    return new TreeMap<>(aside);
  }

  /** Puts a file there as it is, durable. */
  public void put(String name, byte[] bytes) {
    Node node = new Node();
    node.add(bytes, bytes.length);
    node.durable = bytes.length;
    cached.put(name, node);
    durable.put(name, node);
  }

  /** Takes a file away, as a keeper or the end of what is kept does. */
  public void delete(String name) {
    cached.remove(name);
    durable.remove(name);
  }

  /** The disk after the process was killed: the system still has all that was written. */
  public SimulatedDisk afterKill() {
    SimulatedDisk after = empty();
    cached.forEach((name, node) -> after.cached.put(name, node.copy()));
    durable.forEach(
        (name, node) -> {
          Node same = after.cached.get(name);
          after.durable.put(name, same != null ? same : node.copy());
        });
    return after;
  }

  /** The disk after a power cut: of what was not synced any beginning may be there, or zeros. */
  public SimulatedDisk afterPowerCut(RandomGenerator random) {
    SimulatedDisk after = empty();
    Set<String> names = new TreeSet<>(cached.keySet());
    names.addAll(durable.keySet());
    for (String name : names) {
      Node inCache = cached.get(name);
      Node onDisk = durable.get(name);
      Node node = inCache != null ? inCache : onDisk;
      boolean certain = inCache != null && onDisk != null;
      if (node != null && (certain || random.nextBoolean())) {
        after.put(name, cut(node, random));
      }
    }
    return after;
  }

  private static byte[] cut(Node node, RandomGenerator random) {
    int more = node.length - node.durable;
    int kept = node.durable + (more == 0 ? 0 : random.nextInt(more + 1));
    byte[] bytes = node.bytes(kept);
    boolean zeros = kept < node.length && random.nextInt(4) == 0;
    return zeros ? Arrays.copyOf(bytes, kept + random.nextInt(5_000)) : bytes;
  }

  private SimulatedDisk empty() {
    SimulatedDisk after = new SimulatedDisk();
    after.aside.putAll(aside);
    after.begun = begun;
    return after;
  }

  // What the audit does with it.

  @Override
  public List<String> list() throws IOException {
    if (listFails) {
      throw new IOException("input/output error");
    }
    return new ArrayList<>(cached.keySet());
  }

  @Override
  public InputStream read(String name) throws IOException {
    if (unreadable.contains(name)) {
      throw new IOException("input/output error");
    }
    Node node = cached.get(name);
    if (node == null) {
      throw new FileNotFoundException(name);
    }
    return new ByteArrayInputStream(node.room, 0, node.length);
  }

  @Override
  public Appender create(String name) throws IOException {
    call("create " + name);
    if (cached.containsKey(name)) {
      throw new FileAlreadyExistsException(name);
    }
    Node node = new Node();
    cached.put(name, node);
    return new Appender() {
      @Override
      public void append(byte[] bytes) throws IOException {
        try {
          call("append to " + name);
        } catch (PowerLost | IOException e) {
          node.add(bytes, leftBehind(bytes));
          throw e;
        }
        node.add(bytes, bytes.length);
      }

      @Override
      public void force() throws IOException {
        sync(name, node);
      }

      @Override
      public void close() {}
    };
  }

  @Override
  public void force(String name) throws IOException {
    if (!cached.containsKey(name)) {
      throw new FileNotFoundException(name);
    }
    sync(name, node(name));
  }

  @Override
  public void syncDirectory() throws IOException {
    call("sync directory");
    durable.clear();
    durable.putAll(cached);
  }

  @Override
  public void remove(String name) throws IOException {
    call("remove " + name);
    if (cached.remove(name) == null) {
      throw new FileNotFoundException(name);
    }
  }

  @Override
  public String setAside(String name, long offset) throws IOException {
    call("set aside " + name);
    byte[] bytes = bytes(name);
    String to = "set-aside/" + name + "." + offset;
    for (int i = 1; aside.containsKey(to); i++) {
      to = "set-aside/" + name + "." + offset + "." + i;
    }
    aside.put(to, Arrays.copyOfRange(bytes, (int) offset, bytes.length));
    delete(name);
    if (offset > 0) {
      put(name, Arrays.copyOf(bytes, (int) offset));
    }
    return to;
  }

  @Override
  public void markBegun() throws IOException {
    if (!begun) {
      call("mark");
      begun = true;
    }
  }

  @Override
  public boolean isBegun() {
    return begun;
  }

  private void call(String what) throws IOException {
    int call = calls++;
    if (call >= powerGoesAt) {
      throw new PowerLost(what);
    }
    if (call >= failFrom && call < failUntil) {
      throw new IOException("no space left on device: " + what);
    }
  }

  /** A failed sync marks lost bytes as clean: no later sync of the file brings them back. */
  private void sync(String name, Node node) throws IOException {
    try {
      call("sync " + name);
    } catch (IOException e) {
      node.syncFailed = true;
      throw e;
    }
    if (!node.syncFailed) {
      node.durable = node.length;
    }
  }

  private int leftBehind(byte[] bytes) {
    return switch (failedWrite) {
      case NOTHING -> 0;
      case A_PART -> bytes.length / 2;
      case ALL -> bytes.length;
    };
  }

  private Node node(String name) {
    Node node = cached.get(name);
    if (node == null) {
      throw new IllegalArgumentException("no file " + name);
    }
    return node;
  }
}

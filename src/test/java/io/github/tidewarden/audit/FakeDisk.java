package io.github.tidewarden.audit;

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
 * that fails when told to. Calls that change something are counted, so that a test can fail each in
 * turn.
 */
final class FakeDisk implements AuditFiles {

  /** What a failing write leaves behind. */
  enum FailedWrite {
    NOTHING,
    A_PART,
    ALL
  }

  private static final class Node {
    byte[] bytes = new byte[0];
    int durable;
    boolean syncFailed;
  }

  final Map<String, byte[]> aside = new TreeMap<>();
  final Set<String> unreadable = new HashSet<>();
  FailedWrite failedWrite = FailedWrite.A_PART;
  boolean listFails;
  boolean begun;
  private final Map<String, Node> cached = new LinkedHashMap<>();
  private final Map<String, Node> durable = new LinkedHashMap<>();
  private int calls;
  private int failFrom = Integer.MAX_VALUE;
  private int failUntil = Integer.MAX_VALUE;

  /**
   * Every changing call from the {@code first} (0 is the next one) fails, {@code count} of them.
   */
  void failNext(int first, int count) {
    failFrom = calls + first;
    failUntil = failFrom + count;
  }

  void failFromNowOn() {
    failFrom = calls;
    failUntil = Integer.MAX_VALUE;
  }

  void heal() {
    failFrom = Integer.MAX_VALUE;
  }

  int calls() {
    return calls;
  }

  byte[] bytes(String name) {
    return node(name).bytes.clone();
  }

  /** Puts a file there as it is, durable. */
  void put(String name, byte[] bytes) {
    Node node = new Node();
    node.bytes = bytes.clone();
    node.durable = bytes.length;
    cached.put(name, node);
    durable.put(name, node);
  }

  void delete(String name) {
    cached.remove(name);
    durable.remove(name);
  }

  /** The disk after the process was killed: the system still has all that was written. */
  FakeDisk afterKill() {
    FakeDisk after = new FakeDisk();
    cached.forEach(
        (name, node) -> {
          Node copy = copy(node, node.bytes);
          copy.durable = node.durable;
          after.cached.put(name, copy);
        });
    durable.forEach(
        (name, node) ->
            after.durable.put(
                name, after.cached.containsKey(name) ? after.cached.get(name) : copyOf(node)));
    after.aside.putAll(aside);
    after.begun = begun;
    return after;
  }

  /** The disk after a power cut: of what was not synced any beginning may be there, or zeros. */
  FakeDisk afterPowerCut(RandomGenerator random) {
    FakeDisk after = new FakeDisk();
    Set<String> names = new TreeSet<>(cached.keySet());
    names.addAll(durable.keySet());
    for (String name : names) {
      boolean certain = cached.containsKey(name) && durable.containsKey(name);
      if (certain || random.nextBoolean()) {
        Node node = cached.containsKey(name) ? cached.get(name) : durable.get(name);
        int more = node.bytes.length - node.durable;
        int kept = node.durable + (more == 0 ? 0 : random.nextInt(more + 1));
        byte[] bytes = Arrays.copyOf(node.bytes, kept);
        if (kept < node.bytes.length && random.nextInt(4) == 0) {
          bytes = Arrays.copyOf(bytes, kept + random.nextInt(5_000));
        }
        after.put(name, bytes);
      }
    }
    after.aside.putAll(aside);
    after.begun = begun;
    return after;
  }

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
    if (!cached.containsKey(name)) {
      throw new FileNotFoundException(name);
    }
    return new ByteArrayInputStream(bytes(name));
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
        int before = node.bytes.length;
        try {
          call("append to " + name);
        } catch (IOException e) {
          add(node, bytes, leftBehind(bytes));
          throw e;
        }
        add(node, bytes, bytes.length);
        assert node.bytes.length == before + bytes.length;
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
      node.durable = node.bytes.length;
    }
  }

  private int leftBehind(byte[] bytes) {
    return switch (failedWrite) {
      case NOTHING -> 0;
      case A_PART -> bytes.length / 2;
      case ALL -> bytes.length;
    };
  }

  private static void add(Node node, byte[] bytes, int length) {
    int before = node.bytes.length;
    node.bytes = Arrays.copyOf(node.bytes, before + length);
    System.arraycopy(bytes, 0, node.bytes, before, length);
  }

  private Node node(String name) {
    return cached.get(name);
  }

  private static Node copyOf(Node node) {
    Node copy = copy(node, node.bytes);
    copy.durable = node.durable;
    return copy;
  }

  private static Node copy(Node node, byte[] bytes) {
    Node copy = new Node();
    copy.bytes = bytes.clone();
    copy.syncFailed = node.syncFailed;
    return copy;
  }
}

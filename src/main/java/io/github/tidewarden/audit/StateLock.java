package io.github.tidewarden.audit;

import java.io.IOException;
import java.nio.channels.FileChannel;
import java.nio.channels.FileLock;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;

/**
 * The state directory belongs to one daemon at a time. The system gives the lock up when the
 * process ends, however it ends; the lock file stays and means nothing.
 */
public final class StateLock implements AutoCloseable {

  /**
   * Directories held by this process. Looked at before the file is opened: closing any second
   * channel on it would give up the first one's lock.
   */
  private static final Set<Path> HELD_HERE = ConcurrentHashMap.newKeySet();

  private final Path stateDir;
  private final FileChannel channel;

  private StateLock(Path stateDir, FileChannel channel) {
    this.stateDir = stateDir;
    this.channel = channel;
  }

  /**
   * Takes the lock on {@code STATE_DIR/lock}.
   *
   * @param stateDir an existing directory
   * @throws StateLockedException if another daemon, in another process or this one, has it
   * @throws IOException if the directory or the lock file cannot be used
   */
  public static StateLock acquire(Path stateDir) throws IOException {
    Path real = stateDir.toRealPath();
    if (!HELD_HERE.add(real)) {
      throw new StateLockedException(stateDir);
    }
    try {
      return new StateLock(real, lock(real));
    } catch (IOException | RuntimeException e) {
      HELD_HERE.remove(real);
      throw e;
    }
  }

  private static FileChannel lock(Path stateDir) throws IOException {
    FileChannel channel =
        FileChannel.open(
            stateDir.resolve("lock"), StandardOpenOption.CREATE, StandardOpenOption.WRITE);
    try {
      FileLock lock = channel.tryLock();
      if (lock == null) {
        throw new StateLockedException(stateDir);
      }
      return channel;
    } catch (IOException | RuntimeException e) {
      channel.close();
      throw e;
    }
  }

  /** Gives the lock up. */
  @Override
  public void close() throws IOException {
    if (channel.isOpen()) {
      channel.close();
      HELD_HERE.remove(stateDir);
    }
  }
}

package io.github.tidewarden.daemon;

import io.github.tidewarden.config.Configuration;
import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.channels.FileChannel;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;

/**
 * A state directory is that of a daemon that commands, or of one that only watches, for ever: what
 * the one has latched or spent says nothing about the devices of the other. A file in it tells
 * which, on the disk before anything else is.
 */
final class StateOwner {
  static final String MARK = "commands-nothing";

  private static final byte[] TEXT =
      "A daemon that only watches keeps its state here. None that commands takes it over.\n"
          .getBytes(StandardCharsets.UTF_8);

  private StateOwner() {}

  /**
   * Takes a directory, whose lock is held, for a kind of daemon.
   *
   * @throws DaemonException if it is that of the other kind
   * @throws IOException if it cannot be marked
   */
  static void take(Configuration configuration) throws DaemonException, IOException {
    Path directory = configuration.stateDir();
    Path mark = directory.resolve(MARK);
    boolean marked = Files.exists(mark);
    if (!configuration.watchOnly() && marked) {
      throw new DaemonException(
          Exit.CONFIG,
          directory
              + " holds what a daemon that only watched has recorded, and its latches and"
              + " allowances are not those of the devices; name another `state-dir`");
    }
    if (configuration.watchOnly() && !marked) {
      if (Files.exists(directory.resolve("audit"))
          || Files.exists(directory.resolve("audit-begun"))) {
        throw new DaemonException(
            Exit.CONFIG,
            directory + " holds what a daemon that commands has recorded; move it away");
      }
      mark(directory, mark);
    }
  }

  private static void mark(Path directory, Path mark) throws IOException {
    try (FileChannel channel =
        FileChannel.open(mark, StandardOpenOption.CREATE_NEW, StandardOpenOption.WRITE)) {
      ByteBuffer bytes = ByteBuffer.wrap(TEXT);
      while (bytes.hasRemaining()) {
        channel.write(bytes);
      }
      channel.force(true);
    }
    try (FileChannel channel = FileChannel.open(directory, StandardOpenOption.READ)) {
      channel.force(true);
    }
  }
}

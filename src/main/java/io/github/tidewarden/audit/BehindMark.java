package io.github.tidewarden.audit;

import java.io.IOException;
import java.nio.channels.FileChannel;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.nio.file.StandardOpenOption;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;

/**
 * A mark beside the log that records wait which a failing disk does not take. Found at a start it
 * says that what waited is lost, a latch perhaps among it, so that every tank starts latched.
 *
 * <p>It is set by giving a file that is there already another name, since that needs no room on a
 * disk that is full.
 */
public final class BehindMark {
  private static final Logger LOG = LoggerFactory.getLogger(BehindMark.class);

  private final Path directory;
  private final Path whole;
  private final Path behind;

  /** The mark in a state directory. */
  public BehindMark(Path stateDirectory) {
    directory = stateDirectory;
    whole = stateDirectory.resolve("audit-whole");
    behind = stateDirectory.resolve("audit-behind");
  }

  /** Whether it is set. */
  public boolean isSet() {
    return Files.exists(behind, LinkOption.NOFOLLOW_LINKS);
  }

  /** Makes the file that is renamed later, unless the mark is set or the file is there. */
  public void prepare() {
    if (!isSet() && !Files.exists(whole, LinkOption.NOFOLLOW_LINKS)) {
      try {
        Files.createFile(whole);
        force();
      } catch (IOException e) {
        LOG.warn("the mark of a failing disk cannot be prepared: {}", e.getMessage());
      }
    }
  }

  /** Sets it; what fails is told in the log. */
  void set() {
    rename(whole, behind);
  }

  /** Takes it back, once everything that waited is on the disk. */
  void clear() {
    rename(behind, whole);
  }

  private void rename(Path from, Path to) {
    try {
      if (Files.exists(from, LinkOption.NOFOLLOW_LINKS)) {
        Files.move(from, to, StandardCopyOption.ATOMIC_MOVE);
      } else if (to.equals(behind)) {
        Files.createFile(to);
      }
      force();
    } catch (IOException e) {
      LOG.error("{} cannot be made: {}", to.getFileName(), e.getMessage());
    }
  }

  private void force() throws IOException {
    try (FileChannel channel = FileChannel.open(directory, StandardOpenOption.READ)) {
      channel.force(true);
    }
  }
}

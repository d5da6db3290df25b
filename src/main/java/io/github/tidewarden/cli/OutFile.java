package io.github.tidewarden.cli;

import io.github.tidewarden.daemon.DaemonException;
import io.github.tidewarden.daemon.Exit;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import org.jspecify.annotations.Nullable;

/** A file that a verb is asked to write when its work is done. */
final class OutFile {
  private OutFile() {}

  /**
   * Sees whether it can be written, before any work is begun. What stands there stays as it is, and
   * where nothing does, nothing does afterwards.
   *
   * @param option by which it was asked for, such as {@code --html}
   * @param file null for none
   * @throws DaemonException when it cannot, with the place and the remedy
   */
  static void check(String option, @Nullable Path file) throws DaemonException {
    if (file == null) {
      return;
    }
    Path parent = file.toAbsolutePath().normalize().getParent();
    if (Files.isDirectory(file)) {
      throw refused(option, file, "it is a directory; name a file in it");
    }
    if (parent != null && !Files.isDirectory(parent)) {
      throw refused(option, file, "there is no directory " + parent + "; make it first");
    }
    boolean there = Files.exists(file);
    try {
      Files.newByteChannel(file, StandardOpenOption.WRITE, StandardOpenOption.CREATE).close();
      if (!there) {
        Files.delete(file);
      }
    } catch (IOException e) {
      throw refused(option, file, Trouble.of(e) + "; name a file where this user may write");
    }
  }

  private static DaemonException refused(String option, Path file, String why) {
    return new DaemonException(
        Exit.IO, option + " " + file + " cannot be written, and nothing was begun: " + why);
  }
}

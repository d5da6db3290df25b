package io.github.tidewarden.cli;

import java.io.BufferedOutputStream;
import java.io.FileDescriptor;
import java.io.FileOutputStream;
import java.io.PrintStream;
import java.io.PrintWriter;
import java.nio.charset.StandardCharsets;

/**
 * Standard output and error as UTF-8, whatever the locale says. A service and a bare shell often
 * have the POSIX locale, which would turn every letter beyond ASCII into a question mark.
 */
final class Console {
  private Console() {}

  /** Makes both streams of this process write UTF-8, for everything in it that prints. */
  static void useUtf8() {
    System.setOut(stream(FileDescriptor.out));
    System.setErr(stream(FileDescriptor.err));
  }

  private static PrintStream stream(FileDescriptor descriptor) {
    return new PrintStream(
        new BufferedOutputStream(new FileOutputStream(descriptor)), true, StandardCharsets.UTF_8);
  }

  /** A writer on one of them, which knows too whether the stream could be written. */
  static PrintWriter writer(PrintStream stream) {
    return new PrintWriter(stream, true, StandardCharsets.UTF_8);
  }
}

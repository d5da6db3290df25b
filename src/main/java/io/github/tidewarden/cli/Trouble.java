package io.github.tidewarden.cli;

import io.github.tidewarden.audit.PlainText;
import java.io.IOException;
import java.net.UnknownHostException;
import java.nio.file.AccessDeniedException;
import java.nio.file.FileSystemException;
import java.nio.file.NoSuchFileException;
import java.nio.file.NotDirectoryException;

/** What went wrong with a file or a peer, in words that help somebody who does not know Java. */
final class Trouble {
  private static final int DEEPEST = 8;

  private Trouble() {}

  /** One line without control characters. */
  static String of(IOException e) {
    return PlainText.of(words(e));
  }

  private static String words(IOException e) {
    if (e instanceof FileSystemException file && file.getReason() == null) {
      String name = file.getFile() + ": ";
      if (e instanceof NoSuchFileException) {
        return name + "there is no such file";
      }
      if (e instanceof AccessDeniedException) {
        return name + "this user may not read or write it";
      }
      if (e instanceof NotDirectoryException) {
        return name + "is not a directory";
      }
      return name + "cannot be read or written";
    }
    return e instanceof FileSystemException ? String.valueOf(e.getMessage()) : innermost(e);
  }

  /** In the words of whoever noticed it first and had any. */
  private static String innermost(Throwable thrown) {
    String words = thrown.getMessage();
    Throwable at = thrown;
    for (int depth = 0; at != null && depth < DEEPEST; depth++) {
      if (at instanceof UnknownHostException) {
        return "there is no host " + at.getMessage();
      }
      words = at.getMessage() == null ? words : at.getMessage();
      at = at.getCause();
    }
    return words == null ? "it does not say why" : words;
  }
}

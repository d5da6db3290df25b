package io.github.tidewarden.audit;

import java.io.Closeable;
import java.io.IOException;
import java.io.InputStream;
import java.util.List;

/**
 * The disk as the audit sees it: one directory of files that only grow. A simulated disk can stand
 * in for it. Every call may throw {@link IOException}; not thread-safe.
 */
public interface AuditFiles {

  /**
   * Names of the plain files in the directory, in no order; the set-aside ones are not among them.
   */
  List<String> list() throws IOException;

  /** The file's bytes from its start; the caller closes the stream. */
  InputStream read(String name) throws IOException;

  /** Makes a new empty file; a file of that name must not exist. */
  Appender create(String name) throws IOException;

  /** Makes what the file holds durable. */
  void force(String name) throws IOException;

  /** Makes the directory's entries durable: a new file's name is lost without it. */
  void syncDirectory() throws IOException;

  /** Removes a file in which nothing was ever acknowledged. */
  void remove(String name) throws IOException;

  /**
   * Moves the file's bytes from {@code offset} on, unchanged, into a new file beside the log, and
   * cuts the file there; with offset 0 the file itself goes. The copy is durable before the cut.
   *
   * @return where they went, relative to the directory, such as {@code
   *     set-aside/2026-06-01.jsonl.4096}
   */
  String setAside(String name, long offset) throws IOException;

  /**
   * Notes beside the directory, durably and for good, that a log was begun in it; nothing new the
   * second time.
   */
  void markBegun() throws IOException;

  /** Whether a log was ever begun here. */
  boolean isBegun() throws IOException;

  /** A new file, open for writing at its end. */
  interface Appender extends Closeable {

    /** Writes all of {@code bytes} at the end; after an exception any part of them may be there. */
    void append(byte[] bytes) throws IOException;

    /** Makes all bytes written so far durable; after an exception none of them counts as such. */
    void force() throws IOException;
  }
}

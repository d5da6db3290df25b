package io.github.tidewarden.audit;

import java.io.ByteArrayOutputStream;
import java.io.Closeable;
import java.io.IOException;
import java.io.InputStream;
import org.jspecify.annotations.Nullable;

/** Cuts a segment into lines, holding one line at a time and never more than a line may have. */
final class LineReader implements Closeable {

  private final InputStream in;
  private final byte[] buffer = new byte[32 * 1024];
  private int from;
  private int to;
  private long number;
  private long offset;

  LineReader(InputStream in) {
    this.in = in;
  }

  /** A line as it stands in the file. */
  static final class RawLine {
    /** Without the newline; of a line that is too long only as much as shows that it is. */
    final byte[] bytes;

    /** From 1. */
    final long number;

    /** Where it begins in the file. */
    final long offset;

    /** How many bytes it has in the file, its newline included. */
    final long length;

    /** Whether it ends in a newline; only the last line of a file may not. */
    final boolean complete;

    private RawLine(byte[] bytes, long number, long offset, long length, boolean complete) {
      this.bytes = bytes;
      this.number = number;
      this.offset = offset;
      this.length = length;
      this.complete = complete;
    }
  }

  /** The next line; null at the end of the file. */
  @Nullable RawLine next() throws IOException {
    ByteArrayOutputStream kept = new ByteArrayOutputStream(1024);
    long length = 0;
    boolean complete = false;
    while (!complete && fill()) {
      int end = from;
      while (end < to && buffer[end] != '\n') {
        end++;
      }
      complete = end < to;
      int room = LineFormat.MOST_LINE_BYTES - kept.size();
      kept.write(buffer, from, Math.min(end - from, room));
      int used = end - from + (complete ? 1 : 0);
      length += used;
      from += used;
    }
    if (length == 0) {
      return null;
    }
    RawLine line = new RawLine(kept.toByteArray(), ++number, offset, length, complete);
    offset += length;
    return line;
  }

  /** Whether there are bytes in the buffer, after reading some if there were none. */
  private boolean fill() throws IOException {
    if (from == to) {
      from = 0;
      to = Math.max(0, in.read(buffer));
    }
    return from < to;
  }

  @Override
  public void close() throws IOException {
    in.close();
  }
}

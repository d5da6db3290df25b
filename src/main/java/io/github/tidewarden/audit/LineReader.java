package io.github.tidewarden.audit;

import java.io.BufferedInputStream;
import java.io.ByteArrayOutputStream;
import java.io.Closeable;
import java.io.IOException;
import java.io.InputStream;
import org.jspecify.annotations.Nullable;

/** Cuts a segment into lines, holding one line at a time and never more than a line may have. */
final class LineReader implements Closeable {

  private final InputStream in;
  private long number;
  private long offset;

  LineReader(InputStream in) {
    this.in = new BufferedInputStream(in, 32 * 1024);
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
    ByteArrayOutputStream bytes = new ByteArrayOutputStream(1024);
    long length = 0;
    int b = in.read();
    while (b >= 0 && b != '\n') {
      if (length < LineFormat.MOST_LINE_BYTES) {
        bytes.write(b);
      }
      length++;
      b = in.read();
    }
    boolean complete = b == '\n';
    if (length == 0 && !complete) {
      return null;
    }
    length += complete ? 1 : 0;
    RawLine line = new RawLine(bytes.toByteArray(), ++number, offset, length, complete);
    offset += length;
    return line;
  }

  @Override
  public void close() throws IOException {
    in.close();
  }
}

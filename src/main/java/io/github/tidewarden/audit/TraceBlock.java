package io.github.tidewarden.audit;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.util.zip.CRC32;
import java.util.zip.DataFormatException;
import java.util.zip.GZIPOutputStream;
import java.util.zip.Inflater;
import org.jspecify.annotations.Nullable;

/**
 * Blocks of a trace: each a whole gzip member (RFC 1952), so that {@code zcat} reads the file, and
 * what is torn or damaged costs only what follows the last whole block.
 */
final class TraceBlock {

  /** What a block holds at most, uncompressed: its bound and one long line. */
  static final int MOST_BYTES = 2 * TraceFormat.MOST_LINE_BYTES;

  private static final int HEADER = 10;
  private static final int TRAILER = 8;
  private static final int MAGIC_0 = 0x1f;
  private static final int MAGIC_1 = 0x8b;

  private TraceBlock() {}

  static byte[] compress(byte[] bytes) throws IOException {
    ByteArrayOutputStream member = new ByteArrayOutputStream(bytes.length / 4 + 64);
    try (GZIPOutputStream gzip = new GZIPOutputStream(member, 4096)) {
      gzip.write(bytes);
    }
    return member.toByteArray();
  }

  /** Takes the blocks of a file one by one. */
  static final class Reader {
    private final byte[] file;
    private int at;

    Reader(byte[] file) {
      this.file = file;
    }

    /** The next block, uncompressed; null when there is none that is whole. */
    byte @Nullable [] next() {
      int left = file.length - at;
      if (left < HEADER + TRAILER
          || (file[at] & 0xff) != MAGIC_0
          || (file[at + 1] & 0xff) != MAGIC_1
          || file[at + 3] != 0) { // a flag that is never written here
        return null;
      }
      Inflater inflater = new Inflater(true);
      try {
        inflater.setInput(file, at + HEADER, left - HEADER);
        byte[] block = inflate(inflater);
        int end = file.length - inflater.getRemaining();
        if (block == null || file.length - end < TRAILER || !vouchedFor(block, end)) {
          return null;
        }
        at = end + TRAILER;
        return block;
      } catch (DataFormatException e) {
        return null;
      } finally {
        inflater.end();
      }
    }

    private static byte @Nullable [] inflate(Inflater inflater) throws DataFormatException {
      ByteArrayOutputStream out = new ByteArrayOutputStream();
      byte[] buffer = new byte[64 * 1024];
      while (!inflater.finished() && out.size() <= MOST_BYTES) {
        int read = inflater.inflate(buffer);
        if (read == 0 && !inflater.finished()) {
          return null;
        }
        out.write(buffer, 0, read);
      }
      return inflater.finished() ? out.toByteArray() : null;
    }

    private boolean vouchedFor(byte[] block, int trailer) {
      CRC32 crc = new CRC32();
      crc.update(block);
      return crc.getValue() == littleEndian(trailer)
          && block.length == littleEndian(trailer + Integer.BYTES);
    }

    private long littleEndian(int from) {
      long value = 0;
      for (int i = Integer.BYTES - 1; i >= 0; i--) {
        value = (value << Byte.SIZE) | (file[from + i] & 0xff);
      }
      return value;
    }

    /** Bytes after the last whole block. */
    int left() {
      return file.length - at;
    }
  }
}

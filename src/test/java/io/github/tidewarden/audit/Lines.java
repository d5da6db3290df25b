package io.github.tidewarden.audit;

import io.github.tidewarden.control.AuditRecord;
import java.util.Arrays;

/** Lets tests of the core hold its records against the line format. */
public final class Lines {
  private Lines() {}

  /**
   * A record as it comes back from its line.
   *
   * @param record the record
   * @param digest of the line's bytes
   */
  public record Line(AuditRecord record, int digest) {}

  /**
   * Writes a record as a line and reads that.
   *
   * @throws IllegalStateException when it cannot be written, or its line does not read back
   */
  public static Line of(long seq, AuditRecord record) {
    LineFormat.Encoded line = LineFormat.encode(seq, record, Hash.NONE);
    try {
      byte[] withoutNewline = Arrays.copyOf(line.bytes, line.bytes.length - 1);
      return new Line(LineFormat.decode(withoutNewline).record(), Arrays.hashCode(line.bytes));
    } catch (BadLineException e) {
      throw new IllegalStateException("a line that does not read back: " + record, e);
    }
  }
}

package io.github.tidewarden.audit;

import io.github.tidewarden.control.AuditRecord;
import java.util.Arrays;

/** Lets tests of the core hold its records against the line format. */
public final class Lines {
  private Lines() {}

  /**
   * The record as it comes back from the line that is written for it.
   *
   * @throws IllegalStateException when it cannot be written, or its line does not read back
   */
  public static AuditRecord readBack(long seq, AuditRecord record) {
    LineFormat.Encoded line = LineFormat.encode(seq, record, Hash.NONE);
    try {
      return LineFormat.decode(Arrays.copyOf(line.bytes, line.bytes.length - 1)).record();
    } catch (BadLineException e) {
      throw new IllegalStateException("a line that does not read back: " + record, e);
    }
  }
}

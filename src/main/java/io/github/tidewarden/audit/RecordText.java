package io.github.tidewarden.audit;

import io.github.tidewarden.control.AuditRecord;

/** A record as its line in the audit says it, without number and hash. */
public final class RecordText {
  private static final String START = "{\"seq\":1,";

  private RecordText() {}

  /**
   * The text; the same for a record that was just made and for the same read back.
   *
   * @throws RecordRefusedException if the format has no place for it
   */
  public static String of(AuditRecord record) {
    String line = LineFormat.text(new AuditLine(1, record, ""));
    return "{" + line.substring(START.length(), line.lastIndexOf(",\"hash\":")) + "}";
  }
}

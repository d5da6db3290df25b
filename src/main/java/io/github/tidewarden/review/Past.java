package io.github.tidewarden.review;

import io.github.tidewarden.control.AuditRecord;
import java.util.List;

/**
 * What was read of the audit.
 *
 * @param records in the order of the chain. If the first is no {@code checkpoint}, it is taken as
 *     the first record of all, before which nothing was spent or latched.
 * @param remarks where the log is not whole, or a write of it failed, in the same order
 */
public record Past(List<AuditRecord> records, List<Remark> remarks) {

  /** Copies the lists. */
  public Past {
    records = List.copyOf(records);
    remarks = List.copyOf(remarks);
  }

  /** Records without a remark, such as those of a rehearsal. */
  public static Past of(List<AuditRecord> records) {
    return new Past(records, List.of());
  }

  /**
   * Something about the log itself.
   *
   * @param before index of the record before which it stands, or the number of records
   * @param gap whether records may be missing or altered there
   * @param what the place and what is wrong with it
   */
  public record Remark(int before, boolean gap, String what) {}
}

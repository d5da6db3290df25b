package io.github.tidewarden.audit;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Checkpoint;
import io.github.tidewarden.control.SiteMemory;
import io.github.tidewarden.control.TankSpec;
import java.util.List;

/**
 * What a site has behind it at a start.
 *
 * @param memory what the audit remembers
 * @param mended what had to be mended or is in doubt, for the keeper; empty for nothing
 * @param readable whether the past could be read back; if not, everything must start latched
 * @param log goes on where the past ends
 */
public record SitePast(
    SiteMemory memory, String mended, boolean readable, AuditLog<SiteMemory> log) {

  /**
   * Reads it back. Never throws for what is on the disk.
   *
   * @param files the audit
   * @param tanks of the configuration
   * @param behind whether records waited at the last end that the disk did not take
   */
  public static SitePast of(AuditFiles files, List<TankSpec> tanks, boolean behind) {
    Recovery recovery = AuditRecovery.recover(files);
    SiteMemory memory = SiteMemory.BLANK;
    try {
      if (!recovery.checkpoint().isEmpty()) {
        memory = Checkpoint.read(recovery.checkpoint());
      }
      for (AuditRecord record : recovery.recordsSinceCheckpoint()) {
        memory = memory.apply(record);
      }
    } catch (RuntimeException e) {
      recovery = recovery.doubted("the records could not be understood: " + e.getMessage());
    }
    memory = memory.knowing(tanks);
    AuditLog<SiteMemory> log = new AuditLog<>(files, recovery, memory, new SiteFold());
    String mended = recovery.detail();
    boolean readable = recovery.trust() != Recovery.Trust.UNTRUSTWORTHY;
    if (behind) {
      mended =
          "the disk took no records before the last end, and what waited is lost"
              + (mended.isEmpty() ? "" : "; " + mended);
      readable = false;
    }
    return new SitePast(memory, mended, readable, log);
  }
}

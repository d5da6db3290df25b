package io.github.tidewarden.daemon;

import io.github.tidewarden.audit.AuditLog;
import io.github.tidewarden.audit.AuditRecovery;
import io.github.tidewarden.audit.DirectoryFiles;
import io.github.tidewarden.audit.Fold;
import io.github.tidewarden.audit.Recovery;
import io.github.tidewarden.config.Configuration;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Checkpoint;
import io.github.tidewarden.control.SiteMemory;
import java.nio.file.Path;
import java.util.Map;

/**
 * What was read back at a start.
 *
 * @param memory what survived
 * @param mended what was wrong, in the keeper's words; empty for nothing
 * @param readable whether the past may be believed
 * @param log goes on from there
 */
record Past(SiteMemory memory, String mended, boolean readable, AuditLog<SiteMemory> log) {

  /** The site's memory as the audit keeps it. */
  static final Fold<SiteMemory> FOLD =
      new Fold<>() {
        @Override
        public SiteMemory apply(SiteMemory state, AuditRecord record) {
          return state.apply(record);
        }

        @Override
        public Map<String, Object> checkpoint(SiteMemory state) {
          return Checkpoint.of(state);
        }
      };

  Past doubtedIf(boolean behind) {
    return behind
        ? new Past(
            memory,
            "the disk took no records before the last end, and what waited is lost"
                + (mended.isEmpty() ? "" : "; " + mended),
            false,
            log)
        : this;
  }

  /** Reads the audit back; touches no file. */
  static Past recover(Configuration configuration) {
    Path directory = configuration.stateDir().resolve("audit");
    DirectoryFiles files = new DirectoryFiles(directory);
    Recovery recovery = AuditRecovery.recover(files);
    boolean readable = recovery.trust() != Recovery.Trust.UNTRUSTWORTHY;
    String mended = recovery.detail();
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
      readable = false;
      mended = recovery.detail();
    }
    memory = memory.knowing(configuration.site().tanks());
    return new Past(memory, mended, readable, new AuditLog<>(files, recovery, memory, FOLD));
  }
}

package io.github.tidewarden.daemon;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.gate.Command;

/** Looks on while the daemon runs. Called on the control thread; must not block. */
public interface Watcher {

  /** A record was made. */
  void record(AuditRecord record);

  /** A command went out. */
  void command(Command command);

  /** Looks on and says nothing. */
  Watcher SILENT =
      new Watcher() {
        @Override
        public void record(AuditRecord record) {}

        @Override
        public void command(Command command) {}
      };
}

package io.github.tidewarden.cli;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.daemon.Watcher;
import io.github.tidewarden.gate.Command;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;

/** Tells the system's journal what the audit tells, each at its priority. */
final class LoggingWatcher implements Watcher {
  private static final Logger LOG = LoggerFactory.getLogger("tidewarden");

  @Override
  public void record(AuditRecord record) {
    String where = record.tank().isEmpty() ? "site" : record.tank();
    String what = record.kind().word();
    switch (record.kind()) {
      case TRIP, LATCHED, FAULT ->
          LOG.error(JournalPriority.CRITICAL, "{}: {}: {}", where, what, record.why());
      case SILENT, DEVICE, MISSED, RECOVERED, NOTICE, ACT_REFUSED ->
          LOG.warn("{}: {}: {}", where, what, record.why());
      case RESERVED, SETTLED, QUALITY -> LOG.debug("{}: {}: {}", where, what, record.why());
      default -> LOG.info("{}: {}: {}", where, what, record.why());
    }
  }

  @Override
  public void command(Command command) {
    LOG.debug("{}", command);
  }
}

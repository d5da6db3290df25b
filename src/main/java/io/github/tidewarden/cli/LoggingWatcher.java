package io.github.tidewarden.cli;

import io.github.tidewarden.audit.PlainText;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.daemon.Watcher;
import io.github.tidewarden.gate.Command;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;

/** Tells the system's journal what the audit tells, each at its priority. */
final class LoggingWatcher implements Watcher {
  private static final Logger LOG = LoggerFactory.getLogger("tidewarden");

  private final boolean watchOnly;

  /** One for a daemon that sends its commands, or one that only watches. */
  LoggingWatcher(boolean watchOnly) {
    this.watchOnly = watchOnly;
  }

  @Override
  public void record(AuditRecord record) {
    String where = record.tank().isEmpty() ? "site" : record.tank();
    String what = record.kind().word();
    String why = PlainText.of(record.why());
    if (record.kind() == Kind.RECOVERED && Boolean.TRUE.equals(record.fields().get("latched"))) {
      // An audit that cannot be read has latched every tank.
      LOG.error(JournalPriority.CRITICAL, "{}: {}: {}", where, what, why);
      return;
    }
    switch (record.kind()) {
      case TRIP, LATCHED, FAULT ->
          LOG.error(JournalPriority.CRITICAL, "{}: {}: {}", where, what, why);
      case SILENT, DEVICE, MISSED, RECOVERED, NOTICE, ACT_REFUSED ->
          LOG.warn("{}: {}: {}", where, what, why);
      case RESERVED, SETTLED, QUALITY -> LOG.debug("{}: {}: {}", where, what, why);
      default -> LOG.info("{}: {}: {}", where, what, why);
    }
  }

  @Override
  public void command(Command command) {
    LOG.debug(watchOnly ? "not sent: {}" : "{}", command);
  }
}
